"""Faults of the places that a survey asks about."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from shapely import MultiLineString, Point, Polygon

from service.errors import Fault
from service.survey.divided import passable_rooms
from service.survey.model import Point2, Question, Room, Survey

REACH_MM = 1_000
"""How far a place asked about may be from the wall it is meant to be at; thick outer walls are within it [mm]."""


def question_faults(survey: Survey) -> Iterator[Fault]:
    """Rooms that there are not, points at no wall, and dwellings that are not told of. Outlines must be sound by
    themselves."""
    rooms = {r.id: r for s in survey.storeys for r in s.rooms}
    for i, question in enumerate(survey.what_about):
        yield from _mount_faults(f"#/what_about/{i}/mount", question, rooms)
        yield from _dwelling_faults(f"#/what_about/{i}", question, survey)
        if question.terminal is not None and not _is_at(question.terminal.at, rooms.values()):
            yield Fault(f"#/what_about/{i}/terminal/at", "not_at_a_wall", f"no wall within {REACH_MM} mm of the point")


def _mount_faults(place: str, question: Question, rooms: dict[str, Room]) -> Iterator[Fault]:
    asked = question.mount
    if asked is None:
        return
    if asked.room not in rooms:
        yield Fault(f"{place}/room", "unknown_room", f"there is no room {asked.room!r}")
    elif not _is_at(asked.at, [rooms[asked.room]]):
        yield Fault(f"{place}/at", "not_at_a_wall", f"no wall of room {asked.room!r} within {REACH_MM} mm of the point")


def _dwelling_faults(place: str, question: Question, survey: Survey) -> Iterator[Fault]:
    """Of several heaters it must be known which one is asked about; it hangs in no room of the others."""
    own, asked = next((d for d in survey.dwellings if d.id == question.dwelling), None), question.mount
    if survey.dwellings and question.dwelling is None:
        yield Fault(f"{place}/dwelling", "missing", "with dwellings a place is asked about for one of them")
    elif own is None and question.dwelling is not None:
        yield Fault(f"{place}/dwelling", "unknown_reference", f"there is no dwelling {question.dwelling!r}")
    elif own is not None and asked is not None and asked.room not in passable_rooms(survey, own):
        yield Fault(f"{place}/mount/room", "contradiction", f"room {asked.room!r} is of another dwelling")


def _is_at(point: Point2, rooms: Iterable[Room]) -> bool:
    walls = MultiLineString([Polygon(r.outline).exterior for r in rooms])
    return bool(walls.distance(Point(point)) <= REACH_MM)
