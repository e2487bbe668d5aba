"""Water lines of a house as one tree of pipe: where things hang on it, and which pipe lies between two places.

A survey tells lines as polylines. One that touches no other is taken to be joined to the rest where they are nearest.
Points are in one frame in whole millimetres; distances along pipe that runs obliquely are rounded.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import dist

from service.survey.house import Point3

_LOOKS = 4
"""Times that two pipes look for their nearest points in turn; two suffice where both run along axes."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on the pipe: index of the line, and how far from its first point [mm]."""

    line: int
    at_mm: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """Pipe of one line between two distances [mm]. What joins a line to the rest lies before its first point, at
    distances below nought."""

    line: int
    lo_mm: int
    hi_mm: int

    @property
    def length_mm(self) -> int:
        """Its length [mm]."""
        return self.hi_mm - self.lo_mm


@dataclass(frozen=True, slots=True)
class _Joint:
    """Where a line leaves another: on itself, on the other, and what lies between [mm]."""

    own_mm: int
    onto: Spot
    gap_mm: int


class Pipework:
    """Lines as a tree."""

    def __init__(self, paths: Sequence[tuple[Point3, ...]]) -> None:
        """``paths``: at least one polyline; the longest is the trunk."""
        self.paths = tuple(paths)

    @cached_property
    def _starts(self) -> list[list[int]]:
        """Distance of every point of every line from its first [mm]."""
        out = []
        for path in self.paths:
            along = [0]
            for a, b in pairwise(path):
                along.append(along[-1] + round(dist(a, b)))
            out.append(along)
        return out

    @cached_property
    def _joints(self) -> dict[int, _Joint]:
        """How each line but the trunk hangs on those joined before it; the nearest is joined first."""
        trunk = max(range(len(self.paths)), key=lambda i: (self._starts[i][-1], -i))
        joined, out = [trunk], dict[int, _Joint]()
        while len(joined) < len(self.paths):
            rest = [i for i in range(len(self.paths)) if i not in joined]
            _, line, own, onto, gap = min(self._gaps(rest, joined))
            out[line] = _Joint(own, Spot(*onto), gap)
            joined.append(line)
        return out

    @property
    def gaps_mm(self) -> tuple[tuple[int, int], ...]:
        """Lines that touch no other, each with the length of pipe taken to join it [mm]."""
        return tuple((i, j.gap_mm) for i, j in sorted(self._joints.items()) if j.gap_mm)

    def _gaps(self, rest: list[int], joined: list[int]) -> Iterator[tuple[int, int, int, tuple[int, int], int]]:
        for i in rest:
            for j in joined:
                for own, a, b in self._parts(i):
                    for other, c, d in self._parts(j):
                        p, q = _nearest_pair((a, b), (c, d))
                        gap = _apart(p, q)
                        yield gap, i, own + round(dist(a, p)), (j, other + round(dist(c, q))), gap

    def _parts(self, line: int) -> Iterator[tuple[int, Point3, Point3]]:
        path = self.paths[line]
        yield from zip(self._starts[line], path, path[1:], strict=False)

    def nearest(self, at: Point3, line: int | None = None) -> tuple[Spot, Point3]:
        """Place of the pipe nearest to a point, on one line or on any, and its point; ties go to the first."""
        lines = range(len(self.paths)) if line is None else (line,)
        found = (
            (_apart(at, foot := _foot(at, a, b)), i, start + round(dist(a, foot)), foot)
            for i in lines
            for start, a, b in self._parts(i)
        )
        _, i, along, foot = min(found)
        return Spot(i, along), foot

    def way(self, a: Spot, b: Spot) -> tuple[Stretch, ...]:
        """Pipe between two places; stretches of no length are left out."""
        up_a, up_b = list(self._upward(a)), list(self._upward(b))
        below_b = {s.line: s for s in up_b}
        meet = next(s for s in up_a if s.line in below_b)
        found = [*self._climb(up_a, meet.line), *self._climb(up_b, meet.line), _between(meet, below_b[meet.line])]
        return tuple(s for s in found if s.length_mm)

    def _upward(self, spot: Spot) -> Iterator[Spot]:
        """Where the way to the trunk enters each line."""
        yield spot
        while spot.line in self._joints:
            spot = self._joints[spot.line].onto
            yield spot

    def _climb(self, spots: list[Spot], top: int) -> Iterator[Stretch]:
        for spot in spots:
            if spot.line == top:
                return
            joint = self._joints[spot.line]
            yield _between(spot, Spot(spot.line, joint.own_mm))
            yield Stretch(spot.line, -joint.gap_mm, 0)


def _between(a: Spot, b: Spot) -> Stretch:
    lo, hi = sorted((a.at_mm, b.at_mm))
    return Stretch(a.line, lo, hi)


def _apart(a: Point3, b: Point3) -> int:
    """Length of pipe between two points, along the axes [mm]."""
    return sum(abs(p - q) for p, q in zip(a, b, strict=True))


def _foot(at: Point3, a: Point3, b: Point3) -> Point3:
    """Point of a straight pipe nearest to another, in whole millimetres."""
    u = [q - p for p, q in zip(a, b, strict=True)]
    length2 = sum(x * x for x in u)
    w = sum(x * (p - q) for x, p, q in zip(u, at, a, strict=True))
    t = min(max(w / length2, 0.0), 1.0) if length2 else 0.0
    x, y, z = (round(p + t * d) for p, d in zip(a, u, strict=True))
    return x, y, z


def _nearest_pair(one: tuple[Point3, Point3], other: tuple[Point3, Point3]) -> tuple[Point3, Point3]:
    p = one[0]
    q = _foot(p, *other)
    for _ in range(_LOOKS):
        p = _foot(q, *one)
        q = _foot(p, *other)
    return p, q
