"""Where several heaters tap one gas system: the cheapest set is the cheapest of all ways to say who taps where."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from service.settings import Settings
from service.siting import jointly
from service.survey.model import GasMethod, Survey
from service.usecases.place import place
from service.usecases.results import Status
from tests.once import placed
from tests.property.depth import deep
from tests.unit.joint_house import two_dwellings

SETTINGS = Settings(solver_seconds=60)
PARTS = ({"meter", "entry"}, {"corner", "first"}, {"left-tap", "second", "right-tap"})
"""Nodes and segments of the house's pipe, from the meter on."""
THIN = (("co-direct-120", "1/2"), ("co-direct-199", "3/4"))[-deep(2, 1) :]
"""Heaters with pipe that carries one of them."""


def thin(heater: str, pipe: str) -> Survey:
    """Two dwellings on a pipe that carries one heater, each run sized by itself."""
    survey = two_dwellings((heater,), pipe=pipe, tee=2_500)
    return replace(survey, gas=replace(survey.gas, method=GasMethod.BRANCH_TABLES))


def tapping(survey: Survey, left: set[str], right: set[str]) -> Survey:
    """Each dwelling held to some of what may be tapped."""
    taps = zip(survey.dwellings, (left, right), strict=True)
    return replace(survey, dwellings=tuple(replace(d, gas_taps=tuple(sorted(t))) for d, t in taps))


@pytest.mark.slow
@pytest.mark.usefixtures("no_ways_out")
@pytest.mark.parametrize(("heater", "pipe"), THIN)
def test_it_costs_what_the_cheapest_way_to_tap_does(heater: str, pipe: str) -> None:
    """Every pair of parts of the pipe is named by itself: one is the cheapest, others ask for more pipe."""
    survey = thin(heater, pipe)
    found = placed(survey, SETTINGS)
    assert found.status is Status.OPTIMAL
    told = [place(tapping(survey, left, right), SETTINGS).proof.cost_cents for left, right in product(PARTS, PARTS)]
    costs = [cost for cost in told if cost is not None]
    assert found.proof.cost_cents == min(costs) < max(costs)


@pytest.mark.parametrize(("heater", "pipe"), THIN[-1:])
def test_splitting_by_the_way_of_gas_changes_no_cost(monkeypatch: pytest.MonkeyPatch, heater: str, pipe: str) -> None:
    """It is met, and without it the same cost is proven tap by tap."""
    survey, found = thin(heater, pipe), placed(thin(heater, pipe), SETTINGS)
    met: list[bool] = []
    split = jointly.split_by_way
    monkeypatch.setattr(jointly, "split_by_way", lambda *args: met.append(split(*args) is not None))
    plain = place(survey, SETTINGS)
    assert any(met) and plain.status is found.status is Status.OPTIMAL
    assert plain.proof.cost_cents == found.proof.cost_cents
