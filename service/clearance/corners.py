"""Vertical edges where two facades meet, and round which of them a string runs along the walls."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from service.building.model import Building, Facade
from service.clearance.objects import Thing

_MEET_MM = 2
"""Ends of two facades this near are one edge: both are rounded [mm]."""


@dataclass(frozen=True, slots=True)
class Turn:
    """From a facade round an outside corner to another: s there + ``shift`` = s on the first, unfolded.

    Holds for things of the other facade at or beyond ``corner`` in the direction ``away`` (+1: greater s).
    """

    corner: int
    shift: int
    away: int


def turns(building: Building) -> dict[tuple[str, str], Turn]:
    """Every outside corner round which distances are measured along the walls, by (terminal's, thing's facade).

    A corner counts if the two facades end in it and both walls stand there over the whole height that they
    have anywhere; else a shorter way than along the walls may exist.
    """
    found: dict[tuple[str, str], Turn] = {}
    for first in building.facades:
        for second in building.facades:
            if first.id != second.id and _outside_corner(first, second):
                length = first.length_mm
                found[first.id, second.id] = Turn(0, length, 1)
                found[second.id, first.id] = Turn(length, -length, -1)
    return found


def corner_things(building: Building, facade: Facade) -> Iterator[Thing]:
    """The vertical edges in which a facade meets another, as things on its own plane, as high as its walls."""
    low, high = min((x[2] for x in facade.spans), default=0), max((x[3] for x in facade.spans), default=0)
    for other in building.facades:
        for before, after, s in ((facade, other, facade.length_mm), (other, facade, 0)):
            cross = _cross(before, after)
            if other.id != facade.id and cross and _meet(before, after):
                kind = "corner_out" if cross > 0 else "corner_in"
                name = f"corner {before.id}/{after.id}"
                yield Thing(name, frozenset({kind}), (), low, high, facade.id, s, s)


def _meet(first: Facade, second: Facade) -> bool:
    """Whether the one ends where the other begins."""
    return max(abs(first.end[0] - second.start[0]), abs(first.end[1] - second.start[1])) <= _MEET_MM


def _outside_corner(first: Facade, second: Facade) -> bool:
    """Whether ``first`` turns left into ``second`` where the one ends and the other begins."""
    if not _meet(first, second) or _cross(first, second) <= 0:
        return False
    return _whole_at(first, first.length_mm) and _whole_at(second, 0)


def _whole_at(facade: Facade, s: int) -> bool:
    """Whether the wall at ``s`` stands over the whole height that it has anywhere."""
    here = [x for x in facade.spans if x[0] <= s <= x[1]]
    return bool(here) and _heights(here) == _heights(facade.spans)


def _heights(spans: Iterable[tuple[int, int, int, int]]) -> list[tuple[int, int]]:
    """Height ranges that the spans take together, sorted and apart."""
    ranges: list[tuple[int, int]] = []
    for z0, z1 in sorted(x[2:] for x in spans):
        if ranges and z0 <= ranges[-1][1]:
            ranges[-1] = (ranges[-1][0], max(z1, ranges[-1][1]))
        else:
            ranges.append((z0, z1))
    return ranges


def _cross(first: Facade, second: Facade) -> int:
    ax, ay = first.end[0] - first.start[0], first.end[1] - first.start[1]
    bx, by = second.end[0] - second.start[0], second.end[1] - second.start[1]
    return ax * by - ay * bx
