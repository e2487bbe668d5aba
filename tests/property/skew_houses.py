"""The generated houses with corners cut off, so that some of their walls are skew. All invented."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from service.survey.model import Point2, Room, Storey, Survey


def cut_corners(survey: Survey, seed: int) -> Survey:
    """The house with an outer corner of some rooms cut off; the same for the same seed. It may be no sound survey: an
    opening may lie where there is no wall any more."""
    r = Random(f"corners {seed}")
    return replace(survey, storeys=tuple(_cut(r, storey) for storey in survey.storeys))


def _cut(r: Random, storey: Storey) -> Storey:
    """Of the first room a corner at its west end, of others at their east end."""
    rooms = (_without_corner(r, room, r.choice((0, 3) if k == 0 else (1, 2))) for k, room in enumerate(storey.rooms))
    return replace(storey, rooms=tuple(rooms), walls=())


def _without_corner(r: Random, room: Room, corner: int) -> Room:
    before, here, after = (room.outline[(corner + k) % 4] for k in (-1, 0, 1))
    even = r.random() < 0.5
    cuts = (700, 700) if even else (r.randint(300, 1200), r.randint(300, 1200))
    if r.random() < 0.4:
        return room
    edge = _toward(here, before, cuts[0]), _toward(here, after, cuts[1])
    return replace(room, outline=(*room.outline[:corner], *edge, *room.outline[corner + 1 :]))


def _toward(p: Point2, q: Point2, by_mm: int) -> Point2:
    x, y = (a + by_mm * ((b > a) - (b < a)) for a, b in zip(p, q, strict=True))
    return x, y
