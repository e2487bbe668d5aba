"""Outer planes of the house: parts of exterior wall in one plane make one facade."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import atan2, cos, degrees, hypot, radians

from service.building.edges import Line, line_between
from service.building.model import Facade, GradeStep
from service.building.outline import Outlines, overlap
from service.building.parts import Part, meet
from service.building.spans import SIDE_GAP_MM, Rect, joined
from service.survey.model import Point2

PLANE_MM = 60
"""Outer planes nearer than this are one facade [mm]."""
CORNER_MM = 700
"""Facade ends this far from their common corner are brought to it [mm]."""
CROSSING = 0.1
"""Sine of the angle from which on two facades have a common corner."""
_PARALLEL_COS = cos(radians(1.0))


@dataclass(frozen=True, slots=True)
class Plane:
    """Facade before it has a name: ``line`` lies on the outer plane, s and spans along it [mm]."""

    line: Line
    axis: int | None
    s0: float
    s1: float
    spans: tuple[Rect, ...]


def outer_planes(parts: list[Part], outlines: Outlines) -> list[Plane]:
    """Facades of the house with their corners joined, counter-clockwise round each volume."""
    planes = sorted((_plane(group) for group in _groups(parts)), key=_place)
    planes, following = _joined_corners(planes)
    planes = [_without_rooms(p, outlines) for p in planes]
    return [planes[i] for i in _round_trip(planes, following) if planes[i].spans]


def _without_rooms(plane: Plane, outlines: Outlines) -> Plane:
    """Plane less the parts before which a room lies, as where two volumes touch at a corner."""
    spans = []
    for s0, s1, z0, z1 in plane.spans:
        at = s0
        for a, b in [*outlines.occupied(plane.line, s0, s1, (z0, z1)), (s1, s1)]:
            if a - at >= 1:
                spans.append((at, a, z0, z1))
            at = max(at, b)
    if not spans or tuple(spans) == plane.spans:
        return replace(plane, spans=tuple(spans))
    ends = min(r[0] for r in spans), max(r[1] for r in spans)
    first, last = (s if abs(s - end) < 1 else end for s, end in zip((plane.s0, plane.s1), ends, strict=True))
    return replace(plane, s0=first, s1=last, spans=tuple(sorted(spans)))


def _place(plane: Plane) -> tuple[float, ...]:
    x, y = plane.line.at(plane.s0)
    return (round(y), round(x), round(plane.line.ux, 6), round(plane.line.uy, 6), plane.s1 - plane.s0)


def _groups(parts: list[Part]) -> list[list[Part]]:
    ordered = sorted(parts, key=_part_place)
    group = list(range(len(ordered)))
    for j, part in enumerate(ordered):
        for i in range(j):
            if group[i] != group[j] and _one_wall(ordered[i], part):
                old, new = max(group[i], group[j]), min(group[i], group[j])
                group = [new if g == old else g for g in group]
    return [[p for p, g in zip(ordered, group, strict=True) if g == k] for k in sorted(set(group))]


def _part_place(part: Part) -> tuple[float, ...]:
    return (*part.edge.start[::-1], *part.edge.end[::-1], part.z0, part.z1, part.s0, part.s1, part.out)


def _one_wall(a: Part, b: Part) -> bool:
    line = a.edge.line
    if line.dot(b.edge.line) < _PARALLEL_COS:
        return False
    shift = line.along(b.edge.line.origin)
    if overlap(a.s0, a.s1, b.s0 + shift, b.s1 + shift) < -SIDE_GAP_MM:
        return False
    middle = b.edge.line.at((b.s0 + b.s1) / 2)
    return abs(line.out(middle) + b.out - a.out) <= PLANE_MM


def _plane(parts: list[Part]) -> Plane:
    longest = max(parts, key=lambda p: (round(p.s1 - p.s0), [-v for v in _part_place(p)]))
    line = longest.edge.line
    out = max(round(line.out(p.edge.line.at((p.s0 + p.s1) / 2))) + p.out for p in parts)
    x, y = line.at(0.0, out)
    outer = replace(line, origin=(round(x), round(y)))
    rects: list[Rect] = []
    for p in parts:
        shift = outer.along(p.edge.line.origin)
        rects.append((round(p.s0 + shift), round(p.s1 + shift), p.z0, p.z1))
    spans = joined(rects)
    return Plane(outer, longest.edge.axis, min(r[0] for r in spans), max(r[1] for r in spans), spans)


def _joined_corners(planes: list[Plane]) -> tuple[list[Plane], dict[int, int]]:
    """Planes whose ends meet at common corners, and which plane follows which."""
    meetings = sorted(
        meeting
        for i, a in enumerate(planes)
        for j, b in enumerate(planes)
        if i != j and (meeting := _meeting(a, b, i, j)) is not None
    )
    ends: dict[int, float] = {}
    starts: dict[int, float] = {}
    following: dict[int, int] = {}
    for _, _, i, j, end, start in meetings:
        if i not in ends and j not in starts:
            ends[i], starts[j], following[i] = end, start, j
    for i, plane in enumerate(planes):
        others = [p for p in planes if p is not plane]
        ends.setdefault(i, _stop(plane, plane.s1, others))
        starts.setdefault(i, _stop(plane, plane.s0, others))
    return [_cut(p, starts[i], ends[i]) for i, p in enumerate(planes)], following


def _stop(plane: Plane, s: float, others: list[Plane]) -> float:
    """Where a wall that ends against the middle of another one stops: at that one's outer plane."""
    found = []
    for other in others:
        if abs(plane.line.cross(other.line)) >= CROSSING and _common_height(plane.spans, other.spans) > 0:
            at, there = meet(plane.line, 0.0, other.line, 0.0), meet(other.line, 0.0, plane.line, 0.0)
            if abs(at - s) <= CORNER_MM and other.s0 < there < other.s1:
                found.append((abs(at - s), at))
    return min(found)[1] if found else s


def _meeting(a: Plane, b: Plane, i: int, j: int) -> tuple[float, float, int, int, float, float] | None:
    """How near the end of ``a`` and the start of ``b`` are to their common corner, None if too far."""
    at_end = [r for r in a.spans if r[1] >= a.s1 - PLANE_MM]
    at_start = [r for r in b.spans if r[0] <= b.s0 + PLANE_MM]
    if abs(a.line.cross(b.line)) < CROSSING or _common_height(at_end, at_start) <= 0:
        return None
    end, start = meet(a.line, 0.0, b.line, 0.0), meet(b.line, 0.0, a.line, 0.0)
    far = max(abs(end - a.s1), abs(start - b.s0))
    if far > CORNER_MM or end <= a.s0 or start >= b.s1:
        return None
    return round(far), -_common_height(at_end, at_start), i, j, end, start


def _common_height(a: Iterable[Rect], b: Sequence[Rect]) -> float:
    return max((overlap(r[2], r[3], q[2], q[3]) for r in a for q in b), default=0.0)


def _cut(plane: Plane, s0: float, s1: float) -> Plane:
    """Plane from ``s0`` to ``s1``: wall that reached the old ends reaches the new ones."""
    spans = []
    for a, b, z0, z1 in plane.spans:
        a = round(s0) if a <= max(plane.s0, s0) else a
        b = round(s1) if b >= min(plane.s1, s1) else b
        if b > a:
            spans.append((a, b, z0, z1))
    return replace(plane, s0=s0, s1=s1, spans=tuple(sorted(spans)))


def _round_trip(planes: list[Plane], following: dict[int, int]) -> list[int]:
    """Order of naming: from the lowest south wall counter-clockwise, then what is left likewise."""
    order: list[int] = []
    left = list(range(len(planes)))
    while left:
        south = [i for i in left if _faces_south(planes[i])] or left
        i: int | None = min(south, key=lambda k: (_place(planes[k]), k))
        while i is not None and i in left:
            order.append(i)
            left.remove(i)
            i = following.get(i)
    return order


def _faces_south(plane: Plane) -> bool:
    return abs(degrees(atan2(plane.line.uy, plane.line.ux))) < 45


def named(planes: Sequence[Plane]) -> tuple[Facade, ...]:
    """Facades F1, F2, ... in the given order, distances counted from each one's start."""
    return tuple(_facade(f"F{i + 1}", plane) for i, plane in enumerate(planes))


def _facade(facade_id: str, plane: Plane) -> Facade:
    start, end = _rounded(plane.line.at(plane.s0)), _rounded(plane.line.at(plane.s1))
    length = round(hypot(end[0] - start[0], end[1] - start[1]))
    zero = round(plane.s0)
    spans = tuple((max(a - zero, 0), min(b - zero, length), z0, z1) for a, b, z0, z1 in plane.spans)
    axis = 0 if start[1] == end[1] else 1 if start[0] == end[0] else None
    return Facade(facade_id, start, end, axis, length, spans, (), (GradeStep(0, length, 0),))


def _rounded(p: tuple[float, float]) -> Point2:
    return round(p[0]), round(p[1])


def facade_line(facade: Facade) -> Line:
    """Line of a facade, outside to its right."""
    return line_between(facade.start, facade.end)
