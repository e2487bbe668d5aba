"""Places where a heater can be tied to the lattice."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from service.design import MANIFOLD_DROP_MM
from service.routing.columns import FAR_MM, Boxes, Cuts, between, outdoor_nodes
from service.routing.lattice import Bools, Lattice
from service.routing.planes import Ints, Lines, among, distinct
from service.routing.sheets import OuterCrossing, Sheets, WallSheet
from service.survey.equipment import Heater

HubColumns = tuple[Ints, Ints, Ints, Ints, Ints, Ints, Ints, Ints]
"""Wall, coordinate, distance, manifold, node, vent, reach and surface of ``Hubs``."""
ANY_LEVEL = -1
"""Stands for the offset of vents that may start anywhere over or under the manifold."""


@dataclass(frozen=True)
class Hubs:
    """Places of heaters whose vent turns ``offset`` above the manifold, as columns of shape (n,).

    ``node`` names the manifold's node; ``vent`` holds the upright states in which the vent may start to turn, shape
    (n, k), -1 for none. ``reach`` is the farthest that a place between this hub and its neighbours can be [mm].
    ``surface`` is what the case hangs on: the wall, or the facade before it, counted on after the walls; ``s`` is the
    distance on that. ``ruled`` holds surface, distance and manifold of all places of the surfaces, those too that are
    no hubs of this part of the house.
    """

    offset: int
    wall: Ints
    c: Ints
    s: Ints
    manifold_z: Ints
    node: Ints
    vent: Ints
    reach: Ints
    surface: Ints
    ruled: tuple[Ints, Ints, Ints]
    _starts: dict[int, tuple[Lattice, Ints]] = field(init=False, default_factory=dict, compare=False, repr=False)

    def manifold(self, lattice: Lattice) -> Ints:
        """States of a lattice in which small runs may begin, one for each axis of travel, shape (n, axes), -1 for
        none."""
        if id(lattice) not in self._starts:
            states = np.stack([lattice.state_ids(self.node, axis) for axis in lattice.axes], axis=1)
            self._starts[id(lattice)] = lattice, states
        return self._starts[id(lattice)][1]

    def lines(self, surface: int) -> Lines:
        """Distances and heights of the manifold at which a surface has places."""
        here = self.ruled[0] == surface
        return distinct(self.ruled[1][here]), distinct(self.ruled[2][here])

    def within(self, boxes: Boxes) -> Hubs:
        """Those in or beside boxes (along a surface, and heights of the manifold) by surface."""
        keep = np.zeros(len(self.wall), dtype=bool)
        for surface, box in boxes.items():
            here = np.flatnonzero(self.surface == surface)
            s, z = self.s[here], self.manifold_z[here]
            keep[here] = _beside(s, *box[:2]) & _beside(z, *box[2:])
        return self.where(keep)

    def where(self, keep: Bools) -> Hubs:
        """Some of them, shape (n,)."""
        return replace(
            self, wall=self.wall[keep], c=self.c[keep], s=self.s[keep], manifold_z=self.manifold_z[keep],
            node=self.node[keep], vent=self.vent[keep], reach=self.reach[keep], surface=self.surface[keep],
        )  # fmt: skip


def _beside(values: Ints, lo: int, hi: int) -> Bools:
    """Which values lie in a range, or next to it among all of them."""
    before, after = values[values <= lo].max(initial=-FAR_MM), values[values >= hi].min(initial=FAR_MM)
    return np.asarray((values >= before) & (values <= after))


def offset_of(heater: Heater) -> int:
    """Height of the vent's first turn above the manifold [mm]."""
    return MANIFOLD_DROP_MM + heater.height_mm + heater.vent_rise_mm


def hubs_of(walls: Sequence[WallSheet], cuts: Cuts, vents: Lattice, offset: int) -> Hubs:
    """All places on the walls (at least one) where the vent has a state of its lattice."""
    parts = [_on_wall(w, cuts, offset) for w in walls]
    wall, c, s, z, low, high, reach = (np.concatenate(column) for column in zip(*parts, strict=True))
    return _kept(offset, (wall, c, s, z, low, vents.state_ids(high, 2)[:, None], reach, wall))


class LooseHubs:
    """Hubs on walls (at least one) whose vent starts at any level about its own, or at ANY_LEVEL: a relaxation for
    bounds, which needs no levels of its own.

    Between two neighbouring levels the small services cost no less than at one of them, and the vent no less than at
    one of the levels next to its own (L2). So a hub may have every level that is next to a start for a manifold between
    the levels beside the hub's own.
    """

    def __init__(self, walls: Sequence[WallSheet], cuts: Cuts, vents: Lattice) -> None:
        """Find what is alike for all vents."""
        bands: dict[tuple[int, int], list[WallSheet]] = {}
        for w in walls:
            bands.setdefault((w.face.z0, w.face.z1), []).append(w)
        parts = [_ruled(group, cuts, vents) for group in bands.values()]
        self._levels, self._upright = [p[0] for p in parts], [p[1] for p in parts]
        columns = [np.concatenate(column) for column in zip(*(p[2:] for p in parts), strict=True)]
        self._order = np.argsort(columns[0], kind="stable")
        self._columns = [column[self._order] for column in columns]

    def about(self, offset: int) -> Hubs:
        """Those whose vent starts ``offset`` above the manifold [mm], or about there."""
        found = [_starts(zs, upright, offset) for zs, upright in zip(self._levels, self._upright, strict=True)]
        wall, c, s, z, node, reach = self._columns
        vent, row = np.full((len(wall), max(starts.shape[1] for starts in found)), -1), 0
        for starts in found:
            vent[row : row + len(starts), : starts.shape[1]] = starts
            row += len(starts)
        return _kept(offset, (wall, c, s, z, node, vent[self._order], reach, wall))


def outdoor_hubs_of(crossings: Sequence[OuterCrossing], cuts: Cuts, walls: int) -> Hubs:
    """All places before outer walls; ``walls`` is how many the house has."""
    parts = [_before_wall(k, cuts, walls) for k in crossings]
    empty = [np.zeros(0, dtype=np.int64)] * 7
    columns = zip(empty, *parts, strict=True)
    wall, c, s, z, node, reach, surface = (np.concatenate(column) for column in columns)
    return Hubs(0, wall, c, s, z, node, np.full((len(wall), 1), -1), reach, surface, (surface, s, z))


def _before_wall(k: OuterCrossing, cuts: Cuts, walls: int) -> list[Ints]:
    """Wall, coordinate, distance on the facade, height, node key, reach and facade."""
    columns, heights = cuts.columns(k.wall), cuts.coordinates[2]
    zs = heights[(heights >= k.wall.face.z0) & (heights <= k.wall.face.z1)]
    nodes, _, on = outdoor_nodes(k, columns, heights, cuts.keys)
    i, z = (g.ravel() for g in np.meshgrid(on, zs, indexing="ij"))
    wall, surface = (np.full(len(i), n) for n in (k.wall.index, walls + k.facade_index))
    reach = np.full(len(i), _reach(columns.c, zs))
    return [wall, columns.c[i], columns.s[i] + k.shift, z, nodes.ravel(), reach, surface]


def _kept(offset: int, columns: HubColumns) -> Hubs:
    _, _, s, z, _, vent, _, surface = columns
    return Hubs(offset, *columns, (surface, s, z)).where(np.asarray((vent >= 0).any(axis=1)))


def _ruled(walls: Sequence[WallSheet], cuts: Cuts, vents: Lattice) -> tuple[Ints, ...]:
    """Levels of walls between the same heights, upright states of a vent there (uprights by levels), and of every place
    wall, coordinate, distance, manifold height, node key and reach."""
    columns, face = [cuts.columns(w) for w in walls], walls[0].face
    zs = between(cuts.coordinates[2], face.z0, face.z1)
    c, s, x, y = (np.concatenate([getattr(v, name) for v in columns]) for name in ("c", "s", "x", "y"))
    facts = [(w.index, w.room, _reach(v.c, zs)) for w, v in zip(walls, columns, strict=True)]
    wall, room, reach = np.repeat(np.array(facts, dtype=np.int64), [len(v.c) for v in columns], axis=0).T
    grid = cuts.keys.pack(room[:, None], x[:, None], y[:, None], zs[None, :])
    upright = vents.state_ids(grid.ravel(), 2).reshape(grid.shape)
    k, z = np.repeat(np.arange(len(c)), len(zs)), np.tile(zs, len(c))
    return zs, upright, wall[k], c[k], s[k], z, grid.ravel(), reach[k]


def _starts(zs: Ints, upright: Ints, offset: int) -> Ints:
    """States in which a vent may start at each place of a band of walls, -1 for none, shape (places, k)."""
    levels = _levels_about(zs, offset)
    return np.where(levels >= 0, upright[:, levels], -1).reshape(-1, levels.shape[1])


def _levels_about(zs: Ints, offset: int) -> Ints:
    """Indices of the levels at which the vent may start for a manifold at each level or between it and those beside
    it, shape (levels, k), -1 for none."""
    if offset == ANY_LEVEL:
        return np.tile(np.arange(len(zs)), (len(zs), 1))
    below, above = np.append(zs[:1], zs[:-1]) + offset, np.append(zs[1:], zs[-1:]) + offset
    first = np.searchsorted(zs, below, side="right") - 1
    last = np.minimum(np.searchsorted(zs, above), len(zs) - 1)
    levels = first[:, None] + np.arange(int((last - first).max()) + 1)
    return np.where((levels <= last[:, None]) & (below <= zs[-1])[:, None], levels, -1)


def _on_wall(w: WallSheet, cuts: Cuts, offset: int) -> tuple[Ints, ...]:
    """Wall, coordinate, distance, manifold height, node keys of manifold and vent, reach."""
    columns, heights = cuts.columns(w), cuts.coordinates[2]
    zs = heights[(heights >= w.face.z0) & (heights + offset <= w.face.z1)]
    zs = zs[among(heights, zs + offset)]
    k, z = (g.ravel() for g in np.meshgrid(np.arange(len(columns.c)), zs, indexing="ij"))
    low = cuts.keys.pack(w.room, columns.x[k], columns.y[k], z)
    high = cuts.keys.pack(w.room, columns.x[k], columns.y[k], z + offset)
    wall, reach = (np.full(len(k), n) for n in (w.index, _reach(columns.c, zs)))
    return wall, columns.c[k], columns.s[k], z, low, high, reach


def _reach(c: Ints, z: Ints) -> int:
    """Widest gaps between neighbouring uprights and levels of a wall, added [mm]."""
    return int(np.diff(c).max(initial=0) + np.diff(z).max(initial=0))


def walls_of(sheets: Sheets, surfaces: Iterable[int]) -> tuple[WallSheet, ...]:
    """Walls among some surfaces, and those behind the facades among them."""
    wanted, count = set(surfaces), len(sheets.walls)
    behind = {k.wall.index for k in sheets.outer_crossings if count + k.facade_index in wanted}
    return tuple(w for w in sheets.walls if w.index in wanted | behind)
