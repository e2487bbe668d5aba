"""Rooms that a fact of the survey opens or closes: enclosures, garages, floods, doors, local changes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.design import Verdict
from service.survey.equipment import Draft
from service.survey.model import Amendment, Enclosure, Figure, GarageKind, Opening, OpeningKind, RoomUse
from tests.unit.clearance_site import feet, heater, inches
from tests.unit.place_house import broken, found, missing, two_rooms, verdicts

ROOM_AIR = heater(Draft.ROOM_AIR)
PASS, FAIL, UNKNOWN, ADVICE = Verdict.PASS, Verdict.FAIL, Verdict.UNKNOWN, Verdict.ADVICE


def a_door(width: int = 1_000, head: int = 2_100, sill: int = 0, kind: OpeningKind = OpeningKind.DOOR) -> Opening:
    """In the wall between the rooms, 3 m off the south wall."""
    return Opening("door", kind, (1_500, 3_050), (1_500 + width, 3_050), sill, head, True, True)


@pytest.mark.parametrize(
    ("stated", "verdict", "fact"),
    [
        (Enclosure(True, True, True), PASS, set()),
        (Enclosure(True, True, False), FAIL, set()),
        (Enclosure(None, True, False), FAIL, set()),
        (Enclosure(True, None, True), UNKNOWN, {"enclosure.air_from_outdoors of room here"}),
        (Enclosure(), UNKNOWN, {
            "enclosure.gasketed_self_closing_door of room here, enclosure.air_from_outdoors of room here, "
            "enclosure.nothing_stored of room here"}),
        (None, FAIL, set()),
    ],
)  # fmt: skip
def test_only_an_enclosure_stated_in_full_lifts_the_rule(
    stated: Enclosure | None, verdict: Verdict, fact: set[str]
) -> None:
    """IFGC 303.3 exception (read): gasketed self-closing door, outdoor air, nothing stored."""
    at = two_rooms(RoomUse.CLOSET, beyond=RoomUse.BEDROOM, opens_only_into="beyond", enclosure=stated)
    result = found(at, ROOM_AIR)
    assert verdicts(result, "RM1") == {verdict} and missing(result, "RM1") == fact
    assert broken(found(at)) == set()


def test_canada_knows_no_enclosure() -> None:
    """B149.1 excepts direct vent alone (read)."""
    facts = {"rules": "ca-b149", "beyond": RoomUse.BEDROOM, "opens_only_into": "beyond"}
    at = two_rooms(RoomUse.CLOSET, enclosure=Enclosure(True, True, True), **facts)  # type: ignore[arg-type]
    assert verdicts(found(at, ROOM_AIR), "RM7") == {FAIL}


def test_a_known_bathroom_fails_whatever_lies_beyond() -> None:
    """An unknown use leaves a verdict open only where it decides."""
    bath = two_rooms(RoomUse.BATHROOM, beyond=RoomUse.UNKNOWN, opens_only_into="beyond")
    assert verdicts(found(bath, ROOM_AIR), "RM1") == {FAIL}
    off_unknown = two_rooms(RoomUse.UTILITY, beyond=RoomUse.UNKNOWN, opens_only_into="beyond")
    assert verdicts(found(off_unknown, ROOM_AIR), "RM1") == {UNKNOWN}
    stair = two_rooms(RoomUse.STAIR, beyond=RoomUse.UNKNOWN, opens_only_into="beyond")
    assert verdicts(found(stair), "RM9") == {FAIL}


@pytest.mark.parametrize("use", [RoomUse.STAIR, RoomUse.PLENUM, RoomUse.HAZARDOUS])
def test_rooms_for_no_heater_at_all(use: RoomUse) -> None:
    """Exit enclosures, plenums, hazardous locations (memory)."""
    assert verdicts(found(two_rooms(use)), "RM9") == {FAIL}


@pytest.mark.parametrize(
    ("head", "bottom", "verdict"),
    [
        (2_000, 2_439, PASS),  # 8 ft are 2438.4 mm; a foot over a door of 2 m is less
        (2_000, 2_438, FAIL),
        (2_400, 2_705, PASS),  # a foot over a door of 2.4 m
        (2_400, 2_704, FAIL),
    ],
)
def test_public_garage(head: int, bottom: int, verdict: Verdict) -> None:
    """8 ft over the floor and a foot over the garage door (IFGC 305.4, memory)."""
    door = a_door(head=head, kind=OpeningKind.GARAGE_DOOR)
    high = two_rooms(RoomUse.GARAGE, openings=(door,), garage=GarageKind.PUBLIC)
    here, beyond = high.storeys[0].rooms
    high = replace(high, storeys=(replace(high.storeys[0], rooms=(replace(here, ceiling_z_mm=4_000), beyond)),))
    found_there = verdicts(found(high, bottom=bottom), "GA6")
    assert (FAIL in found_there) is (verdict is FAIL)
    assert PASS in found_there or verdict is FAIL


def test_garages_that_are_private_or_not_known() -> None:
    """Not known: taken as private, with advice that names the fact; private: not spoken of."""
    unknown, private = two_rooms(RoomUse.GARAGE), two_rooms(RoomUse.GARAGE, garage=GarageKind.PRIVATE)
    assert verdicts(found(unknown), "GA6") == {ADVICE}
    assert missing(found(unknown), "GA6") == {"garage (private or public) of room here"}
    assert verdicts(found(private), "GA6") == set()
    assert verdicts(found(private), "GA5") == {ADVICE}
    assert verdicts(found(private, bottom=feet(6)), "GA5") == {PASS}


@pytest.mark.parametrize(("flood", "verdict"), [(None, set()), (1_000, {PASS}), (1_001, {FAIL})])
def test_flood_elevation(flood: int | None, verdict: set[Verdict]) -> None:
    """At or above it (read, summary); freeboard by an amendment."""
    at = two_rooms(plot={"flood_elevation_mm": flood})
    assert verdicts(found(at), "CL4") == verdict
    if flood == 1_000:
        more = two_rooms(plot={"flood_elevation_mm": flood, "amendments": (Amendment("CL4", 305, "freeboard"),)})
        assert verdicts(found(more), "CL4") == {FAIL}
        assert verdicts(found(more, bottom=1_305), "CL4") == {PASS}


def test_doors_of_the_room_are_advice_until_enforced() -> None:
    """36 in x 80 in (IFGC 306.2, memory); no door surveyed names the fact."""
    binding = {"amendments": (Amendment("AC11", None, "ours", enforce=True),)}
    for door, soft, hard in (
        ((a_door(914, 2_032),), PASS, PASS),
        ((a_door(913, 2_032),), ADVICE, FAIL),
        ((a_door(914, 2_031),), ADVICE, FAIL),
        ((a_door(914, 2_032, sill=1),), ADVICE, UNKNOWN),
        ((), ADVICE, UNKNOWN),
    ):
        assert verdicts(found(two_rooms(openings=door)), "AC11") == {soft}
        assert verdicts(found(two_rooms(openings=door, plot=binding)), "AC11") == {hard}
    assert missing(found(two_rooms()), "AC11") == {"a door of room here"}


def test_amendments_of_advice() -> None:
    """Binding with or without a distance; a figure that a rule has not changes nothing."""
    local = {"amendments": (Amendment("RM6", None, "supplier", enforce=True),)}
    closet = {"beyond": RoomUse.HALL, "opens_only_into": "beyond"}
    assert verdicts(found(two_rooms(RoomUse.CLOSET, **closet)), "RM6") == {ADVICE}  # type: ignore[arg-type]
    assert verdicts(found(two_rooms(RoomUse.CLOSET, plot=local, **closet)), "RM6") == {FAIL}  # type: ignore[arg-type]
    unknown = two_rooms(RoomUse.UNKNOWN, plot=local)
    assert verdicts(found(unknown), "RM6") == {UNKNOWN}
    raised = two_rooms(RoomUse.GARAGE, plot={"amendments": (Amendment("GA5", 1_200, "ours", enforce=True),)})
    assert verdicts(found(raised, bottom=1_199), "GA5") == {FAIL}
    assert verdicts(found(raised, bottom=1_200), "GA5") == {PASS}
    idle = two_rooms(RoomUse.GARAGE, plot={"amendments": (Amendment("GA5", 1_200, "ours", Figure.GATE, True),)})
    assert verdicts(found(idle, bottom=1_000), "GA5") == {ADVICE}


def closet_with_door(through: bool, **door: int) -> set[str]:
    """Rules broken by a case 250 deep, listed with 300 before it, in a closet 600 deep with a door in front."""
    opening = Opening(
        "door", OpeningKind.DOOR, (door.get("start", 1_300), 650), (door.get("end", 2_700), 650), door.get("sill", 0),
        door.get("head", 2_100), True, True,
    )  # fmt: skip
    case = heater()
    case = replace(case, clearances=replace(case.clearances, front_mm=300))
    at = two_rooms(
        RoomUse.CLOSET, deep=600, openings=(opening,), opens_only_into="beyond", serviced_through_door=through
    )
    return broken(found(at, case, bottom=1_000))


@pytest.mark.parametrize(
    ("through", "door", "rules"),
    [
        (False, {}, {"AC1"}),
        (True, {}, set()),
        # the case reaches from 1750 to 2150: the 30 in lie from 1569 to 2331
        (True, {"start": 1_569, "end": 2_331}, set()),
        (True, {"start": 1_570, "end": 2_331}, {"AC1"}),
        (True, {"start": 1_569, "end": 2_330}, {"AC1"}),
        (True, {"head": 1_600}, set()),  # as high as the case's top
        (True, {"head": 1_599}, {"AC1"}),
        (True, {"sill": 1}, {"AC1"}),
    ],
)
def test_working_space_through_the_open_door_of_a_closet(through: bool, door: dict[str, int], rules: set[str]) -> None:
    """IFGC 306.1, 306.2 (memory): the service space may lie before the open door of a closet."""
    assert closet_with_door(through, **door) == rules


def test_no_working_space_through_a_door_to_another_level() -> None:
    """It is level (IRC M1305.1, read)."""
    opening = Opening("door", OpeningKind.DOOR, (1_300, 650), (2_700, 650), 0, 2_100, True, True)
    at = two_rooms(RoomUse.CLOSET, deep=600, openings=(opening,), opens_only_into="beyond", serviced_through_door=True)
    storey = at.storeys[0]
    lower = replace(storey.rooms[1], floor_z_mm=-200)
    at = replace(at, storeys=(replace(storey, rooms=(storey.rooms[0], lower)),))
    assert "AC1" in broken(found(at))


def test_ground_under_a_crawl_space() -> None:
    """Suspended 6 in over the ground (IFGC 305.7, memory); the manifold asks for more."""
    at = two_rooms(RoomUse.CRAWL_SPACE)
    assert verdicts(found(at, bottom=inches(6)), "CL3") == {PASS}
    assert verdicts(found(at, bottom=inches(6) - 1), "CL3") == {FAIL}
