"""Upright lines of walls at the critical planes, and the nodes on them and before those that stand outdoors."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from service.routing.keys import Keys, keys_for
from service.routing.planes import Ints, Planes
from service.routing.sheets import OuterCrossing, Sheets, WallSheet

Box = tuple[int, int, int, int]
"""Least and greatest of a sheet's own two coordinates: along a wall or x, and z or y [mm]."""
FAR_MM = 10**9
"""Beyond every house."""
EVERYWHERE: Box = (-FAR_MM, FAR_MM, -FAR_MM, FAR_MM)
Boxes = Mapping[int, Box]
"""The sheets that runs may lie on, by number (see ``Arcs``), and how much of each."""


def union(regions: Iterable[Boxes]) -> Boxes:
    """The sheets of all regions, as much of each as any has."""
    found: dict[int, Box] = {}
    for sheet, box in (item for region in regions for item in region.items()):
        a, b, c, d = found.get(sheet, box)
        found[sheet] = min(a, box[0]), max(b, box[1]), min(c, box[2]), max(d, box[3])
    return found


@dataclass(frozen=True, slots=True)
class Columns:
    """Upright lines of one wall: coordinate, distance along the face, plan point, all shape (n,) [mm]."""

    c: Ints
    s: Ints
    x: Ints
    y: Ints

    @property
    def lengths(self) -> Ints:
        """Distance of each line from the next, between the whole millimetres that stand for them, shape (n - 1,)."""
        return np.rint(np.hypot(np.diff(self.x), np.diff(self.y))).astype(np.int64)


@dataclass(frozen=True, slots=True)
class Cuts:
    """How planes cut a house: names of nodes, sorted x, y and z [mm], and the uprights of walls."""

    keys: Keys
    coordinates: tuple[Ints, Ints, Ints]
    planes: Planes
    _columns: dict[int, Columns] = field(init=False, default_factory=dict, compare=False, repr=False)

    def columns(self, w: WallSheet) -> Columns:
        """Uprights of a wall, found once."""
        if w.index not in self._columns:
            self._columns[w.index] = columns_of(w, self.coordinates[:2], self.planes)
        return self._columns[w.index]


def cuts_of(sheets: Sheets, planes: Planes, heights: Ints, outdoors: bool) -> Cuts:
    """Cut the sheets by the planes; ``heights`` are the closed z coordinates [mm]."""
    xy = planes.coordinates(0), planes.coordinates(1)
    return Cuts(_keys(sheets, (*xy, heights), outdoors), (*xy, heights), planes.copy())


def _keys(sheets: Sheets, cuts: tuple[Ints, Ints, Ints], outdoors: bool) -> Keys:
    """Names for all nodes; outdoors they reach to the facades, and each room counts twice."""
    if not outdoors:
        return keys_for(*cuts, len(sheets.ceilings))
    ends = np.array([p for k in sheets.outer_crossings for p in (k.facade.start, k.facade.end)], dtype=np.int64)
    xs, ys = (np.sort(np.concatenate([cuts[axis], ends.reshape(-1, 2)[:, axis]])) for axis in (0, 1))
    return keys_for(xs, ys, cuts[2], 2 * len(sheets.ceilings))


def around(values: Ints, lo: int, hi: int) -> slice:
    """Where sorted values lie from the last that is at most ``lo`` to the first that is at least ``hi``."""
    first = int(np.searchsorted(values, lo, side="right")) - 1
    return slice(max(first, 0), int(np.searchsorted(values, hi)) + 1)


def part_of(columns: Columns, span: tuple[int, int]) -> Columns:
    """The uprights of a wall about a part of it."""
    here = around(columns.c, *span)
    return Columns(columns.c[here], columns.s[here], columns.x[here], columns.y[here])


def between(values: Ints, lo: int, hi: int) -> Ints:
    """Sorted values from ``lo`` to ``hi``, both included."""
    return values[np.searchsorted(values, lo) : np.searchsorted(values, hi, side="right")]


def columns_of(w: WallSheet, xy: tuple[Ints, Ints], planes: Planes) -> Columns:
    """Upright lines of a wall at the planes that cut it."""
    if w.is_skew:
        cs = planes.skew_coordinates(w.face.id)
        points = np.array([w.point(int(c)) for c in cs], dtype=np.int64)
        return Columns(cs, cs, points[:, 0], points[:, 1])
    cs = between(xy[w.axis], *w.span)
    s, fixed = np.abs(cs - w.face.start[w.axis]), np.full(len(cs), w.plane)
    return Columns(cs, s, cs, fixed) if w.axis == 0 else Columns(cs, s, fixed, cs)


def outdoor_nodes(k: OuterCrossing, columns: Columns, zs: Ints, keys: Keys) -> tuple[Ints, Ints, Ints]:
    """Node keys before and on a wall for every upright of it that stands outdoors and every height, shape
    (uprights, heights), and the numbers of those uprights. Outdoors each room has nodes of its own: a way in leads
    nowhere else."""
    on = np.flatnonzero((columns.s >= k.s0) & (columns.s <= k.s1))
    z = between(zs, k.wall.face.z0, k.wall.face.z1)[None, :]
    points = np.array([k.facade.point(int(s) + k.shift) for s in columns.s[on]], dtype=np.int64).reshape(-1, 2)
    outer = keys.pack(k.rooms + k.wall.room, points[:, 0][:, None], points[:, 1][:, None], z)
    return outer, keys.pack(k.wall.room, columns.x[on][:, None], columns.y[on][:, None], z), on
