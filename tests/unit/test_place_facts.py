"""The search offers a room only where the survey states every fact that opens it; the answer has passed the checker."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.rules.catalogue import heaters
from service.settings import Settings
from service.survey.model import Access, Enclosure, Room, RoomUse, Survey
from service.usecases.place import place
from service.usecases.results import Placement, Status
from tests.unit.check_house import house, plant
from tests.unit.place_house import WHOLE_WAY


def placed(room: Room, **changes: object) -> Placement:
    """The one-room house with its room so."""
    at: Survey = replace(house(rooms=(room,)), **changes)  # type: ignore[arg-type]
    return place(at, Settings())


def rules_that_close(found: Placement) -> set[str]:
    """Rules with a share of some wall."""
    return {rule for c in found.coverage if c.kind == "wall" for rule, _ in c.by_rule}


@pytest.mark.usefixtures("no_ways_out")
@pytest.mark.parametrize("use", [RoomUse.ATTIC, RoomUse.CRAWL_SPACE])
def test_attic_and_crawl_space(use: RoomUse) -> None:
    """Closed as ever without a word on the way in, closed with a fact missing, open with all of them."""
    assert placed(plant(use=use, access=WHOLE_WAY)).status is Status.OPTIMAL
    for given in (None, Access(), replace(WHOLE_WAY, platform_width_mm=None)):
        found = placed(plant(use=use, access=given))
        assert found.status is Status.INFEASIBLE
        assert rules_that_close(found) & {"AC4", "AC7-SPACE"}


@pytest.mark.usefixtures("no_ways_out")
@pytest.mark.parametrize(("stored_nothing", "status"), [(True, Status.OPTIMAL), (None, Status.INFEASIBLE)])
def test_sealed_enclosure(stored_nothing: bool | None, status: Status) -> None:
    """A heater that burns room air in a store room kept for it; its air is priced from outdoors."""
    room = plant(use=RoomUse.STORAGE, enclosure=Enclosure(True, True, stored_nothing))
    found = placed(room, heaters=(heaters()["nc-room-120"],))
    assert found.status is status
    if status is Status.OPTIMAL:
        assert found.designs[0].design.air_openings


@pytest.mark.usefixtures("no_ways_out")
def test_flood_elevation_raises_the_heater() -> None:
    """The case's bottom is at it or above; too high for the room, there is no place."""
    at = house()
    low = place(at, Settings())
    assert low.designs[0].design.mount.bottom_z_mm < 1_700
    high = place(replace(at, site=replace(at.site, flood_elevation_mm=1_700)), Settings())
    assert high.designs[0].design.mount.bottom_z_mm >= 1_700
    assert place(replace(at, site=replace(at.site, flood_elevation_mm=2_900)), Settings()).status is Status.INFEASIBLE


def test_alarms_come_with_the_answer() -> None:
    """With a caution that points to them."""
    found = place(house(), Settings())
    assert [a.rule_id for a in found.alarms] == ["CL6-STOREY"]
    assert "alarms" in found.cautions[-1]
