"""Faults of the places that a survey asks about."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from shapely import MultiLineString, Point, Polygon

from service.errors import Fault
from service.survey.model import Point2, Question, Room, Survey

REACH_MM = 1_000
"""How far a place asked about may be from the wall it is meant to be at; thick outer walls are within it [mm]."""


def question_faults(survey: Survey) -> Iterator[Fault]:
    """Rooms that there are not, and points at no wall. Outlines must be sound by themselves."""
    rooms = {r.id: r for s in survey.storeys for r in s.rooms}
    for i, question in enumerate(survey.what_about):
        yield from _mount_faults(f"#/what_about/{i}/mount", question, rooms)
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


def _is_at(point: Point2, rooms: Iterable[Room]) -> bool:
    walls = MultiLineString([Polygon(r.outline).exterior for r in rooms])
    return bool(walls.distance(Point(point)) <= REACH_MM)
