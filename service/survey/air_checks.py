"""Contradictions in what a survey tells of rooms that share air."""

from __future__ import annotations

from collections.abc import Iterator

from service.errors import Fault
from service.survey.joined import Joined
from service.survey.model import Survey

Told = tuple[str, Joined]
"""Where it stands in the document, and what."""


def joined_faults(survey: Survey) -> Iterator[Fault]:
    """Rooms joined to nothing, to themselves, twice, or otherwise than the other room tells."""
    rooms = [(f"#/storeys/{i}/rooms/{j}", r) for i, s in enumerate(survey.storeys) for j, r in enumerate(s.rooms)]
    known = {r.id for _, r in rooms}
    told: dict[tuple[str, str], Told] = {}
    for place, room in rooms:
        for k, joined in enumerate(room.joined):
            where = f"{place}/joined/{k}/room"
            if joined.room not in known or joined.room == room.id:
                yield Fault(where, "unknown_room", f"there is no other room {joined.room!r}")
            elif (room.id, joined.room) in told:
                yield Fault(where, "duplicate", f"room {joined.room!r} is named already")
            told.setdefault((room.id, joined.room), (where, joined))
    yield from _two_stories(told)


def _two_stories(told: dict[tuple[str, str], Told]) -> Iterator[Fault]:
    for (a, b), (where, joined) in told.items():
        other = told.get((b, a))
        if other is not None and a > b and _facts(joined) != _facts(other[1]):
            yield Fault(where, "contradiction", f"room {b!r} tells otherwise of the same opening")


def _facts(joined: Joined) -> tuple[object, ...]:
    return joined.by, joined.top_area_mm2, joined.bottom_area_mm2
