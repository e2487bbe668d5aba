"""Places where a heater can be tied to the lattice."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from service.design import MANIFOLD_DROP_MM
from service.routing.lattice import AXIS_BITS, Lattice
from service.routing.planes import Ints, Planes
from service.routing.sheets import Sheets, WallSheet
from service.survey.equipment import Heater


@dataclass(frozen=True, slots=True)
class Hubs:
    """Lattice places of heaters whose vent turns ``offset`` above the manifold, as columns of shape (n,).

    ``manifold`` has one column for each axis of travel, shape (n, axes), -1 where there is no state;
    ``vent`` is the upright state at the height where the vent may first turn.
    """

    offset: int
    wall: Ints
    c: Ints
    s: Ints
    manifold_z: Ints
    manifold: Ints
    vent: Ints


def offset_of(heater: Heater) -> int:
    """Height of the vent's first turn above the manifold [mm]."""
    return MANIFOLD_DROP_MM + heater.height_mm + heater.vent_rise_mm


def hubs_of(sheets: Sheets, lattice: Lattice, planes: Planes, heights: Ints, offset: int) -> Hubs:
    """All lattice places on walls where manifold and vent both have states."""
    parts = [p for w in sheets.walls if (p := _on_wall(w, lattice, planes, heights, offset)) is not None]
    columns = [np.concatenate(column) for column in zip(*parts, strict=True)]
    return Hubs(offset, *columns)


def _on_wall(w: WallSheet, lattice: Lattice, planes: Planes, heights: Ints, offset: int) -> tuple[Ints, ...] | None:
    cs = planes.skew_coordinates(w.face.id) if w.is_skew else _within(planes.coordinates(w.axis), *w.span)
    zs = _within(heights, w.face.z0 + 1, w.face.z1 - offset)
    zs = zs[np.isin(zs + offset, heights)]
    if not len(cs) or not len(zs):
        return None
    c, z = (g.ravel() for g in np.meshgrid(cs, zs, indexing="ij"))
    points = np.array([w.point(int(v)) for v in cs], dtype=np.int64)[np.searchsorted(cs, c)]
    low = lattice.keys.pack(w.room, points[:, 0], points[:, 1], z)
    high = lattice.keys.pack(w.room, points[:, 0], points[:, 1], z + offset)
    manifold = np.stack([lattice.state_ids(low, axis) for axis in range(1 << AXIS_BITS)], axis=1)
    manifold = manifold[:, (manifold >= 0).any(axis=0)] if len(manifold) else manifold
    padded = np.full((len(c), 1 << AXIS_BITS), -1, dtype=np.int64)
    padded[:, : manifold.shape[1]] = manifold
    vent = lattice.state_ids(high, 2)
    s = np.array([w.distance(int(v)) for v in cs], dtype=np.int64)[np.searchsorted(cs, c)]
    keep = (vent >= 0) & (padded >= 0).any(axis=1)
    return tuple(column[keep] for column in (np.full(len(c), w.index), c, s, z, padded, vent))


def _within(values: Ints, lo: int, hi: int) -> Ints:
    return values[(values >= lo) & (values <= hi)]
