"""The large house with two baths: why no heater offered carries them, by hand, and what one bath alone would get."""

from __future__ import annotations

import copy
from dataclasses import replace
from typing import Any

import pytest

from service.http.hot_water_json import hot_water_json
from service.http.schemas import load_survey
from service.http.schemas.demand_body import load_hot_water
from service.rules.tables import UNITS
from service.settings import Settings
from service.survey.model import Survey
from service.usecases.check import check
from service.usecases.hot_water import hot_water_report
from service.usecases.results import BROKEN, Status
from tests.scenarios.scenarios import document, expected, solved, solved_by

NAME = "large_house_two_baths"
HAND: dict[str, float] = expected(NAME)["figures"]
GPM = UNITS["gpm"]


def told() -> dict[str, Any]:
    """Answer of the demand operation for the whole survey."""
    request = load_hot_water(document(NAME), Settings())
    return hot_water_json(hot_water_report(request), request)


def one_tub() -> Survey:
    """The house were only one tub filled at a time."""
    raw = copy.deepcopy(document(NAME))
    raw["water"]["demand"]["at_once"] = [["bath-parents"], ["bath-children"]]
    return load_survey(raw, Settings())


def test_every_heater_is_left_out_with_its_figures() -> None:
    """What it carries, at which rise in which month, what the house asks for and by which method."""
    answer = solved(NAME).answer
    assert answer.status is Status.INFEASIBLE and answer.coverage == ()
    offered = {h.id for h in solved(NAME).survey.heaters}
    reasons = [w for w in answer.warnings if w.startswith("Heater ")]
    assert {w.split()[1] for w in reasons} == offered
    for reason in reasons:
        assert all(word in reason for word in ("81.6 degF", "38.4 degF in February", "concurrent use of bath-parents"))
        assert f"{HAND['asked']:g} gpm" in reason and "not sited" in reason
    best = next(w for w in reasons if "co-direct-199 " in w)
    assert f"carries {HAND['best']:g} gpm" in best and "2 in parallel would carry it" in best


def test_in_january_no_heater_carries_two_baths() -> None:
    """Demand and best output of the month as reckoned by hand; in July the condensing 199,000 would do."""
    answer = told()
    january, july = answer["months"][0], answer["months"][6]
    assert january["month"] == "January" and january["carried_by"] == []
    assert january["inlet"] == pytest.approx(40.4, abs=0.05)
    assert january["demand"] == pytest.approx(HAND["january_asked"], abs=2e-3)
    best = next(h for h in answer["heaters"] if h["id"] == "co-direct-199")
    assert best["capacity_by_month"][0] == pytest.approx(HAND["january_best"], abs=2e-3)
    assert "co-direct-199" in july["carried_by"] and "nc-direct-199" not in july["carried_by"]


def test_one_bath_at_a_time_is_carried_and_the_plain_160_still_left_out() -> None:
    """3.26 gpm: the cheapest lawful design has a heater that gives as much, and tells its margin."""
    survey = one_tub()
    answer = solved_by(survey)
    assert answer.status is Status.OPTIMAL
    chosen = answer.designs[0]
    assert chosen.hot_water is not None and chosen.hot_water.duty.demand.flow_m3_s is not None
    assert chosen.hot_water.duty.demand.flow_m3_s / GPM == pytest.approx(HAND["one_tub"], abs=2e-3)
    assert chosen.hot_water.heaters[0].carries
    assert [w for w in answer.warnings if "nc-direct-160 is left out" in w]


def test_the_checker_refuses_that_design_for_two_baths() -> None:
    """The same design handed in for the house as it is: its heater is too small."""
    design = solved_by(one_tub()).designs[0].design
    findings = check(solved(NAME).survey, design).findings
    broken = [f for f in findings if f.verdict in BROKEN]
    assert [f.rule_id for f in broken] == ["demand.capacity"]
    assert f"{HAND['asked']:g} gpm" in broken[0].detail


def test_without_fixtures_nothing_is_judged() -> None:
    """The cheapest heater wins as if nobody bathed, and the answer says that its size was not judged."""
    survey = one_tub()
    silent = replace(survey, water=replace(survey.water, fixtures=()))
    answer = solved_by(silent)
    assert answer.designs[0].hot_water is None
    assert answer.designs[0].design.heater.id == "nc-direct-160"
    assert any("the heater's size against the demand for hot water" in w for w in answer.warnings)
