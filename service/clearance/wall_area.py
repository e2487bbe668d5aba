"""The wall itself as zones: a disc must lie on it wholly and over none of its openings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from service.building.model import Facade
from service.clearance.model import FAR_MM, Zone

Box = tuple[int, int, int, int]


def wall_zones(facade: Facade, radius_mm: int, rule_id: str) -> Iterator[Zone]:
    """Zones of the centre of a disc that would leave the facade's spans or cover a part of a hole [mm]."""
    square = radius_mm * radius_mm
    for s0, s1, z0, z1 in outside(facade.spans):
        yield Zone(facade.id, s0, s1, z0, z1, square, rule_id, facade.id)
    for hole in facade.holes:
        yield Zone(facade.id, hole.s0, hole.s1, hole.z0, hole.z1, square, rule_id, hole.opening_id)


def outside(boxes: Sequence[Box]) -> list[Box]:
    """Boxes (s0, s1, z0, z1) that fill the plane but for the given ones."""
    cuts = sorted({-FAR_MM, FAR_MM, *(s for b in boxes for s in b[:2])})
    slabs = [(s0, s1, _gaps([b for b in boxes if b[0] <= s0 and s1 <= b[1]])) for s0, s1 in pairwise(cuts)]
    joined: list[tuple[int, int, list[tuple[int, int]]]] = []
    for s0, s1, gaps in slabs:
        if joined and joined[-1][2] == gaps:
            joined[-1] = (joined[-1][0], s1, gaps)
        else:
            joined.append((s0, s1, gaps))
    return [(s0, s1, z0, z1) for s0, s1, gaps in joined for z0, z1 in gaps]


def _gaps(boxes: Sequence[Box]) -> list[tuple[int, int]]:
    gaps, top = [], -FAR_MM
    for z0, z1 in sorted((b[2], b[3]) for b in boxes):
        if z0 > top:
            gaps.append((top, z0))
        top = max(top, z1)
    return [*gaps, (top, FAR_MM)]
