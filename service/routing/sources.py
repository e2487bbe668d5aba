"""A service's ends as entries into the lattice."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import dist
from typing import Literal

import numpy as np
import shapely

from service.design import Piece, Surface
from service.routing.ends import Anchor, AnchorLine, stub
from service.routing.house_grids import SURFACES, is_square
from service.routing.keys import OBLIQUE_AXIS
from service.routing.lattice import Bools, Lattice
from service.routing.planes import Ints, Planes
from service.routing.sheets import FIRST_SKEW_AXIS, CeilingSheet, Sheets, WallSheet
from service.routing.tariff import Floats, Sources, Tariff
from service.routing.turns import elbows
from service.survey.model import Point3

SIDES: tuple[Literal["left"], Literal["right"]] = ("left", "right")


@dataclass(frozen=True, slots=True)
class Charges:
    """What runs pay at anchors besides their way, shape (n,): anchor index and money units, inf where it is shut.
    An anchor may have several, each a choice, or none."""

    anchors: Ints
    units: Floats

    def on(self, names: Ints) -> tuple[Ints, Ints]:
        """Every pairing of an open charge with an entry of its anchor: positions of entries and of charges."""
        order = np.argsort(names, kind="stable")
        charges = np.flatnonzero(np.isfinite(self.units))
        first, last = (np.searchsorted(names[order], self.anchors[charges], side=side) for side in SIDES)
        count = last - first
        start = np.repeat(first - np.cumsum(count) + count, count)
        return order[start + np.arange(int(count.sum()))], np.repeat(charges, count)


@dataclass(frozen=True, slots=True)
class Tails:
    """What leads from each anchor's point to what it stands for: length [mm] and pieces on each surface, shape
    (anchors, surfaces), and whether a piece goes up or down, shape (anchors,)."""

    length_mm: Floats
    pieces: Floats
    up: Bools
    down: Bools

    def units(self, tariff: Tariff) -> Floats:
        """Money units but for bends, shape (anchors,); inf where the tariff closes a surface, or a piece goes the wrong
        way up or down."""
        rates = np.array([tariff.per_mm.get(s, 0) for s in SURFACES], dtype=np.float64)
        once = np.array([tariff.once.get(s, 0) for s in SURFACES], dtype=np.float64)
        missing = np.array([s not in tariff.per_mm for s in SURFACES])
        shut = self.pieces[:, missing].any(axis=1)
        if tariff.one_way:
            shut = shut | (self.down if tariff.one_way > 0 else self.up)
        return np.where(shut, np.inf, self.length_mm @ rates + self.pieces @ once)


def tails_of(anchors: Sequence[Anchor]) -> Tails:
    """The tails of some anchors."""
    length, pieces = np.zeros((2, len(anchors), len(SURFACES)))
    for i, piece in ((i, p) for i, a in enumerate(anchors) for p in a.tail):
        surface = SURFACES.index(piece.surface)
        length[i, surface] += piece.length_mm
        pieces[i, surface] += 1
    rises = [[p.end[2] - p.start[2] for p in a.tail] for a in anchors]
    up, down = (np.array([any(r * way > 0 for r in rise) for rise in rises], dtype=bool) for way in (1, -1))
    return Tails(length, pieces, up, down)


@dataclass(frozen=True, slots=True)
class Entries:
    """States from which a run may end, as columns of shape (n,): state, anchor index, and the
    length [mm] and bends behind it."""

    states: Ints
    names: Ints
    run: Floats
    bends: Ints
    tails: Tails

    def priced(self, tariff: Tariff, charges: Charges | None = None) -> Sources:
        """The entries as sources of a service that pays a tariff, named by anchor index; with ``charges`` once for
        each charge on their anchor, named by charge index."""
        tails = self.tails.units(tariff)
        rows, names, more = np.arange(len(self.names)), self.names, np.zeros(len(self.names))
        if charges is not None:
            rows, names = charges.on(self.names)
            more = charges.units[names]
        costs = np.asarray(tails[self.names[rows]] + more + self.bends[rows] * tariff.bend, dtype=np.float64)
        return Sources(self.states[rows], costs, self.run[rows], self.bends[rows], tuple(names.tolist()))


def add_anchor_planes(planes: Planes, sheets: Sheets, anchors: Iterable[Anchor]) -> None:
    """Make the places of ends critical."""
    skew = [w for w in sheets.walls if w.is_skew]
    for a in anchors:
        for axis in range(3):
            planes.add(axis, a.point[axis], f"end {a.end_id}")
            planes.add(axis, a.real[axis], f"end {a.end_id}")
        for w in skew:
            if w.face.id == a.sheet:
                planes.add_skew(w.face.id, round(dist(a.point[:2], w.face.start)), f"end {a.end_id}")


def anchors_on(
    coordinates: tuple[Ints, Ints, Ints], sheets: Sheets, anchors: Iterable[Anchor], lines: Iterable[AnchorLine],
    outdoors: bool = False,
) -> tuple[Anchor, ...]:  # fmt: skip
    """All anchors of a service; existing straight pipes are cut at every critical plane. ``outdoors``: as well those
    that are met without a way in, from where a heater may hang before the wall that they are tied to.

    A tail begins where it leaves the surfaces of its room: what of it lies on a wall or under the ceiling is run like
    any other, past no opening and no keep-out. Where a pipe that is reached by a tail itself lies on a wall or ceiling,
    it can also be met there directly.
    """
    tied = [*anchors, *(a for line in lines for a in (line.a, line.b, *_along(coordinates, line)))]
    surfaces = _Surfaces.of(sheets)
    begun = [_begun(surfaces, a) for a in tied]
    met = [replace(a, point=a.real, tail=()) for a in begun if a.tail and surfaces.reach(a.room, a.real)]
    before = (_before(sheets, a) for a in tied if outdoors and a.tail and a.tail[0].surface is Surface.OUTER_WALL)
    return (*begun, *met, *(a for a in before if a is not None))


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
        return self._on_a_wall(room, piece.start, piece.end) or self._under(self.ceilings[room], piece)

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


def tail_states(anchors: Iterable[Anchor]) -> list[tuple[int, Point3, int]]:
    """(room, point, axis) of the state from which each tail goes on straight."""
    return [(a.room, a.point, axis) for a in anchors if (axis := _first_axis(a.tail)) is not None]


def entries_of(lattice: Lattice, anchors: tuple[Anchor, ...]) -> Entries:
    """The states at all anchors: the one in line with the tail, or every state where there is no tail."""
    table = np.array([(a.room, *a.point) for a in anchors], dtype=np.int64).reshape(-1, 4)
    keys = lattice.keys.pack(*table.T)
    states = np.stack([lattice.state_ids(keys, axis) for axis in lattice.axes])
    into = [_first_axis(a.tail) for a in anchors]
    wanted = np.array([[i is None or i == axis for i in into] for axis in lattice.axes], dtype=bool)
    k, name = np.nonzero((states >= 0) & wanted.reshape(states.shape))
    run = np.array([a.upstream_mm + sum(p.length_mm for p in a.tail) for a in anchors], dtype=float)
    bends = np.array([elbows(a.tail) for a in anchors], dtype=np.int64)
    return Entries(states[k, name], name, run[name], bends[name], tails_of(anchors))


def _along(coordinates: tuple[Ints, Ints, Ints], line: AnchorLine) -> list[Anchor]:
    """Anchors strictly between a line's ends, one at each plane there."""
    axis = line.axis
    if axis is None or line.a.room != line.b.room or line.a.sheet != line.b.sheet:
        return []
    (lo, first), (hi, _) = sorted(((line.a.point[axis], line.a), (line.b.point[axis], line.b)), key=lambda e: e[0])
    values = coordinates[axis]
    out = []
    for v in values[(values > lo) & (values < hi)]:
        upstream = max(line.b.upstream_mm - abs(int(v) - line.b.point[axis]), 0)
        out.append(moved(first, axis, int(v) - first.point[axis], line.end_id, upstream))
    return out


def moved(a: Anchor, axis: int, shift: int, end_id: str, upstream_mm: int) -> Anchor:
    """An anchor with its tail, shifted along an axis."""

    def move(p: tuple[int, int, int]) -> tuple[int, int, int]:
        q = list(p)
        q[axis] += shift
        return q[0], q[1], q[2]

    tail = tuple(Piece(move(p.start), move(p.end), p.surface) for p in a.tail)
    return replace(a, end_id=end_id, point=move(a.point), tail=tail, upstream_mm=upstream_mm)


def _first_axis(tail: tuple[Piece, ...]) -> int | None:
    """Axis along which a tail begins, OBLIQUE_AXIS for none of the frame's, None if it has no length."""
    for piece in tail:
        moves = [axis for axis in range(FIRST_SKEW_AXIS) if piece.start[axis] != piece.end[axis]]
        if moves:
            return moves[0] if len(moves) == 1 else OBLIQUE_AXIS
    return None
