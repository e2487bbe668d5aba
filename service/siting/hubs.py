"""Places where a heater can be tied to the lattice."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from service.design import MANIFOLD_DROP_MM
from service.routing.columns import outdoor_nodes
from service.routing.lattice import Lattice
from service.routing.planes import Ints
from service.routing.sheets import OuterCrossing, Sheets, WallSheet
from service.survey.equipment import Heater


@dataclass(frozen=True, slots=True)
class Hubs:
    """Lattice places of heaters whose vent turns ``offset`` above the manifold, as columns of shape (n,).

    ``manifold`` has one column for each axis of travel, shape (n, axes), -1 where there is no state;
    ``vent`` holds the upright states in which the vent may start to turn, shape (n, k), -1 for none.
    ``reach`` is the farthest that a place between this hub and its neighbours can be [mm]. ``surface`` is what the
    case hangs on: the wall, or the facade before it, counted on after the walls; ``s`` is the distance on that.
    """

    offset: int
    wall: Ints
    c: Ints
    s: Ints
    manifold_z: Ints
    manifold: Ints
    vent: Ints
    reach: Ints
    surface: Ints


def offset_of(heater: Heater) -> int:
    """Height of the vent's first turn above the manifold [mm]."""
    return MANIFOLD_DROP_MM + heater.height_mm + heater.vent_rise_mm


def hubs_of(walls: Sequence[WallSheet], lattice: Lattice, offset: int) -> Hubs:
    """All lattice places on the walls (at least one) where manifold and vent both have states."""
    parts = [_on_wall(w, lattice, offset) for w in walls]
    wall, c, s, z, low, high, reach = (np.concatenate(column) for column in zip(*parts, strict=True))
    manifold = np.stack([lattice.state_ids(low, axis) for axis in lattice.axes], axis=1)
    vent = lattice.state_ids(high, 2)[:, None]
    return _kept(offset, (wall, c, s, z, manifold, vent, reach, wall))


def loose_hubs_of(walls: Sequence[WallSheet], lattice: Lattice) -> Hubs:
    """Hubs whose vent starts at any height of the manifold's upright: a relaxation for bounds."""
    parts = [_loose_on_wall(w, lattice) for w in walls]
    widest = max(p[5].shape[1] for p in parts)
    padded = [np.pad(p[5], ((0, 0), (0, widest - p[5].shape[1])), constant_values=-1) for p in parts]
    wall, c, s, z, low, reach = (np.concatenate(column) for column in zip(*(p[:5] + p[6:] for p in parts), strict=True))
    manifold = np.stack([lattice.state_ids(low, axis) for axis in lattice.axes], axis=1)
    return _kept(0, (wall, c, s, z, manifold, np.concatenate(padded), reach, wall))


def outdoor_hubs_of(crossings: Sequence[OuterCrossing], lattice: Lattice, walls: int) -> Hubs:
    """All lattice places before outer walls; ``walls`` is how many the house has."""
    parts = [_before_wall(k, lattice, walls) for k in crossings]
    empty = [np.zeros(0, dtype=np.int64)] * 7
    columns = zip(empty, *parts, strict=True)
    wall, c, s, z, node, reach, surface = (np.concatenate(column) for column in columns)
    manifold = np.stack([lattice.state_ids(node, axis) for axis in lattice.axes], axis=1)
    return _kept(0, (wall, c, s, z, manifold, manifold, reach, surface))


def _before_wall(k: OuterCrossing, lattice: Lattice, walls: int) -> list[Ints]:
    """Wall, coordinate, distance on the facade, height, node key, reach and facade."""
    columns, heights = lattice.columns[k.wall.index], lattice.coordinates[2]
    zs = heights[(heights >= k.wall.face.z0) & (heights <= k.wall.face.z1)]
    nodes, _, on = outdoor_nodes(k, columns, heights, lattice.keys)
    i, z = (g.ravel() for g in np.meshgrid(on, zs, indexing="ij"))
    wall, surface = (np.full(len(i), n) for n in (k.wall.index, walls + k.facade_index))
    return [wall, columns.c[i], columns.s[i] + k.shift, z, nodes.ravel(), _reach(columns.c, zs, len(i)), surface]


def _kept(offset: int, columns: tuple[Ints, ...]) -> Hubs:
    keep = (columns[5] >= 0).any(axis=1) & (columns[4] >= 0).any(axis=1)
    return Hubs(offset, *(column[keep] for column in columns))


def _loose_on_wall(w: WallSheet, lattice: Lattice) -> tuple[Ints, ...]:
    columns, heights = lattice.columns[w.index], lattice.coordinates[2]
    zs = heights[(heights >= w.face.z0) & (heights <= w.face.z1)]
    grid = lattice.keys.pack(w.room, columns.x[:, None], columns.y[:, None], zs[None, :])
    vents = lattice.state_ids(grid.ravel(), 2).reshape(grid.shape)
    k, z = (g.ravel() for g in np.meshgrid(np.arange(len(columns.c)), zs, indexing="ij"))
    reach = _reach(columns.c, zs, len(k))
    return np.full(len(k), w.index), columns.c[k], columns.s[k], z, grid.ravel(), vents[k], reach


def _on_wall(w: WallSheet, lattice: Lattice, offset: int) -> tuple[Ints, ...]:
    """Wall, coordinate, distance, manifold height, node keys of manifold and vent, reach."""
    columns, heights = lattice.columns[w.index], lattice.coordinates[2]
    zs = heights[(heights >= w.face.z0) & (heights + offset <= w.face.z1)]
    zs = zs[np.isin(zs + offset, heights)]
    k, z = (g.ravel() for g in np.meshgrid(np.arange(len(columns.c)), zs, indexing="ij"))
    low = lattice.keys.pack(w.room, columns.x[k], columns.y[k], z)
    high = lattice.keys.pack(w.room, columns.x[k], columns.y[k], z + offset)
    return np.full(len(k), w.index), columns.c[k], columns.s[k], z, low, high, _reach(columns.c, zs, len(k))


def _reach(c: Ints, z: Ints, count: int) -> Ints:
    """Widest gaps between neighbouring uprights and levels of a wall, added, once for each of its hubs."""
    return np.full(count, np.diff(c).max(initial=0) + np.diff(z).max(initial=0))


def walls_of(sheets: Sheets, surfaces: Iterable[int]) -> tuple[WallSheet, ...]:
    """Walls among some surfaces, and those behind the facades among them."""
    wanted, count = set(surfaces), len(sheets.walls)
    behind = {k.wall.index for k in sheets.outer_crossings if count + k.facade_index in wanted}
    return tuple(w for w in sheets.walls if w.index in wanted | behind)
