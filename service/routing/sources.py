"""A service's ends as entries into the lattice."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import dist

import numpy as np

from service.design import Piece
from service.routing.ends import Anchor, AnchorLine
from service.routing.fields import Sources, Tariff
from service.routing.lattice import AXIS_BITS, Lattice
from service.routing.paths import direction, elbows
from service.routing.planes import Planes
from service.routing.sheets import FIRST_SKEW_AXIS, Sheets


@dataclass(frozen=True, slots=True)
class Entries:
    """Sources together with the anchors they stand for: ``anchors[sources.names[i]]``."""

    sources: Sources
    anchors: tuple[Anchor, ...]

    def anchor_of(self, source: int) -> Anchor:
        """Anchor behind a source index."""
        return self.anchors[self.sources.names[source]]


def add_anchor_planes(planes: Planes, sheets: Sheets, anchors: Iterable[Anchor]) -> None:
    """Make the places of ends critical."""
    for a in anchors:
        for axis in range(3):
            planes.add(axis, a.point[axis], f"end {a.end_id}")
        for w in sheets.walls:
            if w.is_skew and w.face.id == a.sheet:
                planes.add_skew(w.face.id, round(dist(a.point[:2], w.face.start)), f"end {a.end_id}")


def entries_of(
    lattice: Lattice, tariff: Tariff, anchors: Iterable[Anchor], lines: Iterable[AnchorLine] = ()
) -> Entries:
    """All states from which a run may end, with the cost and length of what lies behind.

    Existing straight pipes are cut at every critical plane, so a tap may sit at any of them.
    """
    every = list(anchors) + [a for line in lines for a in _along(lattice, line)]
    rows: list[tuple[int, float, float, int, int]] = []
    for i, a in enumerate(every):
        key = lattice.keys.pack(np.array([a.room]), a.point[0], a.point[1], a.point[2])
        cost, run, turns = _tail(tariff, a.tail)
        for axis in range(1 << AXIS_BITS):
            state = int(lattice.state_ids(key, axis)[0])
            if state >= 0:
                turn = _turns(axis, a.tail)
                rows.append((state, cost + turn * tariff.bend, a.upstream_mm + run, turns + turn, i))
    table = np.array([row[:4] for row in rows], dtype=float).reshape(-1, 4)
    sources = Sources(
        table[:, 0].astype(np.int64), table[:, 1], table[:, 2], table[:, 3].astype(np.int64), tuple(r[4] for r in rows)
    )  # fmt: skip
    return Entries(sources, tuple(every))


def _along(lattice: Lattice, line: AnchorLine) -> list[Anchor]:
    """Anchors strictly between a line's ends, one at each node of the lattice there."""
    axis = line.axis
    if axis is None or line.a.room != line.b.room or line.a.sheet != line.b.sheet:
        return []
    (lo, first), (hi, _) = sorted(((line.a.point[axis], line.a), (line.b.point[axis], line.b)), key=lambda e: e[0])
    values = np.unique(lattice.xyz[:, axis])
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


def _tail(tariff: Tariff, tail: tuple[Piece, ...]) -> tuple[int, int, int]:
    """Cost, length [mm] and bends of a tail."""
    cost = sum(tariff.per_mm[p.surface] * p.length_mm + tariff.once.get(p.surface, 0) for p in tail)
    turns = elbows(tail)
    return cost + turns * tariff.bend, sum(p.length_mm for p in tail), turns


def _turns(axis: int, tail: tuple[Piece, ...]) -> int:
    """1 if a run arriving along ``axis`` must turn into the tail."""
    first = next((d for p in tail if (d := direction(p)) is not None), None)
    if first is None:
        return 0
    return 0 if axis < FIRST_SKEW_AXIS and abs(first[axis]) == 1 else 1
