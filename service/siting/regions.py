"""Where alone a design that costs no more than some amount can lie: the part of each sheet that a service may use, and
of each surface that the case may hang on.

A run through a point costs at least what the field says from the end to the point, and a design at least what it costs
to get from there to a hub with all that the hub needs besides. Both are concave between the lines of the lattice (L2),
so a point matters only if a corner of its cell does. Tables of bounds, which know no zones, obstacles and limits, say
so once for everything that is cut in later.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

import numpy as np

from service.design import Service
from service.routing.columns import FAR_MM, Box, Boxes
from service.routing.fields import onward
from service.routing.house_grids import NO_SHEET
from service.routing.lattice import Bools, Lattice
from service.routing.planes import Ints, distinct
from service.routing.tariff import Floats
from service.siting.offers import Offer
from service.siting.paired import Paired
from service.siting.table import Table
from service.siting.tracks import Track
from service.siting.ways import Regions

FEWER = 0.5
"""A part so small of the surfaces is worth looking at anew."""
SMALL_STATES = 6000
"""So large a lattice is spread in less time than it takes to find out what of it is needed."""


class RegionsOf:
    """Regions for one heater, found anew only for other surfaces, far fewer of them, or a higher cost: what a design
    costs whose run passes a node says at once how it is for every cost below, since no such run starts at a hub that
    costs more, and what is found for some surfaces holds for a part of them."""

    def __init__(self, table: Table) -> None:
        """``table`` holds bounds."""
        self._table = table
        self._asked: tuple[frozenset[int], float] = frozenset(), -np.inf
        self._through: dict[Service, Through] = {}

    def at(self, surfaces: Collection[int], most: float) -> Regions:
        """Where designs on some surfaces are that cost ``most`` [money units] or less."""
        table, asked = self._table, frozenset(surfaces)
        here = np.isin(table.hubs.surface, sorted(asked)) & (table.total <= most)
        if most == np.inf or _is_small(table):
            return Regions(None, _hubs(table, here))
        known, cost = self._asked
        if not asked <= known or len(asked) < FEWER * len(known) or most > cost:
            self._asked = asked, most
            self._through = {s: _through(list(_runs(table, s)), here, most) for s in table.offers}
        return Regions({s: through.sheets(most) for s, through in self._through.items()}, _hubs(table, here))


def _is_small(table: Table) -> bool:
    offer = next(iter(table.offers.values()), None)
    return offer is None or offer.variants[0].track.field.lattice.count < SMALL_STATES


Run = tuple[Track, Ints, Floats]
"""Ways of a service, the states that they start in, and what a design with one of them costs besides, by hub."""


def _runs(table: Table, service: Service) -> Iterator[Run]:
    offer = table.offers[service]
    with np.errstate(invalid="ignore"):
        rest = table.total - offer.cost
        if service is Service.COLD and table.paired:
            yield from _with_hot(table.paired, offer, rest - table.offers[Service.HOT].cost)
        else:
            yield from ((v.track, v.starts, rest + v.once) for v in offer.variants)


def _with_hot(pairs: list[Paired], offer: Offer, rest: Floats) -> Iterator[Run]:
    """Cold runs that go with hot ones, of which each pays what its own costs more, or less, than the offered one."""
    for v in pairs:
        yield v.cold.track, v.cold.starts, rest + v.cost - (v.cold.cost - offer.cost)


@dataclass(frozen=True, slots=True)
class Through:
    """Least cost of a design with a run of one service through each node, shape (nodes,) [money units]."""

    lattice: Lattice
    units: Floats

    def sheets(self, most: float) -> Boxes:
        """Boxes around the arcs that touch a node through which some run can be cheap enough."""
        sheet, (a, b), kept = self.lattice.arcs.sheet, self.lattice.ends, self.units <= most
        touched = np.flatnonzero((kept[a] | kept[b]) & (sheet != NO_SHEET))
        return _boxes(sheet[touched], self.lattice.box[:, touched])


def _through(runs: list[Run], here: Bools, most: float) -> Through:
    """Sums up to ``most``; what costs more may be inf."""
    lattice = runs[0][0].field.lattice
    first = lattice.firsts
    units = np.full(len(first), np.inf)
    for track, starts, rest in runs:
        there = onward(track.field, *_entered(starts[here], rest[here]), most)
        through = np.minimum.reduceat(track.field.cost, first) + np.minimum.reduceat(there, first)
        units = np.minimum(units, through)
    return Through(lattice, units)


def _entered(starts: Ints, rest: Floats) -> tuple[Ints, Floats]:
    """States that hubs start in, and the least that a design costs besides at any of their hubs."""
    every, costs = starts.ravel(), np.repeat(rest, starts.shape[1])
    good = (every >= 0) & np.isfinite(costs)
    states, where = np.unique(every[good], return_inverse=True)
    least = np.full(len(states), np.inf)
    np.minimum.at(least, where, costs[good])
    return states, least


def _boxes(sheets: Ints, box: Ints) -> dict[int, Box]:
    numbers, where = np.unique(sheets, return_inverse=True)
    low, high = np.full((2, len(numbers)), FAR_MM), np.full((2, len(numbers)), -FAR_MM)
    for i in (0, 1):
        np.minimum.at(low[i], where, box[2 * i])
        np.maximum.at(high[i], where, box[2 * i + 1])
    columns = (low[0], high[0], low[1], high[1])
    return {int(n): (int(a), int(b), int(c), int(d)) for n, a, b, c, d in zip(numbers, *columns, strict=True)}


def _hubs(table: Table, here: Bools) -> dict[int, Box]:
    """Boxes around the hubs that are cheap enough and the places between them and their neighbours."""
    found, hubs = {}, table.hubs
    for surface in distinct(hubs.surface[here]).tolist():
        every = hubs.surface == surface
        spans = (_wider(distinct(v[every]), v[every & here]) for v in (hubs.s, hubs.manifold_z))
        (a, b), (c, d) = spans
        found[surface] = a, b, c, d
    return found


def _wider(lines: Ints, values: Ints) -> tuple[int, int]:
    """From the line before the least value to the one after the greatest."""
    low, high = (int(np.searchsorted(lines, v)) for v in (values.min(), values.max()))
    before = int(lines[low - 1]) if low else -FAR_MM
    return before, int(lines[high + 1]) if high + 1 < len(lines) else FAR_MM
