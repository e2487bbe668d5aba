"""The sheets of a house cut by named planes into a graph, built here once more from the sheets alone.

A state is a node and an axis of travel: ``node * len(axes) + position of the axis``. Every node has a state for every
axis; a bend joins two of them. A node belongs to a place: a room by its index, or outdoors before one (counted on).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import dist

import numpy as np
import shapely
from numpy.typing import NDArray

from service.design import Surface
from service.routing.planes import Planes, chase_point
from service.routing.sheets import CeilingSheet, FloorCrossing, OuterCrossing, Sheets, WallCrossing, WallSheet

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
UPRIGHT = 2
OBLIQUE = 15
LOOSE = -(10**6)
"""Stands for 'on no sheet' where an obstacle might be."""
SURFACES = tuple(Surface)
Node = tuple[int, int, int, int]
"""Place, x, y, z [mm]."""


Box = tuple[int, int, int, int]
NOWHERE: Box = (0, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class Arc:
    """One arc: ``a`` is the lower or earlier end. ``sheet``: a wall's index or -1 - room of a ceiling; ``box`` its
    extent there, along the wall (or x) and in height (or y) [mm]."""

    a: Node
    b: Node
    axis: int
    length: int
    surface: Surface
    sheet: int = LOOSE
    box: Box = NOWHERE


@dataclass(frozen=True, slots=True)
class Uprights:
    """Upright lines of a wall, along the wall: its coordinate, distance from its start, plan points [mm]."""

    c: tuple[int, ...]
    s: tuple[int, ...]
    points: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Network:
    """Graph of a house at some planes and heights. ``oblique``: tails may set out along none of the frame's axes."""

    sheets: Sheets
    planes: Planes
    heights: tuple[int, ...]
    outdoors: bool
    oblique: bool = True

    @cached_property
    def xs(self) -> tuple[int, ...]:
        """Planes square to x [mm]."""
        return tuple(sorted(self.planes.x))

    @cached_property
    def ys(self) -> tuple[int, ...]:
        """Planes square to y [mm]."""
        return tuple(sorted(self.planes.y))

    @cached_property
    def uprights(self) -> tuple[Uprights, ...]:
        """Upright lines of every wall."""
        return tuple(self._uprights(w) for w in self.sheets.walls)

    @cached_property
    def arcs(self) -> tuple[Arc, ...]:
        """Every arc of every sheet and crossing."""
        parts = [
            *(self._on_wall(w) for w in self.sheets.walls),
            *(self._on_ceiling(c) for c in self.sheets.ceilings),
            *(self._through_wall(k) for k in self.sheets.wall_crossings),
            *(self._through_floor(k) for k in self.sheets.floor_crossings),
            *(self._up_chase(chase_point(c.outline), c.z0, c.z1) for c in self.sheets.chases),
            *(self._from_outdoors(k) for k in self.sheets.outer_crossings if self.outdoors),
        ]
        return tuple(arc for part in parts for arc in part)

    @cached_property
    def nodes(self) -> dict[Node, int]:
        """Number of every node."""
        return {node: i for i, node in enumerate(dict.fromkeys(n for arc in self.arcs for n in (arc.a, arc.b)))}

    @cached_property
    def axes(self) -> tuple[int, ...]:
        """Axes of travel."""
        return tuple(sorted({0, 1, UPRIGHT, *[OBLIQUE] * self.oblique, *(arc.axis for arc in self.arcs)}))

    @property
    def count(self) -> int:
        """Number of states."""
        return len(self.nodes) * len(self.axes)

    def states(self, node: Node, axis: int | None = None) -> tuple[int, ...]:
        """States of a node, or the one of an axis; none where the node is not there."""
        number, width = self.nodes.get(node), len(self.axes)
        if number is None or axis not in (None, *self.axes):
            return ()
        if axis is None:
            return tuple(range(number * width, (number + 1) * width))
        return (number * width + self.axes.index(axis),)

    @cached_property
    def columns(self) -> Columns:
        """The arcs as columns."""
        width, at = len(self.axes), {axis: i for i, axis in enumerate(self.axes)}
        ends = np.array([(self.nodes[k.a], self.nodes[k.b]) for k in self.arcs], dtype=np.int64).reshape(-1, 2)
        axis = np.array([k.axis for k in self.arcs], dtype=np.int64)
        column = np.array([at[k.axis] for k in self.arcs], dtype=np.int64)
        return Columns(
            ends[:, 0] * width + column, ends[:, 1] * width + column, axis,
            np.array([k.length for k in self.arcs], dtype=np.int64),
            np.array([SURFACES.index(k.surface) for k in self.arcs], dtype=np.int64),
            np.array([k.sheet for k in self.arcs], dtype=np.int64),
            np.array([k.box for k in self.arcs], dtype=np.int64).reshape(-1, 4).T,
        )  # fmt: skip

    def _uprights(self, w: WallSheet) -> Uprights:
        if w.is_skew:
            cs = sorted(self.planes.skew.get(w.face.id, {}))
        else:
            low, high = w.span
            cs = [c for c in (self.xs, self.ys)[w.axis] if low <= c <= high]
        return Uprights(tuple(cs), tuple(w.distance(c) for c in cs), tuple(w.point(c) for c in cs))

    def levels(self, z0: int, z1: int) -> tuple[int, ...]:
        """Heights between two, both included [mm]."""
        return tuple(z for z in self.heights if z0 <= z <= z1)

    def _on_wall(self, w: WallSheet) -> Iterator[Arc]:
        up, zs = self.uprights[w.index], self.levels(w.face.z0, w.face.z1)
        stands = list(zip(up.c, up.points, strict=True))
        for c, (x, y) in stands:
            for z, top in pairwise(zs):
                yield Arc((w.room, x, y, z), (w.room, x, y, top), UPRIGHT, top - z, w.surface, w.index, (c, c, z, top))
        for (c, p), (d, q) in pairwise(stands):
            for z in zs:
                yield Arc((w.room, *p, z), (w.room, *q, z), w.axis, round(dist(p, q)), w.surface, w.index, (c, d, z, z))

    def _on_ceiling(self, c: CeilingSheet) -> Iterator[Arc]:
        """Sides of all cells between planes that lie wholly in the room."""
        room, z = c.room_index, c.room.ceiling_z
        spans = zip((self.xs, self.ys), _extent(c), strict=True)
        xs, ys = ([v for v in cut if low <= v <= high] for cut, (low, high) in spans)
        sides: set[tuple[int, int, int, int]] = set()
        for i, j in _cells(c, xs, ys):
            (x, far_x), (y, far_y) = xs[i : i + 2], ys[j : j + 2]
            sides |= {(x, far_x, y, y), (x, far_x, far_y, far_y), (x, x, y, far_y), (far_x, far_x, y, far_y)}
        for x, far_x, y, far_y in sorted(sides):
            ends, axis = ((room, x, y, z), (room, far_x, far_y, z)), int(x == far_x)
            yield Arc(*ends, axis, far_x - x + far_y - y, c.surface, -1 - room, (x, far_x, y, far_y))

    def _through_wall(self, k: WallCrossing) -> Iterator[Arc]:
        low, high = sorted((k.a, k.b), key=lambda w: (w.plane, w.index))
        for c in (v for v in (self.xs, self.ys)[k.a.axis] if k.c0 <= v <= k.c1):
            for z in self.levels(k.z0, k.z1):
                ends = (low.room, *low.point(c), z), (high.room, *high.point(c), z)
                at = k.a.index, (c, c, z, z)
                yield from _link(*ends, k.a.normal_axis, high.plane - low.plane, Surface.WALL_CROSSING, at)

    def _through_floor(self, k: FloorCrossing) -> Iterator[Arc]:
        w, room = k.above, k.below.room
        outline = shapely.Polygon(room.outline)
        for x, y in self.uprights[w.index].points:
            if outline.intersects(shapely.Point(x, y)):
                ends = (k.below.room_index, x, y, room.ceiling_z), (w.room, x, y, w.face.z0)
                yield from _link(*ends, UPRIGHT, w.face.z0 - room.ceiling_z, Surface.FLOOR_CROSSING)

    def _up_chase(self, at: tuple[int, int], z0: int, z1: int) -> Iterator[Arc]:
        met = [c for c in self.sheets.ceilings if shapely.Polygon(c.room.outline).intersects(shapely.Point(at))]
        stops = sorted((c.room.ceiling_z, c.room_index) for c in met if z0 <= c.room.ceiling_z <= z1)
        for (low, a), (high, b) in pairwise(stops):
            yield from _link((a, *at, low), (b, *at, high), UPRIGHT, high - low, Surface.CHASE)

    def _from_outdoors(self, k: OuterCrossing) -> Iterator[Arc]:
        w, up = k.wall, self.uprights[k.wall.index]
        for s, (x, y) in zip(up.s, up.points, strict=True):
            if k.s0 <= s <= k.s1:
                out = k.facade.point(s + k.shift)
                for z in self.levels(w.face.z0, w.face.z1):
                    ends = (k.rooms + w.room, *out, z), (w.room, x, y, z)
                    if w.is_skew or k.facade.axis is None:
                        yield Arc(*ends, OBLIQUE, round(dist(out, (x, y))), Surface.OUTER_WALL)
                    else:
                        depth = abs(w.plane - k.facade.start[w.normal_axis])
                        yield from _link(*ends, w.normal_axis, depth, Surface.OUTER_WALL)


@dataclass(frozen=True, slots=True)
class Columns:
    """Arcs as columns of shape (n,): end states, axis, length [mm], surface and sheet; ``box`` has shape (4, n)."""

    a: Ints
    b: Ints
    axis: Ints
    length: Ints
    surface: Ints
    sheet: Ints
    box: Ints

    def entering(self, sheet: int, box: Sequence[int]) -> Bools:
        """Arcs of a sheet that enter an open box of it."""
        c0, c1, d0, d1 = self.box
        met = (c0 < box[1]) & (c1 > box[0]) & (d0 < box[3]) & (d1 > box[2])
        return np.asarray(met & (self.sheet == sheet))

    def rates(self, by_surface: Mapping[Surface, float], missing: float) -> Floats:
        """A figure of each arc's surface."""
        return np.array([float(by_surface.get(s, missing)) for s in SURFACES])[self.surface]


def _link(
    a: Node, b: Node, axis: int, length: int, surface: Surface, on: tuple[int, Box] = (LOOSE, NOWHERE)
) -> Iterator[Arc]:
    """A passage; one without length turns nothing, so every axis passes."""
    for way in (axis,) if length else (0, 1, UPRIGHT):
        yield Arc(a, b, way, abs(length), surface, *on)


def _extent(c: CeilingSheet) -> tuple[tuple[int, int], tuple[int, int]]:
    xs, ys = zip(*c.room.outline, strict=True)
    return (min(xs), max(xs)), (min(ys), max(ys))


def _cells(c: CeilingSheet, xs: Sequence[int], ys: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Cells between planes whose inside lies in the room; where no wall is skew their middles tell."""
    outline = c.room.outline
    square = all(p[0] == q[0] or p[1] == q[1] for p, q in pairwise((*outline, outline[0])))
    room = shapely.Polygon(outline)
    shapely.prepare(room)
    for i, (x, far_x) in enumerate(pairwise(xs)):
        for j, (y, far_y) in enumerate(pairwise(ys)):
            corners = () if square else ((x, y), (far_x, y), (x, far_y), (far_x, far_y))
            middle = shapely.contains_xy(room, (x + far_x) / 2, (y + far_y) / 2)
            if middle and all(shapely.intersects_xy(room, *p) for p in corners):
                yield i, j
