"""A service's ends as entries into the lattice."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import dist

import numpy as np

from service.design import Piece
from service.routing.ends import Anchor, AnchorLine
from service.routing.fields import Floats, Sources, Tariff
from service.routing.lattice import Lattice
from service.routing.paths import direction, elbows
from service.routing.planes import Ints, Planes
from service.routing.sheets import FIRST_SKEW_AXIS, Sheets

NO_TAIL, OBLIQUE = -1, -2


@dataclass(frozen=True, slots=True)
class Entries:
    """States from which a run may end, as columns of shape (n,): state, anchor index, and the
    length [mm] and bends behind it, the turn into the tail included."""

    states: Ints
    names: Ints
    run: Floats
    bends: Ints
    anchors: tuple[Anchor, ...]

    def anchor_of(self, source: int) -> Anchor:
        """Anchor behind a source index."""
        return self.anchors[int(self.names[source])]

    def priced(self, tariff: Tariff) -> Sources:
        """The entries as sources of a service that pays a tariff."""
        tails = np.array([_tail_cost(tariff, a.tail) for a in self.anchors], dtype=float)
        costs = np.asarray(tails[self.names] + self.bends * tariff.bend, dtype=np.float64)
        return Sources(self.states, costs, self.run, self.bends, tuple(self.names.tolist()))


def add_anchor_planes(planes: Planes, sheets: Sheets, anchors: Iterable[Anchor]) -> None:
    """Make the places of ends critical."""
    for a in anchors:
        for axis in range(3):
            planes.add(axis, a.point[axis], f"end {a.end_id}")
        for w in sheets.walls:
            if w.is_skew and w.face.id == a.sheet:
                planes.add_skew(w.face.id, round(dist(a.point[:2], w.face.start)), f"end {a.end_id}")


def entries_of(lattice: Lattice, anchors: Iterable[Anchor], lines: Iterable[AnchorLine] = ()) -> Entries:
    """All states from which a run may end, with the length and bends of what lies behind.

    Existing straight pipes are cut at every critical plane, so a tap may sit at any of them.
    """
    every = list(anchors) + [a for line in lines for a in _along(lattice, line)]
    table = np.array([(a.room, *a.point) for a in every], dtype=np.int64).reshape(-1, 4)
    keys = lattice.keys.pack(*table.T)
    states = np.stack([lattice.state_ids(keys, axis) for axis in lattice.axes])
    into = np.array([_first_axis(a.tail) for a in every], dtype=np.int64)
    run = np.array([a.upstream_mm + sum(p.length_mm for p in a.tail) for a in every], dtype=float)
    bends = np.array([elbows(a.tail) for a in every], dtype=np.int64)
    k, name = np.nonzero(states >= 0)
    turn = (into[name] != NO_TAIL) & (into[name] != np.array(lattice.axes)[k])
    return Entries(states[k, name], name, run[name], bends[name] + turn, tuple(every))


def _along(lattice: Lattice, line: AnchorLine) -> list[Anchor]:
    """Anchors strictly between a line's ends, one at each node of the lattice there."""
    axis = line.axis
    if axis is None or line.a.room != line.b.room or line.a.sheet != line.b.sheet:
        return []
    (lo, first), (hi, _) = sorted(((line.a.point[axis], line.a), (line.b.point[axis], line.b)), key=lambda e: e[0])
    values = lattice.coordinates[axis]
    out = []
    for v in values[(values > lo) & (values < hi)]:
        shift = int(v) - first.point[axis]
        # a pipe longer than it looks has its surplus before the tap: the safe side
        upstream = max(line.b.upstream_mm - abs(int(v) - line.b.point[axis]), 0)
        out.append(_moved(first, axis, shift, line.end_id, upstream))
    return out


def _moved(a: Anchor, axis: int, shift: int, end_id: str, upstream_mm: int) -> Anchor:
    def move(p: tuple[int, int, int]) -> tuple[int, int, int]:
        q = list(p)
        q[axis] += shift
        return q[0], q[1], q[2]

    tail = tuple(Piece(move(p.start), move(p.end), p.surface) for p in a.tail)
    return replace(a, end_id=end_id, point=move(a.point), tail=tail, upstream_mm=upstream_mm)


def _tail_cost(tariff: Tariff, tail: tuple[Piece, ...]) -> int:
    """Money units of a tail but for its bends."""
    return sum(tariff.per_mm[p.surface] * p.length_mm + tariff.once.get(p.surface, 0) for p in tail)


def _first_axis(tail: tuple[Piece, ...]) -> int:
    """Axis along which a tail begins, OBLIQUE for none of the frame's, NO_TAIL if it has no length."""
    first = next((d for p in tail if (d := direction(p)) is not None), None)
    if first is None:
        return NO_TAIL
    return next((axis for axis in range(FIRST_SKEW_AXIS) if abs(first[axis]) == 1), OBLIQUE)
