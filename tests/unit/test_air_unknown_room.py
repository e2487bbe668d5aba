"""An existing appliance whose room is not known takes air from whatever room a heater hangs in."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.building.build import build
from service.check.air import air_findings
from service.design import Design, Verdict
from service.rules.catalogue import heaters
from service.siting.air_plan import AirPlan
from service.siting.needs import extras_in, needs_of
from service.survey.model import Appliance, Survey
from tests.unit.check_house import design, house, plant

BTU_H_W = 0.29307107
HEATER = heaters()["co-room-120"]
CASES = [("plant", True), (None, True), ("attic", False)]


def tall(room: str | None) -> Survey:
    """A room of 170.4 m3, just enough for 120,000 Btu/h (50 ft3 for 1,000, IFGC 304.5.1, read), and a
    furnace of 40,000 Btu/h whose draft is not known."""
    at = house(openings=(), rooms=(plant(ceiling_z_mm=7100),), on={"ceiling_z_mm": 7100})
    furnace = Appliance("furnace", "furnace", 40_000 * BTU_H_W, None, room, at.gas.delivery_node)
    return replace(at, heaters=(HEATER,), gas=replace(at.gas, appliances=(furnace,), meter_capacity_w=1e6))


def hung(at: Survey) -> Design:
    """A room-air heater without openings to outdoors."""
    return replace(design(at, heater=HEATER), air_openings=False)


@pytest.mark.parametrize(("room", "short"), CASES)
def test_checker_counts_it(room: str | None, short: bool) -> None:
    """In the same room or nobody knows where: air is short. Elsewhere: it is not."""
    at = tall(room)
    (volume,) = (f for f in air_findings(at, build(at), hung(at)) if f.rule_id == "air.volume")
    assert volume.verdict is (Verdict.FAIL if short else Verdict.PASS)


@pytest.mark.parametrize(("room", "short"), CASES)
def test_search_buys_openings_for_it(room: str | None, short: bool) -> None:
    """The search comes to the same: openings to outdoors are bought where air is short."""
    at = tall(room)
    building = build(at)
    extras = extras_in(AirPlan(at, building), at, building.rooms[0], needs_of(at)[0][0])
    assert extras is not None and extras.air_openings is short
