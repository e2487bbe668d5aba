"""Vent terminals as the ends of the vent's run: every lattice point on an outer wall."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from service.building.model import Behind, Building, Facade, Stretch
from service.clearance.model import Zone
from service.design import Piece, Surface, Terminal
from service.routing.ends import outer_point
from service.routing.fields import Sources, Tariff
from service.routing.lattice import AXIS_BITS, Bools, Lattice
from service.routing.planes import Ints
from service.routing.sheets import Sheets, WallSheet


@dataclass(frozen=True, slots=True)
class Outlets:
    """Outer-wall points of a lattice as columns, shape (n,): state, wall, coordinate, facade place, turn.

    ``depth`` is the way through the wall [mm]; ``turn`` is 1 where the state's axis is not square to it.
    """

    state: Ints
    wall: Ints
    c: Ints
    facade: Ints
    s: Ints
    z: Ints
    depth: Ints
    turn: Ints


def outlets_of(building: Building, sheets: Sheets, lattice: Lattice) -> Outlets:
    """All states from which a vent can leave the house square to its wall."""
    index = {f.id: i for i, f in enumerate(building.facades)}
    columns = [
        _stretch_outlets(w, t, index[t.facade_id], building.facades[index[t.facade_id]], lattice)
        for w in sheets.walls
        for t in w.face.stretches
        if t.behind is Behind.OUTDOORS and t.facade_id is not None
    ]
    if not columns:
        return Outlets(*(np.zeros(0, dtype=np.int64) for _ in range(8)))
    return Outlets(*(np.concatenate(column) for column in zip(*columns, strict=True)))


def _stretch_outlets(w: WallSheet, t: Stretch, facade_index: int, facade: Facade, lattice: Lattice) -> list[Ints]:
    arcs = lattice.arcs.sheet == w.index
    ends = np.unique(np.concatenate([lattice.arc_states[0][arcs], lattice.arc_states[1][arcs]]))
    nodes = np.unique(lattice.states[ends] >> AXIS_BITS)
    _, x, y, z = lattice.keys.unpack(nodes)
    c = _coordinates(w, x, y)
    s = c if w.is_skew else np.abs(c - w.face.start[w.axis])
    inside = (s >= t.s0) & (s <= t.s1)
    nodes, c, s, z = nodes[inside], c[inside], s[inside], z[inside]
    depth = _depth(w, t, facade)
    rows = []
    for axis in sorted({0, 1, 2, w.axis}):
        state = lattice.state_ids(nodes, axis)
        has = state >= 0
        turn = 0 if not w.is_skew and axis == w.normal_axis else 1
        n = int(has.sum())
        rows.append([
            state[has], np.full(n, w.index), c[has], np.full(n, facade_index), t.facade_s0 + s[has] - t.s0, z[has],
            np.full(n, depth), np.full(n, turn),
        ])  # fmt: skip
    return [np.concatenate(column) for column in zip(*rows, strict=True)]


def _coordinates(w: WallSheet, x: Ints, y: Ints) -> Ints:
    if w.is_skew:
        return np.rint(np.hypot(x - w.face.start[0], y - w.face.start[1])).astype(np.int64)
    return x if w.axis == 0 else y


def _depth(w: WallSheet, t: Stretch, facade: Facade) -> int:
    """From the face to the facade's plane, square to the wall [mm]."""
    if w.is_skew:
        return t.thickness_mm
    return abs(w.plane - facade.start[w.normal_axis])


def lawful(outlets: Outlets, zones: Mapping[int, Iterable[Zone]]) -> Bools:
    """Which outlets lie in none of the given zones (by facade index), exactly."""
    free = np.ones(len(outlets.state), dtype=bool)
    for facade, group in sorted(zones.items()):
        here = np.flatnonzero(outlets.facade == facade)
        for zone in group:
            free[here] &= ~covered(zone, outlets.s[here], outlets.z[here])
    return free


def covered(zone: Zone, s: Ints, z: Ints) -> Bools:
    """``Zone.covers`` for arrays."""
    if not zone.radius2:
        return np.asarray((s > zone.s0) & (s < zone.s1) & (z > zone.z0) & (z < zone.z1))
    ds = np.maximum(np.maximum(zone.s0 - s, s - zone.s1), 0)
    dz = np.maximum(np.maximum(zone.z0 - z, z - zone.z1), 0)
    return np.asarray(ds * ds + dz * dz < zone.radius2)


def vent_sources(outlets: Outlets, free: Bools, tariff: Tariff) -> Sources:
    """The free outlets as sources; names are outlet indices."""
    keep = np.flatnonzero(free)
    depth, turn = outlets.depth[keep], outlets.turn[keep]
    cost = tariff.per_mm[Surface.OUTER_WALL] * depth + tariff.once[Surface.OUTER_WALL] + tariff.bend * turn
    return Sources(outlets.state[keep], cost.astype(float), depth.astype(float), turn, tuple(keep.tolist()))


def terminal_at(building: Building, sheets: Sheets, outlets: Outlets, outlet: int) -> tuple[Terminal, Piece]:
    """The terminal of an outlet and the piece that leads through the wall to it."""
    w = sheets.walls[int(outlets.wall[outlet])]
    facade = building.facades[int(outlets.facade[outlet])]
    c, z = int(outlets.c[outlet]), int(outlets.z[outlet])
    outside = outer_point(w, c, z, int(outlets.depth[outlet]))
    terminal = Terminal(facade.id, int(outlets.s[outlet]), z)
    return terminal, Piece((*w.point(c), z), outside, Surface.OUTER_WALL)
