"""What a heater costs at least at every place of a surface, told on the lines that are critical for it by itself.

Within a cell of these lines the cost is concave (L2), so between its corners it is no less than what they make of it in
between. Where an arc passes through a cell nothing but its open corners is known, and the cell is taken as a whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from dataclasses import field as dataclass_field

import numpy as np

from service.building.roof_model import RoofPlane
from service.clearance.model import Box, Zone
from service.routing.lattice import Bools
from service.routing.planes import Ints
from service.routing.roof import heights_mm
from service.routing.tariff import Floats
from service.siting.active import critical_lines
from service.siting.rims import crossing_lines
from service.siting.terminals import covered


@dataclass(frozen=True, slots=True)
class Lift:
    """What a vent pays up to a pitched roof, by the plane and a millimetre's price [money units]. Heights are whole
    millimetres, so it is this part of a cost that is not quite concave between the lines."""

    plane: RoofPlane
    units_per_mm: float

    def at(self, s: Ints, z: Ints) -> Floats:
        """At places over the roof (x and y) [money units]."""
        return np.asarray(heights_mm(self.plane, s, z) * self.units_per_mm, dtype=np.float64)


Places = tuple[Ints, Ints]
"""Distances along a surface and heights, one for each place [mm]."""
CORNERS = ((0, 0), (0, 1), (1, 0), (1, 1))


@dataclass(frozen=True, slots=True)
class CostGrid:
    """Least cost [money units] on the crossings of a surface's lines ``s`` and ``z`` [mm], shape (s, z), nan where no
    heater may be; ``zones``: what closes places of the surface."""

    s: Ints
    z: Ints
    units: Floats
    zones: tuple[Zone, ...] = ()
    lift: Lift | None = None
    least_units: float = dataclass_field(init=False)
    crossed: tuple[Ints, Floats] = dataclass_field(init=False)

    def __post_init__(self) -> None:
        least = float(np.fmin.reduce(self.units, axis=None, initial=np.inf))
        object.__setattr__(self, "least_units", least - self._rounded)
        object.__setattr__(self, "crossed", self._crossed_cells())

    def at(self, s: Ints, z: Ints) -> Floats:
        """What places cost at least, wherever they are; inf beyond the lines."""
        inside = (s >= self.s[0]) & (s <= self.s[-1]) & (z >= self.z[0]) & (z <= self.z[-1])
        (i, a), (j, b) = _between(self.s, s), _between(self.z, z)
        last = self.units.shape[0] - 1, self.units.shape[1] - 1
        corners = [(np.minimum(i + p, last[0]), np.minimum(j + q, last[1])) for p, q in CORNERS]
        units = np.stack([self.units[corner] for corner in corners])
        shares = np.stack([(a if p else 1 - a) * (b if q else 1 - b) for p, q in CORNERS])
        counts, shut = shares > 0, np.isnan(units)
        lifts = np.stack([self._lifted(self.s[k], self.z[m]) for k, m in corners])
        between = np.where(counts & ~shut, shares * np.where(shut, 0, units - lifts), 0).sum(axis=0)
        between += self._lifted(s, z)
        lowest = np.where(counts & ~shut, units, np.inf).min(axis=0) - self._rounded
        return np.where(inside, np.where((counts & shut).any(axis=0), lowest, between), np.inf)

    @property
    def _rounded(self) -> float:
        """By how much less than at the corners of a cell a cost within may be for heights that are rounded."""
        return 0.0 if self.lift is None else self.lift.units_per_mm

    def _lifted(self, s: Ints, z: Ints) -> Floats:
        return np.zeros(len(s)) if self.lift is None else self.lift.at(s, z)

    def least(self, zones: Sequence[Zone]) -> float:
        """The least cost at any place that some zones leave."""
        s, z = self.critical(zones)
        units = self.at(s, z)
        for zone in zones:
            units[covered(zone, s, z)] = np.inf
        return float(min(units.min(initial=np.inf), self._least_crossed(zones)))

    def within(self, most: float) -> Box:
        """The box outside which no place costs less than ``most``; some place must."""
        below = np.pad(self.units < most, 1)
        near = below[:-2, 1:-1] | below[1:-1, 1:-1] | below[2:, 1:-1]
        near_z = below[1:-1, :-2] | below[1:-1, 1:-1] | below[1:-1, 2:]
        s, z = self.s[near.any(axis=1)], self.z[near_z.any(axis=0)]
        return int(s[0]), int(s[-1]), int(z[0]), int(z[-1])

    def own_places(self, most: float) -> Iterator[tuple[int, int, float]]:
        """Open places on the lines, and where arcs of the surface's own zones cross them, that may cost less than
        ``most``: distance, height and least cost."""
        grid = _crossings(self.s, self.z)
        arcs = [_on_arc(zone, self.s, self.z) for zone in self.zones if zone.radius2]
        s, z = (np.concatenate(column) for column in zip(grid, *arcs, strict=True))
        units = self.at(s, z)
        for zone in self.zones:
            units[covered(zone, s, z)] = np.inf
        found = {(int(s[k]), int(z[k])): float(units[k]) for k in np.flatnonzero(units < most)}
        yield from ((*place, cost) for place, cost in found.items())

    def critical(self, zones: Sequence[Zone]) -> Places:
        """Places at which a cost that is concave between the lines can be least outside some zones."""
        edges = [critical_lines(replace(zone, radius2=0), (0, 0)) for zone in zones]
        edges += [critical_lines(zone, (FARTHER, FARTHER)) for zone in zones if zone.radius2]
        edges.append(crossing_lines(zones))
        s, z = (_with(own, [v for e in edges for v in e[k]]) for k, own in enumerate((self.s, self.z)))
        arcs = [_on_arc(zone, s, z) for zone in zones if zone.radius2]
        both = [np.concatenate(column) for column in zip(_crossings(s, z), *arcs, strict=True)]
        return both[0], both[1]

    def _crossed_cells(self) -> tuple[Ints, Floats]:
        """Cells that arcs of own zones pass through: s0, s1, z0, z1 in rows, and the least of the open corners."""
        if min(self.units.shape) == 1 or not any(zone.radius2 for zone in self.zones):
            return np.zeros((4, 0), dtype=np.int64), np.zeros(0)
        s0, z0 = (g.ravel() for g in np.meshgrid(self.s[:-1], self.z[:-1], indexing="ij"))
        s1, z1 = (g.ravel() for g in np.meshgrid(self.s[1:], self.z[1:], indexing="ij"))
        boxes, corners = np.stack([s0, s1, z0, z1]), [self.units[p or None : p - 1 or None] for p in (0, 1)]
        least = np.fmin.reduce([c[:, q or None : q - 1 or None].ravel() for c in corners for q in (0, 1)])
        crossed = np.zeros(len(s0), dtype=bool)
        for zone in (z for z in self.zones if z.radius2):
            crossed |= _meets(zone, boxes) & ~_holds(zone, boxes)
        keep = crossed & ~np.isnan(least)
        return boxes[:, keep], least[keep] - self._rounded

    def _least_crossed(self, zones: Sequence[Zone]) -> float:
        """The least of the cells with an arc through them that no zone holds whole."""
        boxes, least = self.crossed
        held = np.zeros(len(least), dtype=bool)
        for zone in zones:
            held |= _holds(zone, boxes)
        return float(least[~held].min(initial=np.inf))


FARTHER = 10**9
"""Beyond every zone, so that of an arc the extremes alone are told [mm]."""


def grid_of(s: Ints, z: Ints, units: Floats, zones: Sequence[Zone]) -> CostGrid:
    """CostGrid of places that lie on crossings of lines, the cheapest of those at one place; at least one."""
    lines, levels = np.unique(s), np.unique(z)
    least = np.full((len(lines), len(levels)), np.inf)
    known = np.zeros(least.shape, dtype=bool)
    at = np.searchsorted(lines, s), np.searchsorted(levels, z)
    np.minimum.at(least, at, np.where(np.isnan(units), np.inf, units))
    known[at[0][~np.isnan(units)], at[1][~np.isnan(units)]] = True
    return CostGrid(lines, levels, np.where(known, least, np.nan), tuple(zones))


def _between(lines: Ints, values: Ints) -> tuple[Ints, Floats]:
    """Index of the line at or before each value, and how far on the way to the next it is, in [0, 1)."""
    i = np.clip(np.searchsorted(lines, values, side="right") - 1, 0, len(lines) - 1)
    step = np.diff(lines, append=lines[-1] + 1)[i]
    return i, np.clip((values - lines[i]) / step, 0.0, 1.0)


def _with(lines: Ints, more: Sequence[int]) -> Ints:
    """Lines and those of some more that lie among them."""
    return np.unique([*lines.tolist(), *(v for v in more if lines[0] <= v <= lines[-1])])


def _crossings(s: Ints, z: Ints) -> Places:
    grid = np.meshgrid(s, z, indexing="ij")
    return grid[0].ravel(), grid[1].ravel()


def _on_arc(zone: Zone, s: Ints, z: Ints) -> Places:
    """Where the rim of a round zone crosses some lines, outwards to the next whole millimetre."""
    along, up = (_reach(zone, gap) for gap in (_gap(z, zone.z0, zone.z1), _gap(s, zone.s0, zone.s1)))
    on_z, on_s = along >= 0, up >= 0
    at_s = [zone.s0 - along[on_z], zone.s1 + along[on_z], s[on_s], s[on_s]]
    at_z = [z[on_z], z[on_z], zone.z0 - up[on_s], zone.z1 + up[on_s]]
    return np.concatenate(at_s), np.concatenate(at_z)


def _gap(values: Ints, low: int, high: int) -> Ints:
    return np.maximum(np.maximum(low - values, values - high), 0)


def _reach(zone: Zone, gap: Ints) -> Ints:
    """Least whole distance that clears the rim at a gap along the other axis, -1 where the zone is not met [mm]."""
    rest = zone.radius2 - gap * gap
    return np.where(rest > 0, np.ceil(np.sqrt(np.maximum(rest, 0))), -1).astype(np.int64)


def _meets(zone: Zone, boxes: Ints) -> Bools:
    """Whether boxes lie partly within the box round a zone."""
    r = int(np.ceil(np.sqrt(zone.radius2)))
    s0, s1, z0, z1 = boxes
    return np.asarray((s1 > zone.s0 - r) & (s0 < zone.s1 + r) & (z1 > zone.z0 - r) & (z0 < zone.z1 + r))


def _holds(zone: Zone, boxes: Ints) -> Bools:
    """Whether a zone, which is convex, holds boxes whole: all of their corners."""
    held = [covered(zone, boxes[p], boxes[2 + q]) for p, q in CORNERS]
    return np.asarray(np.logical_and.reduce(held))
