"""Facts of rooms through the intake: read in the caller's units, refused where they contradict one another."""

from __future__ import annotations

from typing import Any

import pytest

from service.survey.model import Access, Enclosure, GarageKind, Passage, Room, RoomUse
from tests.unit.survey_documents import changed, load, places, smallest

INCH = {"unit": "in"}
WAY = {
    "opening": {"width": 2.5, "height": {"value": 30, **INCH}},
    "passage": {
        "length": 20, "width": {"value": 22, **INCH}, "height": {"ft": 2, "in": 6}, "floor_width": 2,
        "below_grade": {"value": 12, **INCH}, "lining_above_grade": {"value": 4, **INCH},
    },
    "platform": {"depth": 2.5, "width": 2.5},
    "light": True,
    "receptacle": False,
    "removable_through_opening": False,
}  # fmt: skip


def first_room(**facts: Any) -> dict[str, Any]:
    """The smallest survey in feet, its room with facts."""
    document = smallest()
    document["units"] = "us"
    document["storeys"][0]["rooms"][0].update(facts)
    return document


def room_of(document: dict[str, Any]) -> Room:
    """As the service reads it."""
    return load(document).storeys[0].rooms[0]


def test_access_in_any_unit() -> None:
    """22 in are 559 mm, 12 in 305, 4 in 102, as the code prints them."""
    way = Passage(6096, 559, 762, 610, 305, 102)
    assert room_of(first_room(use="attic", access=WAY)).access == Access(762, 762, way, 762, 762, True, False, False)


def test_what_is_not_stated_is_not_known() -> None:
    """And a room without any of it is as before."""
    assert room_of(first_room(use="attic", access={"passage": {"width": 3}})).access == Access(
        passage=Passage(width_mm=914)
    )
    kept = room_of(first_room(use="closet", enclosure={"nothing_stored": True}))
    assert kept.enclosure == Enclosure(None, None, True)
    plain = room_of(first_room())
    assert (plain.access, plain.enclosure, plain.garage, plain.serviced_through_door) == (None, None, None, False)
    assert room_of(first_room(use="garage", garage="public")).garage is GarageKind.PUBLIC
    assert room_of(first_room(use="plenum")).use is RoomUse.PLENUM


def test_flood_elevation() -> None:
    """In the survey's datum, below zero too; absent unless given."""
    assert load(first_room()).site.flood_elevation_mm is None
    assert load(changed(first_room(), lambda d: d.update(site={"flood_elevation": -2}))).site.flood_elevation_mm == -610


@pytest.mark.parametrize(
    ("facts", "place", "code"),
    [
        ({"use": "bedroom", "enclosure": {}}, "enclosure", "contradiction"),
        ({"use": "kitchen", "garage": "private"}, "garage", "contradiction"),
        ({"use": "basement", "access": {}}, "access", "contradiction"),
        ({"use": "closet", "serviced_through_door": True}, "serviced_through_door", "missing"),
        ({"use": "attic", "access": {"ladder": True}}, "access/ladder", "unknown_field"),
        ({"use": "attic", "access": {"opening": {"width": 0}}}, "access/opening/width", "out_of_range"),
        ({"use": "attic", "access": {"passage": {"length": -1}}}, "access/passage/length", "out_of_range"),
        ({"use": "attic", "access": {"light": "yes"}}, "access/light", "wrong_type"),
        ({"use": "garage", "garage": "shared"}, "garage", "not_a_choice"),
    ],
)
def test_refused(facts: dict[str, Any], place: str, code: str) -> None:
    """With the place in the document."""
    assert (f"#/storeys/0/rooms/0/{place}", code) in places(first_room(**facts))
