"""All anchors of a service for given planes: fixed ends, and old straight pipes at every plane that they cross."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from math import dist

import shapely

from service.design import Piece, Surface
from service.routing.ends import Anchor, AnchorLine, stub
from service.routing.house_grids import is_square
from service.routing.planes import Ints
from service.routing.sheets import CeilingSheet, Sheets, WallSheet
from service.survey.model import Point3


def anchors_on(
    coordinates: tuple[Ints, Ints, Ints], sheets: Sheets, anchors: Iterable[Anchor], lines: Iterable[AnchorLine],
    outdoors: bool = False,
) -> tuple[Anchor, ...]:  # fmt: skip
    """``Tied.at`` for ends that are asked for once."""
    return Tied(sheets, anchors, lines).at(coordinates, outdoors)


@dataclass(frozen=True, slots=True)
class Met:
    """An anchor as runs meet it: at its tail, directly where its pipe lies on a wall or ceiling, and from outdoors."""

    begun: Anchor
    met: Anchor | None
    before: Anchor | None


@dataclass(frozen=True, slots=True)
class _Line:
    """An old pipe, its ends, and what was found at planes between, by coordinate [mm]."""

    line: AnchorLine
    ends: tuple[Met, ...]
    cut: dict[int, Met] = field(default_factory=dict)


class Tied:
    """A service's ends in a house. What was found of a pipe at a plane is kept: most planes come again.

    A tail begins where it leaves the surfaces of its room: what of it lies on a wall or under the ceiling is run like
    any other, past no opening and no keep-out. Where a pipe that is reached by a tail itself lies on a wall or ceiling,
    it can also be met there directly.
    """

    def __init__(self, sheets: Sheets, anchors: Iterable[Anchor], lines: Iterable[AnchorLine]) -> None:
        self._sheets, self._surfaces = sheets, _Surfaces.of(sheets)
        self._fixed = [self._meet(a) for a in anchors]
        self._lines = [_Line(line, (*self._ended(line, line.a), *self._ended(line, line.b))) for line in lines]

    def at(self, coordinates: tuple[Ints, Ints, Ints], outdoors: bool = False) -> tuple[Anchor, ...]:
        """All anchors; existing straight pipes are cut at every critical plane. ``outdoors``: as well those that are
        met without a way in, from where a heater may hang before the wall that they are tied to."""
        every = [*self._fixed, *self._on_lines(coordinates)]
        met = (m.met for m in every)
        before = (m.before for m in every if outdoors)
        return (*(m.begun for m in every), *(a for a in (*met, *before) if a is not None))

    def _on_lines(self, coordinates: tuple[Ints, Ints, Ints]) -> Iterator[Met]:
        for pipe in self._lines:
            yield from pipe.ends
            for axis, v in _between(pipe.line, coordinates):
                if v not in pipe.cut:
                    pipe.cut[v] = self._meet(_cut_at(pipe.line, axis, v))
                yield pipe.cut[v]

    def _ended(self, line: AnchorLine, a: Anchor) -> Iterator[Met]:
        """The end of an old pipe. Where the tail of an upright one lies under the ceiling, and those below do not, it
        may be reached as they are, too: else the cheapest place would be a hair's breadth below it."""
        met = self._meet(a)
        yield met
        if line.axis == 2 and met.begun is not a and not self._surfaces.hold_on_a_wall(a.room, a.tail[0]):
            yield Met(a, None, None)

    def _meet(self, a: Anchor) -> Met:
        begun = _begun(self._surfaces, a)
        direct = begun.tail and self._surfaces.reach(begun.room, begun.real)
        through = a.tail and a.tail[0].surface is Surface.OUTER_WALL
        return Met(
            begun, replace(begun, point=begun.real, tail=()) if direct else None,
            _before(self._sheets, a) if through else None,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Surfaces:
    """Walls along the axes by room, axis and plane, and ceilings by room: the surfaces with a node at every place."""

    walls: dict[tuple[int, int, int], list[WallSheet]]
    ceilings: dict[int, CeilingSheet]

    @classmethod
    def of(cls, sheets: Sheets) -> _Surfaces:
        planes: dict[tuple[int, int, int], list[WallSheet]] = {}
        for w in sheets.walls:
            if not w.is_skew:
                planes.setdefault((w.room, w.axis, w.plane), []).append(w)
        return cls(planes, {c.room_index: c for c in sheets.ceilings})

    def reach(self, room: int, p: Point3) -> bool:
        """Whether a point lies on a wall of a room, or as high as its ceiling."""
        return p[2] == self.ceilings[room].room.ceiling_z or self._on_a_wall(room, p, p)

    def hold(self, room: int, piece: Piece) -> bool:
        """Whether a straight piece lies on a wall of a room, or under its ceiling."""
        return self.hold_on_a_wall(room, piece) or self._under(self.ceilings[room], piece)

    def hold_on_a_wall(self, room: int, piece: Piece) -> bool:
        """Whether a straight piece lies on a wall of a room."""
        return self._on_a_wall(room, piece.start, piece.end)

    def _on_a_wall(self, room: int, p: Point3, q: Point3) -> bool:
        beside = (w for axis in (0, 1) for w in self.walls.get((room, axis, p[1 - axis]), ()))
        return any(_holds(w, p) and _holds(w, q) for w in beside)

    def _under(self, ceiling: CeilingSheet, piece: Piece) -> bool:
        outline = ceiling.room.outline
        level = piece.start[2] == piece.end[2] == ceiling.room.ceiling_z
        if not level or not is_square(outline):
            return False
        return bool(shapely.Polygon(outline).covers(shapely.LineString([piece.start[:2], piece.end[:2]])))


def _holds(w: WallSheet, p: Point3) -> bool:
    on = p[w.normal_axis] == w.plane and w.span[0] <= p[w.axis] <= w.span[1]
    return on and w.face.z0 <= p[2] <= w.face.z1


def _begun(surfaces: _Surfaces, a: Anchor) -> Anchor:
    """An anchor moved on along its tail as far as that lies on one surface after the other."""
    tail = a.tail
    while tail and tail[0].surface is Surface.STUB and surfaces.hold(a.room, tail[0]):
        tail = tail[1:]
    return a if tail == a.tail else replace(a, point=tail[0].start if tail else a.real, tail=tail)


def _before(sheets: Sheets, a: Anchor) -> Anchor | None:
    """An anchor beyond an outer wall as it is seen from a heater that hangs right before it; None where it lies within
    the wall, or no heater may hang."""
    for k in sheets.outer_crossings:
        if k.wall.face.id == a.sheet and k.is_outside(a.real[:2]):
            at = round(dist(a.point[:2], k.wall.face.start)) if k.wall.is_skew else a.point[k.wall.axis]
            s = k.wall.distance(at)
            if k.s0 <= s <= k.s1:
                point = (*k.facade.point(s + k.shift), a.point[2])
                return replace(a, room=k.rooms + a.room, point=point, tail=stub(point, a.real))
    return None


def _between(line: AnchorLine, coordinates: tuple[Ints, Ints, Ints]) -> list[tuple[int, int]]:
    """Planes strictly between a line's ends: axis and coordinate [mm]; none for a line that is not straight on one
    sheet."""
    axis = line.axis
    if axis is None or line.a.room != line.b.room or line.a.sheet != line.b.sheet:
        return []
    lo, hi = sorted((line.a.point[axis], line.b.point[axis]))
    values = coordinates[axis]
    return [(axis, v) for v in values[(values > lo) & (values < hi)].tolist()]


def _cut_at(line: AnchorLine, axis: int, v: int) -> Anchor:
    """The anchor of a line at a plane."""
    first = min(line.a, line.b, key=lambda end: end.point[axis])
    upstream = max(line.b.upstream_mm - abs(v - line.b.point[axis]), 0)
    return moved(first, axis, v - first.point[axis], line.end_id, upstream)


def moved(a: Anchor, axis: int, shift: int, end_id: str, upstream_mm: int) -> Anchor:
    """An anchor with its tail, shifted along an axis."""

    def move(p: tuple[int, int, int]) -> tuple[int, int, int]:
        q = list(p)
        q[axis] += shift
        return q[0], q[1], q[2]

    tail = tuple(Piece(move(p.start), move(p.end), p.surface) for p in a.tail)
    return replace(a, end_id=end_id, point=move(a.point), tail=tail, upstream_mm=upstream_mm)
