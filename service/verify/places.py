"""Every place of a network at which a heater can hang, in rooms and outdoors."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from service.design import MANIFOLD_DROP_MM
from service.routing.planes import Planes
from service.routing.sheets import OuterCrossing, Sheets, WallSheet
from service.siting.needs import Need
from service.verify.network import UPRIGHT, Ints, Network


@dataclass(frozen=True, slots=True)
class Places:
    """Places as columns of shape (n,): wall, distance on what the case hangs on, height of the point where the small
    runs meet [mm], and that surface: the wall, or the facade counted on after the walls. ``manifold`` and ``vent`` hold
    the states in which small runs and vent may begin, shape (n, k), the number of states for none."""

    wall: Ints
    s: Ints
    z: Ints
    surface: Ints
    manifold: Ints
    vent: Ints

    @property
    def bottom(self) -> Ints:
        """Undersides of the case [mm]."""
        return self.z + MANIFOLD_DROP_MM


Row = tuple[int, int, int, int, tuple[int, ...], tuple[int, ...]]


def first_turn_mm(need: Need) -> int:
    """From the point where the small runs meet up to where the vent may first turn; 0 outdoors [mm]."""
    return 0 if need.outdoors else MANIFOLD_DROP_MM + need.heater.height_mm + need.heater.vent_rise_mm


def heights_of(planes: Planes, sheets: Sheets, need: Need | None) -> tuple[int, ...]:
    """Critical heights; of a heater also those that its first turn ties to them, as far as it can hang there (None: a
    bound in which the vent may turn at any height)."""
    heights = set(planes.z)
    if need is not None:
        up = first_turn_mm(need)
        asked = {*planes.z, *(z - up for z in planes.z), *planes.hub}
        bands = {(w.face.z0, w.face.z1) for w in sheets.walls}
        low = {z for z in asked for floor, ceiling in bands if floor <= z and z + up <= ceiling}
        heights |= low | {z + up for z in low}
    return tuple(sorted(heights))


def places_of(network: Network, need: Need, loose: bool) -> Places:
    """Places of a heater; ``loose``: its vent may turn at any height over the place."""
    sheets = network.sheets
    if need.outdoors:
        parts = [_before(network, k, len(sheets.walls)) for k in sheets.outer_crossings]
    else:
        parts = [_on(network, w, None if loose else first_turn_mm(need)) for w in sheets.walls]
    return _columns([row for part in parts for row in part], network.count)


def _on(network: Network, w: WallSheet, up: int | None) -> Iterator[Row]:
    uprights, levels = network.uprights[w.index], network.levels(w.face.z0, w.face.z1)
    for s, p in zip(uprights.s, uprights.points, strict=True):
        turns = {z: network.states((w.room, *p, z), UPRIGHT) for z in levels}
        anywhere = tuple(state for states in turns.values() for state in states)
        for z in levels:
            vent = anywhere if up is None else turns.get(z + up, ())
            if vent:
                yield w.index, s, z, w.index, network.states((w.room, *p, z)), vent


def _before(network: Network, k: OuterCrossing, walls: int) -> Iterator[Row]:
    w, uprights = k.wall, network.uprights[k.wall.index]
    for s in (s for s in uprights.s if k.s0 <= s <= k.s1):
        out = k.facade.point(s + k.shift)
        for z in network.levels(w.face.z0, w.face.z1):
            states = network.states((k.rooms + w.room, *out, z))
            if states:
                yield w.index, s + k.shift, z, walls + k.facade_index, states, ()


def _columns(rows: list[Row], none: int) -> Places:
    def padded(column: int) -> Ints:
        every = [(r[4], r[5])[column] for r in rows]
        widest = max((len(v) for v in every), default=0) or 1
        full = [(*v, *[none] * (widest - len(v))) for v in every]
        return np.array(full, dtype=np.int64).reshape(len(rows), widest)

    wall, s, z, surface = (np.array([r[i] for r in rows], dtype=np.int64) for i in range(4))
    return Places(wall, s, z, surface, padded(0), padded(1))
