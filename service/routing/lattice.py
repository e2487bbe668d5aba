"""The critical planes cut the sheets into a graph whose states are (point, axis of travel).

Nodes are points of a room's sheets, so two rooms that share a plane keep separate nodes and a run
cannot slip through a wall unpriced. An arc runs along one axis on one sheet; a bend joins two
states of one node.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import dist

import numpy as np
import scipy.sparse as sp
import shapely
from numpy.typing import NDArray

from service.design import Surface
from service.routing.columns import Columns, Cuts, Region, around, between, outdoor_nodes, part_of
from service.routing.keys import AXIS_BITS, OBLIQUE_AXIS, Keys
from service.routing.planes import Ints, chase_point
from service.routing.sheets import CeilingSheet, FloorCrossing, OuterCrossing, Sheets, WallCrossing, WallSheet
from service.survey.model import Point3

Bools = NDArray[np.bool_]
SURFACES = tuple(Surface)
NO_SHEET = -(10**6)


@dataclass(frozen=True, slots=True)
class Arcs:
    """Arcs in both directions as columns, all shape (n,); ``a`` lies below or before ``b``.

    ``sheet`` is a wall's index, also for what passes through it into the next room, ``-1 - room`` for a ceiling,
    ``NO_SHEET`` for floor crossings, ways in from outdoors and chases.
    """

    a: Ints
    b: Ints
    axis: Ints
    length: Ints
    surface: Ints
    sheet: Ints


@dataclass(frozen=True, slots=True)
class Lattice:
    """Graph of a house: states sorted by (node, axis), arcs, bends, and its CSR frame.

    ``perm`` orders weights given as [arcs a->b, arcs b->a, bends lower->upper, bends upper->lower]
    into the CSR matrix (``indices``, ``indptr``). ``box`` is each arc's (c0, c1, d0, d1) in its
    sheet's own coordinates: c along a wall or x, d is z or y, shape (4, arcs). ``axes`` are the axes of travel that
    occur.
    """

    keys: Keys
    axes: tuple[int, ...]
    states: Ints
    axis: Ints
    xyz: NDArray[np.int64]
    arcs: Arcs
    bends: tuple[Ints, Ints]
    perm: Ints
    indices: NDArray[np.int32]
    indptr: NDArray[np.int32]
    box: Ints

    @property
    def count(self) -> int:
        """Number of states."""
        return len(self.states)

    @property
    def nodes(self) -> Ints:
        """Node of every state, ascending."""
        return self.states >> AXIS_BITS

    def state_ids(self, node_keys: Ints, axis: int) -> Ints:
        """State numbers of nodes for one axis, -1 where there is none."""
        wanted = (node_keys << AXIS_BITS) | axis
        at = np.searchsorted(self.states, wanted)
        at[at == len(self.states)] = 0
        return np.where(self.states[at] == wanted, at, -1)


def build_lattice(
    sheets: Sheets, cuts: Cuts, tails: Iterable[tuple[int, Point3, int]] = (), outdoors: bool = False,
    region: Region | None = None,
) -> Lattice:  # fmt: skip
    """Make the graph of a house that is cut so; ``tails`` are (room, point, axis) of states to keep besides those that
    arcs touch. ``outdoors`` adds the ways in through outer walls from nodes before them (see ``outdoor_nodes``).
    With a ``region`` there is no more of the sheets than that."""
    keys, walls = cuts.keys, _parts_of_walls(sheets, cuts, region)
    xy = cuts.coordinates[0], cuts.coordinates[1]
    below = {c.room_index: c for c in sheets.ceilings if region is None or sheet_of(c) in region}
    parts = [_wall_arcs(w, *walls[w.index], keys) for w in sheets.walls if w.index in walls]
    parts += [_ceiling_arcs(c, _part_of_ceiling(c, xy, region), keys) for c in below.values()]
    parts += [_wall_crossing_arcs(k, walls, keys) for k in sheets.wall_crossings if {k.a.index, k.b.index} <= {*walls}]
    over = [k for k in sheets.floor_crossings if k.above.index in walls and k.below.room_index in below]
    parts += [_floor_crossing_arcs(k, walls[k.above.index][0], keys) for k in over]
    parts += _chase_arcs(sheets, keys)
    before = [k for k in sheets.outer_crossings if outdoors and k.wall.index in walls]
    parts += [_outer_arcs(k, *walls[k.wall.index], keys) for k in before]
    arcs = _arcs([block for part in parts for block in part])
    loose = np.array([int(keys.pack(r, *p)) << AXIS_BITS | axis for r, p, axis in tails], dtype=np.int64)
    return _assemble(keys, arcs, loose, sheets)


def sheet_of(c: CeilingSheet) -> int:
    """Number of a ceiling among the sheets."""
    return -1 - c.room_index


def _parts_of_walls(sheets: Sheets, cuts: Cuts, region: Region | None) -> dict[int, tuple[Columns, Ints]]:
    """Uprights and heights of every wall, of those in the region as far as they are."""
    found = {}
    for w, columns in zip(sheets.walls, cuts.columns, strict=True):
        z = between(cuts.coordinates[2], w.face.z0, w.face.z1)
        if region is None:
            found[w.index] = columns, z
        elif w.index in region:
            box = region[w.index]
            found[w.index] = part_of(columns, box[:2]), z[around(z, *box[2:])]
    return found


def _part_of_ceiling(c: CeilingSheet, xy: tuple[Ints, Ints], region: Region | None) -> tuple[Ints, Ints]:
    """Lines of a ceiling square to x and to y, as far as it is in the region."""
    o = np.array(c.room.outline)
    x, y = (between(xy[i], o[:, i].min(), o[:, i].max()) for i in (0, 1))
    if region is None:
        return x, y
    box = region[sheet_of(c)]
    return x[around(x, *box[:2])], y[around(y, *box[2:])]


Block = tuple[Ints, Ints, Ints, int, int, int]
"""Ends and lengths of arcs, and the axis, surface and sheet that they share."""


def _block(a: Ints, b: Ints, axis: int, length: Ints | int, surface: Surface, sheet: int) -> Block:
    full = np.broadcast_to(length, a.shape).ravel()
    return a.ravel(), b.ravel(), np.asarray(full, dtype=np.int64), axis, SURFACES.index(surface), sheet


def _arcs(blocks: list[Block]) -> Arcs:
    a, b, length = (np.concatenate([block[i] for block in blocks]) for i in range(3))
    counts = np.array([len(block[0]) for block in blocks])
    axis, surface, sheet = (np.repeat(np.array([block[i] for block in blocks]), counts) for i in range(3, 6))
    return Arcs(a, b, axis, length, surface, sheet)


def _wall_arcs(w: WallSheet, columns: Columns, z: Ints, keys: Keys) -> list[Block]:
    grid = keys.pack(w.room, columns.x[:, None], columns.y[:, None], z[None, :])
    along = _block(grid[:-1], grid[1:], w.axis, columns.lengths[:, None], w.surface, w.index)
    upright = _block(grid[:, :-1], grid[:, 1:], 2, np.diff(z)[None, :], w.surface, w.index)
    return [along, upright]


def _ceiling_arcs(c: CeilingSheet, xy: tuple[Ints, Ints], keys: Keys) -> list[Block]:
    x, y = xy
    cells = _cells_inside(c, x, y)
    grid = keys.pack(c.room_index, x[:, None], y[None, :], c.room.ceiling_z)
    padded = np.pad(cells, 1)
    along_x = padded[1:-1, :-1] | padded[1:-1, 1:]
    along_y = padded[:-1, 1:-1] | padded[1:, 1:-1]
    lengths_x = np.broadcast_to(np.diff(x)[:, None], along_x.shape)
    lengths_y = np.broadcast_to(np.diff(y)[None, :], along_y.shape)
    sheet = sheet_of(c)
    return [
        _block(grid[:-1][along_x], grid[1:][along_x], 0, lengths_x[along_x], c.surface, sheet),
        _block(grid[:, :-1][along_y], grid[:, 1:][along_y], 1, lengths_y[along_y], c.surface, sheet),
    ]


def _cells_inside(c: CeilingSheet, x: Ints, y: Ints) -> Bools:
    """Which lattice cells lie wholly in the room: by their middle, and corners too if a wall is skew."""
    outline = c.room.outline
    if len(outline) == 4 and _axis_parallel(outline):
        return np.ones((len(x) - 1, len(y) - 1), dtype=bool)
    polygon = shapely.Polygon(outline)
    mx, my = np.meshgrid((x[:-1] + x[1:]) / 2, (y[:-1] + y[1:]) / 2, indexing="ij")
    inside: Bools = shapely.contains_xy(polygon, mx, my)
    if not _axis_parallel(outline):
        corner: Bools = shapely.intersects_xy(polygon, *np.meshgrid(x, y, indexing="ij"))
        inside = inside & corner[:-1, :-1] & corner[1:, :-1] & corner[:-1, 1:] & corner[1:, 1:]
    return inside


def _axis_parallel(outline: tuple[tuple[int, int], ...]) -> bool:
    return all(a[0] == b[0] or a[1] == b[1] for a, b in zip(outline, outline[1:] + outline[:1], strict=True))


def _link(a: Ints, b: Ints, axis: int, length: int, surface: Surface, sheet: int = NO_SHEET) -> list[Block]:
    """Crossing arcs; without length they change no direction, so every axis of travel passes."""
    axes = (axis,) if length else (0, 1, 2)
    return [_block(a, b, k, abs(length), surface, sheet) for k in axes]


def _wall_crossing_arcs(k: WallCrossing, walls: dict[int, tuple[Columns, Ints]], keys: Keys) -> list[Block]:
    (columns, heights), (others, levels) = walls[k.a.index], walls[k.b.index]
    cs = between(np.intersect1d(columns.c, others.c, assume_unique=True), k.c0, k.c1)[:, None]
    z = between(np.intersect1d(heights, levels, assume_unique=True), k.z0, k.z1)[None, :]
    low, high = sorted((k.a, k.b), key=lambda w: (w.plane, w.index))
    ends = [
        keys.pack(w.room, cs, w.plane, z) if w.axis == 0 else keys.pack(w.room, w.plane, cs, z) for w in (low, high)
    ]
    return _link(ends[0], ends[1], k.a.normal_axis, high.plane - low.plane, Surface.WALL_CROSSING, k.a.index)


def _outer_arcs(k: OuterCrossing, columns: Columns, z: Ints, keys: Keys) -> list[Block]:
    outer, inner, on = outdoor_nodes(k, columns, z, keys)
    if k.wall.is_skew or k.facade.axis is None:
        way = [round(dist(k.wall.point(int(columns.c[i])), k.facade.point(int(columns.s[i]) + k.shift))) for i in on]
        length = np.array(way, dtype=np.int64)[:, None]
        return [_block(outer, inner, OBLIQUE_AXIS, length, Surface.OUTER_WALL, NO_SHEET)]
    length_mm = abs(k.wall.plane - k.facade.start[k.wall.normal_axis])
    return _link(outer, inner, k.wall.normal_axis, length_mm, Surface.OUTER_WALL)


def _floor_crossing_arcs(k: FloorCrossing, columns: Columns, keys: Keys) -> list[Block]:
    w, room, x, y = k.above, k.below.room, columns.x, columns.y
    inside = shapely.intersects_xy(shapely.Polygon(room.outline), x, y)
    lower = keys.pack(k.below.room_index, x[inside], y[inside], room.ceiling_z)
    upper = keys.pack(w.room, x[inside], y[inside], w.face.z0)
    return _link(lower, upper, 2, w.face.z0 - room.ceiling_z, Surface.FLOOR_CROSSING)


def _chase_arcs(sheets: Sheets, keys: Keys) -> list[list[Block]]:
    out = []
    for chase in sheets.chases:
        x, y = chase_point(chase.outline)
        stops = sorted(
            (c.room.ceiling_z, c.room_index)
            for c in sheets.ceilings
            if chase.z0 <= c.room.ceiling_z <= chase.z1
            and shapely.Polygon(c.room.outline).intersects(shapely.Point(x, y))
        )
        for (za, a), (zb, b) in zip(stops, stops[1:], strict=False):
            ends = (keys.pack(np.array([a]), x, y, za), keys.pack(np.array([b]), x, y, zb))
            out.append(_link(*ends, 2, zb - za, Surface.CHASE))
    return out


def _assemble(keys: Keys, arcs: Arcs, loose: Ints, sheets: Sheets) -> Lattice:
    n = len(arcs.a)
    ends = np.concatenate([arcs.a, arcs.b]) << AXIS_BITS
    every = np.concatenate([ends | np.concatenate([arcs.axis, arcs.axis]), loose])
    states, inverse = np.unique(every, return_inverse=True)
    a, b = inverse[:n], inverse[n : 2 * n]
    nodes = states >> AXIS_BITS
    lower, upper = _bends(nodes)
    rows, goals = np.concatenate([a, b, lower, upper]), np.concatenate([b, a, upper, lower])
    frame = sp.coo_matrix((np.arange(len(rows)), (rows, goals)), shape=(len(states), len(states)))
    frame.has_canonical_format = True  # parallel arcs of two surfaces must both stay
    csr = frame.tocsr()
    _, x, y, z = keys.unpack(nodes)
    axes = tuple(np.unique(states & ((1 << AXIS_BITS) - 1)).tolist())
    box = _boxes(arcs, np.stack([x, y, z], axis=1), (a, b), sheets)
    return Lattice(
        keys, axes, states, states & ((1 << AXIS_BITS) - 1), np.stack([x, y, z], axis=1), arcs, (lower, upper),
        csr.data, csr.indices, csr.indptr, box,
    )  # fmt: skip


def _bends(nodes: Ints) -> tuple[Ints, Ints]:
    """Pairs of states of one node; they stand side by side as states are sorted by node."""
    pairs = []
    for lag in range(1, 1 << AXIS_BITS):
        same = np.flatnonzero(nodes[lag:] == nodes[:-lag])
        if not len(same):
            break
        pairs.append((same, same + lag))
    return np.concatenate([p[0] for p in pairs]), np.concatenate([p[1] for p in pairs])


def _boxes(arcs: Arcs, xyz: Ints, ends: tuple[Ints, Ints], sheets: Sheets) -> Ints:
    """(c0, c1, d0, d1) of each arc in its sheet's own two coordinates."""
    axes = np.array([w.axis for w in sheets.walls] or [0])
    on_wall = arcs.sheet >= 0
    by_y = on_wall & (axes[np.where(on_wall, arcs.sheet, 0)] == 1)
    c = [np.where(by_y, xyz[e, 1], xyz[e, 0]) for e in ends]
    d = [np.where(on_wall, xyz[e, 2], xyz[e, 1]) for e in ends]
    for w in (w for w in sheets.walls if w.is_skew):
        here = arcs.sheet == w.index
        for column, end in zip(c, ends, strict=True):
            column[here] = np.rint(np.hypot(*(xyz[end[here], i] - w.face.start[i] for i in (0, 1))))
    return np.stack([np.minimum(*c), np.maximum(*c), np.minimum(*d), np.maximum(*d)])
