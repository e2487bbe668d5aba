"""Each pressure zone as a tree of its own: what its pipes carry, what they may be, and what their fittings add."""

from __future__ import annotations

from dataclasses import dataclass

from service.piping.lengths import fitting_mm
from service.piping.network import Network, Zone
from service.piping.options import Option, options_for
from service.survey.equipment import PriceBook
from service.survey.model import GasFittings, GasSegment
from service.trades.gas_capacity import Terms


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


def trees(network: Network, prices: PriceBook) -> list[Tree]:
    """One tree for each zone that has pipes."""
    members: list[list[int]] = [[] for _ in network.zones]
    for i, pipe in enumerate(network.pipes):
        members[pipe.zone].append(i)
    found = Offered(prices)
    return [_tree(network, z, indices, found) for z, indices in enumerate(members) if indices]


class Offered:
    """Options of segments, worked out once for segments that are alike."""

    def __init__(self, prices: PriceBook) -> None:
        """From a price book."""
        self._prices = prices
        self._known: dict[tuple[str, str | None, bool, bool], tuple[Option, ...]] = {}

    def of(self, segment: GasSegment, load_w: float) -> tuple[Option, ...]:
        """What a segment may be when it carries a load."""
        key = (segment.material, segment.size, segment.fixed, segment.finished)
        if key not in self._known:
            self._known[key] = options_for(segment, self._prices)
        return self._known[key] if load_w > 0 else self._known[key][:1]


def _tree(network: Network, zone: int, indices: list[int], offered: Offered) -> Tree:
    place = {index: i for i, index in enumerate(indices)}
    pipes, at = [network.pipes[i] for i in indices], network.zones[zone]
    loads = tuple(p.load.drawn_w(network.supply.diversity) for p in pipes)
    return Tree(
        at,
        Terms(network.gas, at.supply_pa, at.drop_pa),
        network.supply.fittings,
        tuple(indices),
        tuple(place.get(p.parent, -1) for p in pipes),
        tuple(p.segment for p in pipes),
        loads,
        tuple(offered.of(p.segment, load) for p, load in zip(pipes, loads, strict=True)),
    )
