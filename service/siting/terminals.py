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
from service.routing.lattice import Bools, Lattice
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
    columns, heights = lattice.columns[w.index], lattice.coordinates[2]
    zs = heights[(heights >= w.face.z0) & (heights <= w.face.z1)]
    on = np.flatnonzero((columns.s >= t.s0) & (columns.s <= t.s1))
    k, z = (g.ravel() for g in np.meshgrid(on, zs, indexing="ij"))
    nodes = lattice.keys.pack(w.room, columns.x[k], columns.y[k], z)
    s = t.facade_s0 + columns.s[k] - t.s0
    along = [np.full(len(k), w.index), columns.c[k], np.full(len(k), facade_index), s, z]
    depth = np.full(len(k), _depth(w, t, facade))
    rows = []
    for axis in sorted({0, 1, 2, w.axis}):
        state = lattice.state_ids(nodes, axis)
        has = state >= 0
        turn = int(w.is_skew or axis != w.normal_axis)
        rows.append([state[has], *(a[has] for a in along), depth[has], np.full(int(has.sum()), turn)])
    return [np.concatenate(column) for column in zip(*rows, strict=True)]


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
