"""Each pressure zone as a tree of its own: what its pipes carry, what they may be, and what their fittings add."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from math import inf

from service.piping.lengths import fitting_mm
from service.piping.network import Network, Zone
from service.piping.options import Offered, Option
from service.survey.equipment import PriceBook
from service.survey.model import GasFittings, GasSegment
from service.trades.gas_capacity import Terms, loss

PROBE_MM = 1_000_000
"""A length [mm] whose loss stands for that of every length."""


@dataclass(frozen=True, slots=True)
class Tree:
    """The pipes of one zone, parents before children.

    ``indices`` are their places in the network, ``parents`` places in this tree (-1 at the zone's root). A pipe that
    carries nothing has one option: it stays, or if it is new it is of the cheapest.
    """

    zone: Zone
    terms: Terms
    fittings: GasFittings
    indices: tuple[int, ...]
    parents: tuple[int, ...]
    segments: tuple[GasSegment, ...]
    loads_w: tuple[float, ...]
    options: tuple[tuple[Option, ...], ...]

    def fittings_mm(self, i: int, option: Option) -> int:
        """Equivalent length of a pipe's fittings if it is of that option [mm]."""
        return fitting_mm(self.segments[i], option, self.fittings)

    def units(self, i: int, option: Option) -> int:
        """Money units of a pipe if it is of that option."""
        return option.units(self.segments[i].length_mm)

    def sums_down(self, own: list[int]) -> list[int]:
        """What each pipe has of a measure with all that lies between it and the zone's root."""
        sums = list(own)
        for i, parent in enumerate(self.parents):
            if parent >= 0:
                sums[i] += sums[parent]
        return sums

    def sums_up(self, own: list[int]) -> list[int]:
        """What each pipe has of a measure with the way below it that has most."""
        below = [0] * len(own)
        for i in range(len(own) - 1, -1, -1):
            if (parent := self.parents[i]) >= 0:
                below[parent] = max(below[parent], own[i] + below[i])
        return [a + b for a, b in zip(own, below, strict=True)]


def trees(network: Network, prices: PriceBook, lifted: Collection[str] = ()) -> list[Tree]:
    """One tree for each zone that has pipes; segments ``lifted`` lose nothing in the option that loses least."""
    members: list[list[int]] = [[] for _ in network.zones]
    for i, pipe in enumerate(network.pipes):
        members[pipe.zone].append(i)
    found = Offered(prices)
    return [_tree(network, z, indices, found, lifted) for z, indices in enumerate(members) if indices]


def losing_nothing(options: tuple[Option, ...], load_w: float, terms: Terms) -> tuple[Option, ...]:
    """Options of which the one that loses least, the first of equals, loses nothing; as they are where no loss is
    known."""
    lost = [loss(o.material, o.size, PROBE_MM, load_w, terms) for o in options]
    least = min(lost, default=inf)
    return tuple(replace(o, lossless=lost.index(least) == i and least < inf) for i, o in enumerate(options))


def _tree(network: Network, zone: int, indices: list[int], offered: Offered, lifted: Collection[str]) -> Tree:
    place = {index: i for i, index in enumerate(indices)}
    pipes, at = [network.pipes[i] for i in indices], network.zones[zone]
    loads = tuple(p.load.drawn_w(network.supply.diversity) for p in pipes)
    terms = Terms(network.gas, at.supply_pa, at.drop_pa)
    options = (offered.of(p.segment, load) for p, load in zip(pipes, loads, strict=True))
    found = zip(pipes, options, loads, strict=True)
    return Tree(
        at,
        terms,
        network.supply.fittings,
        tuple(indices),
        tuple(place.get(p.parent, -1) for p in pipes),
        tuple(p.segment for p in pipes),
        loads,
        tuple(losing_nothing(o, load, terms) if p.segment.id in lifted else o for p, o, load in found),
    )
