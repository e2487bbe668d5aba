"""One survey told in feet and in metres is one survey, and has one answer."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.http.schemas import load_survey
from service.settings import Settings
from service.survey.model import Survey, UnitSystem
from tests.property.depth import deep
from tests.property.documents import document
from tests.property.houses import house
from tests.property.solving import CENT, cost_of, heater_of, solved

US_HOUSES = [seed for seed in range(3000, 3030) if house(seed).site.rule_set != "ca-b149"][: min(deep(12, 5), 12)]
"""Canadian codes print other figures for each system, so there the units may matter."""


def told(seed: int, system: UnitSystem) -> Survey:
    """A generated house through the intake in one system of units."""
    return load_survey(document(house(seed), system, "demo"), Settings())


def test_written_geometry_comes_back() -> None:
    """Both systems bring back every storey and pipe to the millimetre (what the test stands on)."""
    for seed in US_HOUSES:
        for system in UnitSystem:
            back = told(seed, system)
            assert (back.storeys, back.water.cold, back.gas.nodes) == (
                house(seed).storeys, house(seed).water.cold, house(seed).gas.nodes
            )  # fmt: skip


@pytest.mark.slow
def test_feet_and_metres_cost_the_same() -> None:
    """The optimum and its heater do not depend on the system of units."""
    differing = []
    for seed in US_HOUSES:
        us, si = (solved(told(seed, system)) for system in (UnitSystem.US, UnitSystem.SI))
        if abs(cost_of(us) - cost_of(si)) > CENT if us.designs and si.designs else us.designs != si.designs:
            differing.append((seed, cost_of(us), cost_of(si), heater_of(us), heater_of(si)))
    assert differing == []


def test_told_twice_is_the_same_survey_but_for_its_units() -> None:
    """Whatever is left after units, notes and the rounding of powers is equal."""
    us, si = (told(US_HOUSES[0], system) for system in (UnitSystem.US, UnitSystem.SI))
    plain = replace(us, assumptions=(), warnings=())
    assert replace(si, units=us.units, assumptions=(), warnings=(), gas=us.gas, site=us.site) == plain
