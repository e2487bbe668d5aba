"""A wall's plane as a ruler: how far along it and how far off it the points of a plan lie, in whole millimetres."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, isqrt

from service.building.model import Facade, Face
from service.survey.model import Point2

_NOISE = 1e-6


@dataclass(frozen=True, slots=True)
class Plane:
    """Line from ``start`` along the unit vector (ux, uy); ``side`` is +1 if n grows to the left of it, else -1."""

    start: Point2
    ux: float
    uy: float
    side: int

    def place(self, p: Point2) -> tuple[float, float]:
        """Plan point -> (s along the wall, n off it) [mm]; exact for walls along an axis."""
        dx, dy = p[0] - self.start[0], p[1] - self.start[1]
        return self.ux * dx + self.uy * dy, self.side * (self.ux * dy - self.uy * dx)

    def point(self, s: float, n: float) -> Point2:
        """Plan point at (s, n), rounded to the millimetre [mm]."""
        left = self.side * n
        return (
            round(self.start[0] + s * self.ux - left * self.uy),
            round(self.start[1] + s * self.uy + left * self.ux),
        )


@dataclass(frozen=True, slots=True)
class Extent:
    """What a thing covers of a plane's ruler: [s0, s1], at least ``off`` away from the plane [mm].

    ``ahead``: part of it lies in front of the plane.
    """

    s0: int
    s1: int
    off: int
    ahead: bool


def facade_plane(facade: Facade) -> Plane:
    """Ruler of a facade; n grows outwards."""
    return _plane(facade.start, facade.end, facade.axis, -1)


def face_plane(face: Face) -> Plane:
    """Ruler of an inside face; n grows into the room."""
    return _plane(face.start, face.end, face.axis, 1)


def extent(plane: Plane, points: Iterable[Point2], reach: int = 0) -> Extent:
    """Bounds of plan points on a ruler, rounded away from nothing: never smaller or farther than they are.

    ``off`` is to what lies between the plane and ``reach`` before it [mm].
    """
    placed = [plane.place(p) for p in points]
    s0, s1, n0, n1 = bounds(placed)
    return Extent(s0, s1, _off(n0, n1, reach), n1 > 0)


def _off(n0: int, n1: int, reach: int) -> int:
    """Gap between [n0, n1] and [0, reach] [mm]."""
    return max(n0 - reach, -n1, 0)


def bounds(placed: Sequence[tuple[float, float]]) -> tuple[int, int, int, int]:
    """Least whole bounds (s0, s1, n0, n1) around placed points [mm]."""
    along, off = [p[0] for p in placed], [p[1] for p in placed]
    return down(min(along)), up(max(along)), down(min(off)), up(max(off))


def down(value: float) -> int:
    """Next lower whole number, forgiving noise of floating point."""
    return floor(value + _NOISE)


def up(value: float) -> int:
    """Next higher whole number, forgiving noise of floating point."""
    return ceil(value - _NOISE)


def half_chord(distance: int, off: int) -> int:
    """Least whole x with x^2 + off^2 >= distance^2; 0 if ``off`` alone is enough [mm]."""
    square = distance * distance - off * off
    if square <= 0:
        return 0
    root = isqrt(square)
    return root if root * root == square else root + 1


def near_outline(plane: Plane, outline: Sequence[Point2], distance: int, reach: int = 0) -> list[tuple[int, int]]:
    """Open intervals of s whose points on the plane's line, or up to ``reach`` before it, lie less than ``distance``
    from the outline's area [mm].

    Exact for edges along or square to the wall; a skew edge counts as the box around its part within reach.
    """
    placed = [plane.place(p) for p in outline]
    edges = list(pairwise([*placed, placed[0]]))
    found = [near for a, b in edges if (near := _near_edge(a, b, distance, reach))]
    crossings = sorted(_crossing(a, b) for a, b in edges if (a[1] > 0) != (b[1] > 0))
    found += [(down(a), up(b)) for a, b in zip(crossings[::2], crossings[1::2], strict=True)]
    return merged(found)


def merged(intervals: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Union of open intervals, sorted; those that only touch stay apart."""
    union: list[tuple[int, int]] = []
    for a, b in sorted(intervals):
        if union and a < union[-1][1]:
            union[-1] = (union[-1][0], max(b, union[-1][1]))
        else:
            union.append((a, b))
    return union


def _near_edge(a: tuple[float, float], b: tuple[float, float], distance: int, reach: int) -> tuple[int, int] | None:
    part = within(a, b, -distance, reach + distance)
    if part is None:
        return None
    s0, s1, n0, n1 = bounds(part)
    chord = half_chord(distance, _off(n0, n1, reach))
    return (s0 - chord, s1 + chord) if chord else None


def within(
    a: tuple[float, float], b: tuple[float, float], low: float, high: float
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Part of an edge, given by (s, n), between two distances off the line; None if it has none strictly between."""
    if a[1] == b[1]:
        return (a, b) if low < a[1] < high else None
    cuts = sorted((edge - a[1]) / (b[1] - a[1]) for edge in (low, high))
    t0, t1 = max(0.0, cuts[0]), min(1.0, cuts[1])
    if t0 >= t1:
        return None
    return _at(a, b, t0), _at(a, b, t1)


def _at(a: tuple[float, float], b: tuple[float, float], t: float) -> tuple[float, float]:
    return a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])


def _crossing(a: tuple[float, float], b: tuple[float, float]) -> float:
    return a[0] + (b[0] - a[0]) * -a[1] / (b[1] - a[1])


def _plane(start: Point2, end: Point2, axis: int | None, side: int) -> Plane:
    dx, dy = end[0] - start[0], end[1] - start[1]
    if axis is not None:
        return Plane(start, float(_sign(dx)), float(_sign(dy)), side)
    length = (dx * dx + dy * dy) ** 0.5
    return Plane(start, dx / length, dy / length, side)


def _sign(value: int) -> int:
    return (value > 0) - (value < 0)
