"""The critical planes cut the sheets into a graph whose states are (point, axis of travel).

Nodes are points of a room's sheets, so two rooms that share a plane keep separate nodes and a run
cannot slip through a wall unpriced. An arc runs along one axis on one sheet; a bend joins two
states of one node. For what bends for nothing one state a node will do, and every axis is 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from math import dist

import numpy as np
import scipy.sparse as sp
import shapely
from numpy.typing import NDArray

from service.building.model import Prism
from service.design import Surface
from service.routing.columns import Boxes, Columns, Cuts, around, between, outdoor_nodes, part_of
from service.routing.grids import Arcs, Part, arcs_of, joined, links_of, ruler_of
from service.routing.house_grids import NO_SHEET, SURFACES, HouseGrids, in_region, is_rectangle, is_square, sheet_of
from service.routing.keys import AXIS_BITS, OBLIQUE_AXIS, Keys
from service.routing.planes import Ints, chase_point
from service.routing.sheets import CeilingSheet, OuterCrossing, Sheets, WallSheet
from service.survey.model import Point3

Bools = NDArray[np.bool_]
Int32s = NDArray[np.int32]
NOWHERE = (0, 0, 0, 0)
"""Box of an arc that lies on no sheet."""
BEFORE, AFTER, ALL = slice(None, -1), slice(1, None), slice(None)
STEPS = ((BEFORE, ALL), (AFTER, ALL)), ((ALL, BEFORE), (ALL, AFTER))
"""Nodes of a grid and those that follow them, along its rows and its columns."""


@dataclass(frozen=True, slots=True)
class Lattice:
    """Graph of a house: states sorted by (node, axis), arcs, bends, and its CSR frame.

    ``perm`` orders weights given as [arcs a->b, arcs b->a, bends lower->upper, bends upper->lower]
    into the CSR matrix (``indices``, ``indptr``). ``ends`` number the nodes of each arc among ``nodes``; ``box`` is
    its place on its sheet (see ``Part``). ``axes`` are the axes of travel that occur.
    """

    keys: Keys
    axes: tuple[int, ...]
    states: Ints
    axis: Ints
    xyz: NDArray[np.int64]
    nodes: Ints
    arcs: Arcs
    ends: tuple[Ints, Ints]
    bends: tuple[Ints, Ints]
    perm: Ints
    indices: Int32s
    indptr: Int32s
    box: Ints
    free_bends: bool

    @property
    def count(self) -> int:
        """Number of states."""
        return len(self.states)

    @property
    def firsts(self) -> Ints:
        """First state of each node."""
        nodes = self.states >> AXIS_BITS
        return np.flatnonzero(np.append(True, nodes[1:] != nodes[:-1]))

    def has_arcs(self, node_keys: Ints) -> Bools:
        """Whether some arc leads to a node, and not a bend alone."""
        first, last = (self.indptr[np.searchsorted(self.states, (node_keys + k) << AXIS_BITS)] for k in (0, 1))
        arcs = np.append(0, np.cumsum(self.perm < 2 * len(self.arcs.a)))
        return np.asarray(arcs[last] > arcs[first])

    def state_ids(self, node_keys: Ints, axis: int) -> Ints:
        """State numbers of nodes for one axis, -1 where there is none."""
        wanted = (node_keys << AXIS_BITS) | axis
        at = np.searchsorted(self.states, wanted)
        at[at == len(self.states)] = 0
        return np.where(self.states[at] == wanted, at, -1)


def build_lattice(
    sheets: Sheets, cuts: Cuts, tails: Iterable[tuple[int, Point3, int]] = (), outdoors: bool = False,
    region: Boxes | None = None, free_bends: bool = False,
) -> Lattice:  # fmt: skip
    """Make the graph of a house that is cut so; ``tails`` are (room, point, axis) of states to keep besides those that
    arcs touch. ``outdoors`` adds the ways in through outer walls from nodes before them (see ``outdoor_nodes``).
    With a ``region`` there is no more of the sheets than that. ``free_bends``: one state a node."""
    house, ruler = HouseGrids(sheets, cuts, region), ruler_of(cuts.keys, cuts.coordinates)
    parts = [arcs_of(ruler, house.grids), links_of(ruler, house.links), *_other_arcs(sheets, cuts, region, outdoors)]
    return _assemble(cuts.keys, joined(parts), _loose(tails, cuts.keys), free_bends)


def _other_arcs(sheets: Sheets, cuts: Cuts, region: Boxes | None, outdoors: bool) -> Iterator[Part]:
    """Arcs of what is no straight grid."""
    keys, has = cuts.keys, partial(in_region, region)
    for w in (w for w in sheets.walls if w.is_skew and has(w.index)):
        yield from _skew_arcs(w, *_part_of_wall(w, cuts, region), keys)
    for c in (c for c in sheets.ceilings if has(sheet_of(c)) and not is_rectangle(c.room.outline)):
        yield from _ceiling_arcs(c, _part_of_ceiling(c, cuts.coordinates, region), keys)
    for chase in sheets.chases:
        yield from _chase_arcs(chase, sheets, keys)
    for k in (k for k in sheets.outer_crossings if outdoors and has(k.wall.index)):
        yield from _outer_arcs(k, *_part_of_wall(k.wall, cuts, region), keys)


def _loose(tails: Iterable[tuple[int, Point3, int]], keys: Keys) -> tuple[Ints, Ints]:
    """Names of nodes, and an axis of each."""
    room, x, y, z, axis = np.array([(r, *p, axis) for r, p, axis in tails], dtype=np.int64).reshape(-1, 5).T
    return keys.pack(room, x, y, z), axis


def _part_of_wall(w: WallSheet, cuts: Cuts, region: Boxes | None) -> tuple[Columns, Ints]:
    """Uprights and heights of a wall, as far as it is in the region."""
    columns, z = cuts.columns(w), between(cuts.coordinates[2], w.face.z0, w.face.z1)
    if region is None:
        return columns, z
    box = region[w.index]
    return part_of(columns, box[:2]), z[around(z, *box[2:])]


def _part_of_ceiling(c: CeilingSheet, cut: tuple[Ints, Ints, Ints], region: Boxes | None) -> tuple[Ints, Ints]:
    """Lines of a ceiling square to x and to y, as far as it is in the region."""
    o = np.array(c.room.outline)
    x, y = (between(cut[i], o[:, i].min(), o[:, i].max()) for i in (0, 1))
    if region is None:
        return x, y
    box = region[sheet_of(c)]
    return x[around(x, *box[:2])], y[around(y, *box[2:])]


def _block(
    ends: tuple[Ints, Ints], axis: int, length: Ints | int, surface: Surface, sheet: int, box: Sequence[Ints | int]
) -> Part:
    """Arcs between nodes of two arrays of the same shape, to which ``length`` and ``box`` fit."""
    a, b = (end.ravel() for end in ends)
    fitted = [np.broadcast_to(np.asarray(v, dtype=np.int64), ends[0].shape).ravel() for v in (length, *box)]
    axes, surfaces, sheets = (np.full(len(a), n) for n in (axis, SURFACES.index(surface), sheet))
    here = np.arange(len(a))
    return Part(
        np.concatenate([a, b]), here, here + len(a), axes, fitted[0], surfaces, sheets, np.stack(fitted[1:])
    )  # fmt: skip


def _skew_arcs(w: WallSheet, columns: Columns, z: Ints, keys: Keys) -> list[Part]:
    grid = keys.pack(w.room, columns.x[:, None], columns.y[:, None], z[None, :])
    c, d = columns.c[:, None], z[None, :]
    along, upright = (c[:-1], c[1:], d, d), (c, c, d[:, :-1], d[:, 1:])
    return [
        _block((grid[:-1], grid[1:]), w.axis, columns.lengths[:, None], w.surface, w.index, along),
        _block((grid[:, :-1], grid[:, 1:]), 2, np.diff(d), w.surface, w.index, upright),
    ]


def _ceiling_arcs(ceiling: CeilingSheet, xy: tuple[Ints, Ints], keys: Keys) -> list[Part]:
    x, y = np.meshgrid(*xy, indexing="ij")
    padded = np.pad(_cells_inside(ceiling.room.outline, *xy), 1)
    grid = keys.pack(ceiling.room_index, x, y, ceiling.room.ceiling_z)
    inside = padded[1:-1, :-1] | padded[1:-1, 1:], padded[:-1, 1:-1] | padded[1:, 1:-1]
    out = []
    for axis, (low, high) in enumerate(STEPS):
        a, b, x0, x1, y0, y1 = (v[side][inside[axis]] for v in (grid, x, y) for side in (low, high))
        out.append(_block((a, b), axis, x1 - x0 + y1 - y0, ceiling.surface, sheet_of(ceiling), (x0, x1, y0, y1)))
    return out


def _cells_inside(outline: tuple[tuple[int, int], ...], x: Ints, y: Ints) -> Bools:
    """Which lattice cells lie wholly in a room: by their middle, and corners too if a wall is skew."""
    polygon = shapely.Polygon(outline)
    mx, my = np.meshgrid((x[:-1] + x[1:]) / 2, (y[:-1] + y[1:]) / 2, indexing="ij")
    inside: Bools = shapely.contains_xy(polygon, mx, my)
    if not is_square(outline):
        corner: Bools = shapely.intersects_xy(polygon, *np.meshgrid(x, y, indexing="ij"))
        inside = inside & corner[:-1, :-1] & corner[1:, :-1] & corner[:-1, 1:] & corner[1:, 1:]
    return inside


def _link(ends: tuple[Ints, Ints], axis: int, length: int, surface: Surface) -> list[Part]:
    """Arcs from sheet to sheet; without length they change no direction, so every axis of travel passes."""
    axes = (axis,) if length else (0, 1, 2)
    return [_block(ends, k, abs(length), surface, NO_SHEET, NOWHERE) for k in axes]


def _outer_arcs(k: OuterCrossing, columns: Columns, z: Ints, keys: Keys) -> list[Part]:
    outer, inner, on = outdoor_nodes(k, columns, z, keys)
    if k.wall.is_skew or k.facade.axis is None:
        way = [round(dist(k.wall.point(int(columns.c[i])), k.facade.point(int(columns.s[i]) + k.shift))) for i in on]
        length = np.array(way, dtype=np.int64)[:, None]
        return [_block((outer, inner), OBLIQUE_AXIS, length, Surface.OUTER_WALL, NO_SHEET, NOWHERE)]
    length_mm = abs(k.wall.plane - k.facade.start[k.wall.normal_axis])
    return _link((outer, inner), k.wall.normal_axis, length_mm, Surface.OUTER_WALL)


def _chase_arcs(chase: Prism, sheets: Sheets, keys: Keys) -> list[Part]:
    x, y = chase_point(chase.outline)
    stops = sorted(
        (c.room.ceiling_z, c.room_index)
        for c in sheets.ceilings
        if chase.z0 <= c.room.ceiling_z <= chase.z1 and shapely.Polygon(c.room.outline).intersects(shapely.Point(x, y))
    )
    out = []
    for (za, a), (zb, b) in pairwise(stops):
        ends = (keys.pack(np.array([a]), x, y, za), keys.pack(np.array([b]), x, y, zb))
        out += _link(ends, 2, zb - za, Surface.CHASE)
    return out


def _assemble(keys: Keys, part: Part, loose: tuple[Ints, Ints], free_bends: bool) -> Lattice:
    nodes, place = np.unique(np.concatenate([part.names, loose[0]]), return_inverse=True)
    at, lone = (place[part.a], place[part.b]), place[len(part.names) :]
    axis, lone_axis = (0, 0) if free_bends else (part.axis, loose[1])
    width = 1 + max(int(np.max(v, initial=0)) for v in (axis, lone_axis))
    has = np.zeros((len(nodes), width), dtype=bool)  # a state, by node and axis
    has[at[0], axis] = has[at[1], axis] = has[lone, lone_axis] = True
    found = np.flatnonzero(has)
    node, axes = np.divmod(found, width)
    number = np.cumsum(has).reshape(has.shape) - 1
    bends = _bends(node)
    perm, indices, indptr = _frame(number[at[0], axis], number[at[1], axis], bends, len(found))
    _, *xyz = (column[node] for column in keys.unpack(nodes))
    there = has.any(axis=1)
    ends = [(np.cumsum(there) - 1)[end] for end in at]
    arcs = Arcs(nodes[at[0]], nodes[at[1]], part.axis, part.length, part.surface, part.sheet)
    return Lattice(
        keys, tuple(np.flatnonzero(has.any(axis=0)).tolist()), nodes[node] << AXIS_BITS | axes, axes, np.stack(xyz).T,
        nodes[there], arcs, (ends[0], ends[1]), bends, perm, indices, indptr, part.box, free_bends,
    )  # fmt: skip


def _frame(a: Ints, b: Ints, bends: tuple[Ints, Ints], count: int) -> tuple[Ints, Int32s, Int32s]:
    """``perm``, ``indices`` and ``indptr`` of a lattice from the states at the ends of its arcs and bends."""
    lower, upper = bends
    rows, goals = (np.concatenate(c).astype(np.int32) for c in ((a, b, lower, upper), (b, a, upper, lower)))
    frame = sp.coo_matrix((np.arange(len(rows)), (rows, goals)), shape=(count, count))
    frame.has_canonical_format = True  # parallel arcs of two surfaces must both stay
    csr = frame.tocsr()
    return csr.data, csr.indices, csr.indptr


def _bends(nodes: Ints) -> tuple[Ints, Ints]:
    """Pairs of states of one node; they stand side by side as states are sorted by node."""
    pairs = [(np.zeros(0, dtype=np.int64),) * 2]
    for lag in range(1, 1 << AXIS_BITS):
        same = np.flatnonzero(nodes[lag:] == nodes[:-lag])
        if not len(same):
            break
        pairs.append((same, same + lag))
    return np.concatenate([p[0] for p in pairs]), np.concatenate([p[1] for p in pairs])

