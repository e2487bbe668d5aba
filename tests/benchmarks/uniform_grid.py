"""The plan as a newcomer would cut it: every wall and ceiling sampled at one pitch, no critical planes.

Shares the service's sheets, obstacles, clearance zones and prices, none of its route graph. A sheet is
sampled at its own ends and at every multiple of the pitch between. Ends are snapped to the nearest
sample of their room and pay for the way there, bends included.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from service.design import Piece, Surface
from service.routing.ends import Anchor
from service.routing.sheets import Sheets, WallSheet
from service.routing.turns import elbows, move
from service.survey.model import Point3

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Node = tuple[int, Point3]
"""Room and point [mm]."""
AXES = 3
NO_SHEET = -(10**6)


@dataclass(frozen=True, slots=True)
class Step:
    """One undirected piece of the grid along an axis; ``box`` is (c0, c1, d0, d1) on its sheet [mm]."""

    a: Node
    b: Node
    axis: int
    surface: Surface
    sheet: int
    box: tuple[int, int, int, int] = (0, 0, 0, 0)


@dataclass(slots=True)
class Samples:
    """States (node, axis of travel) and steps, grown sheet by sheet."""

    sheets: Sheets
    pitch_mm: int
    steps: list[Step] = field(default_factory=list)
    states: dict[tuple[Node, int], int] = field(default_factory=dict)
    nodes: dict[Node, list[int]] = field(default_factory=dict)

    def add(self, step: Step) -> None:
        """Put a step in with the states at its ends."""
        self.steps.append(step)
        for node in (step.a, step.b):
            if (node, step.axis) not in self.states:
                self.states[node, step.axis] = len(self.states)
                self.nodes.setdefault(node, []).append(step.axis)

    def lines(self, lo: int, hi: int) -> list[int]:
        """Sample coordinates between two ends [mm]."""
        first = lo - lo % self.pitch_mm + self.pitch_mm
        return [lo, *range(first, hi, self.pitch_mm), hi]

    def ends(self) -> tuple[Ints, Ints]:
        """States of all steps, both ends."""
        pairs = [(self.states[s.a, s.axis], self.states[s.b, s.axis]) for s in self.steps]
        both = np.array(pairs, dtype=np.int64)
        return both[:, 0], both[:, 1]

    def bends(self) -> tuple[Ints, Ints]:
        """Pairs of states of one node, each once."""
        pairs = [
            (self.states[node, i], self.states[node, k])
            for node, axes in self.nodes.items() for i in axes for k in axes if i < k
        ]  # fmt: skip
        both = np.array(pairs, dtype=np.int64)
        return both[:, 0], both[:, 1]


def sample(sheets: Sheets, pitch_mm: int) -> Samples:
    """Cut every sheet; rectangular rooms only."""
    out = Samples(sheets, pitch_mm)
    for wall in sheets.walls:
        _add_wall(out, wall)
    for i, ceiling in enumerate(sheets.ceilings):
        _add_ceiling(out, i, ceiling.surface)
    for crossing in sheets.wall_crossings:
        _add_wall_crossing(out, crossing.a, crossing.b)
    for floor in sheets.floor_crossings:
        _add_floor_crossing(out, floor.below.room_index, floor.below.room.ceiling_z, floor.above)
    return out


def wall_node(wall: WallSheet, c: int, z: int) -> Node:
    """Node at coordinate and height of a wall."""
    x, y = wall.point(c)
    return wall.room, (x, y, z)


def wall_samples(out: Samples, wall: WallSheet) -> tuple[list[int], list[int]]:
    """Coordinates along a wall and heights [mm]."""
    return out.lines(*wall.span), out.lines(wall.face.z0, wall.face.z1)


def _add_wall(out: Samples, w: WallSheet) -> None:
    cs, zs = wall_samples(out, w)
    for c in cs:
        for z0, z1 in pairwise(zs):
            out.add(Step(wall_node(w, c, z0), wall_node(w, c, z1), 2, w.surface, w.index, (c, c, z0, z1)))
    for z in zs:
        for c0, c1 in pairwise(cs):
            out.add(Step(wall_node(w, c0, z), wall_node(w, c1, z), w.axis, w.surface, w.index, (c0, c1, z, z)))


def _add_ceiling(out: Samples, room: int, surface: Surface) -> None:
    plan = out.sheets.ceilings[room].room
    columns, rows = zip(*plan.outline, strict=True)
    xs, ys = out.lines(min(columns), max(columns)), out.lines(min(rows), max(rows))
    z, sheet = plan.ceiling_z, -1 - room
    for y in ys:
        for a, b in pairwise(xs):
            out.add(Step((room, (a, y, z)), (room, (b, y, z)), 0, surface, sheet, (a, b, y, y)))
    for x in xs:
        for a, b in pairwise(ys):
            out.add(Step((room, (x, a, z)), (room, (x, b, z)), 1, surface, sheet, (x, x, a, b)))


def _add_wall_crossing(out: Samples, a: WallSheet, b: WallSheet) -> None:
    low, high = sorted((a, b), key=lambda w: (w.plane, w.index))
    cs, zs = wall_samples(out, low)
    for c in cs:
        for z in zs:
            _link(out, wall_node(low, c, z), wall_node(high, c, z), low.normal_axis, Surface.WALL_CROSSING)


def _add_floor_crossing(out: Samples, below: int, ceiling_z: int, above: WallSheet) -> None:
    for c in out.lines(*above.span):
        upper = wall_node(above, c, above.face.z0)
        x, y, _ = upper[1]
        _link(out, (below, (x, y, ceiling_z)), upper, 2, Surface.FLOOR_CROSSING)


def _link(out: Samples, a: Node, b: Node, axis: int, surface: Surface) -> None:
    """A crossing, if both samples exist; one without length turns nothing, so it takes every axis."""
    if a in out.nodes and b in out.nodes:
        for k in (axis,) if a[1] != b[1] else range(AXES):
            out.add(Step(a, b, k, surface, NO_SHEET))


@dataclass(frozen=True, slots=True)
class Snap:
    """An end moved to a sample: the state, and the pieces from there to the end."""

    state: int
    pieces: tuple[Piece, ...]
    turns: int

    @property
    def length_mm(self) -> int:
        """Length of pipe between sample and end [mm]."""
        return sum(p.length_mm for p in self.pieces)


def snaps(samples: Samples, anchor: Anchor) -> list[Snap]:
    """The end at the nearest sample of its room, once for each axis of travel there."""
    here = [n for n in samples.nodes if n[0] == anchor.room]
    node = min(here, key=lambda n: (sum(abs(p - q) for p, q in zip(n[1], anchor.point, strict=True)), n))
    surface = samples.sheets.walls[[w.room for w in samples.sheets.walls].index(anchor.room)].surface
    pieces = (*_way(node[1], anchor.point, surface), *anchor.tail)
    first = next((m for p in pieces if any(m := move(p))), None)
    inner = elbows(pieces)
    return [
        Snap(samples.states[node, axis], pieces, inner + (first is not None and first[axis] == 0))
        for axis in samples.nodes[node]
    ]


def _way(start: Point3, end: Point3, surface: Surface) -> tuple[Piece, ...]:
    """Along z, then x, then y."""
    points = [start, (start[0], start[1], end[2]), (end[0], start[1], end[2]), end]
    return tuple(Piece(a, b, surface) for a, b in pairwise(points) if a != b)
