"""A cheapest set of designs that differ from each other, by branch and bound over regions.

Each design of a set has a region of its own, at first the whole space, and is the cheapest there. Where two of them
share three features or more, they are no such pair; in any pair that is, one of the three features is not what they
share for one of the two. So the space of sets falls into those in which one of the two regions is less that value. The
sum of the cheapest designs of all regions bounds a set, whatever else is asked of it.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import combinations, count
from math import inf

from service.design import Design
from service.siting.features import FEATURES, Featured, Features, Region
from service.siting.outcome import Outcome
from service.siting.search import search

LEAST_DIFFERENCES = 2
SHARED = len(FEATURES) - LEAST_DIFFERENCES + 1
"""A pair that shares so many features differs in too few."""
Regions = tuple[Region, ...]
Chosen = tuple[tuple[Design, Features], ...]


@dataclass(frozen=True, slots=True)
class Cheapest:
    """The cheapest design of a region [money units], None and inf if it has none."""

    region: Region
    units: float
    design: Design | None
    features: Features | None


@dataclass(frozen=True, slots=True)
class DesignSet:
    """What was found: the designs (empty: none), a bound on the sum of any such set [money units], whether time ran out
    before the proof, how many regions were searched, and whether a limit on a run may have decided in any of them, so
    that the proof is of the network of positions alone."""

    designs: Chosen
    bound_units: float
    cut_off: bool
    regions: int
    limited: bool


@dataclass(slots=True)
class Differing:
    """The search for one house; ``deadline`` in the seconds of ``clock`` [s]."""

    featured: Featured
    deadline: float
    clock: Callable[[], float]
    known: list[Cheapest] = field(default_factory=list)
    limited: bool = False
    _order: Iterator[int] = field(default_factory=count)

    def learn(self, outcome: Outcome) -> None:
        """Take what is known of the whole space already."""
        proven = outcome.bound_units >= (outcome.cost_units or 0) if outcome.designs else not outcome.cut_off
        if proven:
            self._keep(Region(), outcome)

    def run(self, size: int) -> DesignSet:
        """A cheapest set of so many designs, each two of them different in LEAST_DIFFERENCES features."""
        start: Regions = (Region(),) * size
        front, seen = [(self._bound(start), next(self._order), start)], {start}
        while front:
            bound, _, regions = heapq.heappop(front)
            if (risen := self._bound(regions)) > bound:
                heapq.heappush(front, (risen, next(self._order), regions))
                continue
            if bound == inf:
                break
            if (open_one := next((r for r in regions if self._solved(r) is None), None)) is not None:
                if not self._solve(open_one):
                    return self._set(self._at_hand(size), bound, True)
                heapq.heappush(front, (bound, next(self._order), regions))
                continue
            found = [self._found(r) for r in regions]
            clash = _clash([features for _, features in found])
            if clash is None:
                return self._set(tuple(found), bound)
            for less in _parted(regions, found, *clash):
                if less not in seen:
                    seen.add(less)
                    heapq.heappush(front, (max(bound, self._bound(less)), next(self._order), less))
        return self._set((), inf)

    def _set(self, designs: Chosen, bound: float, cut_off: bool = False) -> DesignSet:
        return DesignSet(designs, bound, cut_off, len(self.known), self.limited)

    def _bound(self, regions: Regions) -> float:
        """Least sum of any designs of the regions, as far as is known [money units]."""
        return sum(max((c.units for c in self.known if r.is_within(c.region)), default=0.0) for r in regions)

    def _solved(self, region: Region) -> Cheapest | None:
        """What is the cheapest of a region if that is known: that of a wider one, where it lies within this one."""
        wider = (c for c in self.known if region.is_within(c.region))
        return next((c for c in wider if c.features is None or region.holds(c.features)), None)

    def _found(self, region: Region) -> tuple[Design, Features]:
        cheapest = self._solved(region)
        assert cheapest is not None and cheapest.design is not None and cheapest.features is not None
        return cheapest.design, cheapest.features

    def _solve(self, region: Region) -> bool:
        """Search a region; False if time ran out before its proof."""
        ground, zones = self.featured.held_to(region)
        outcome = search(ground, zones, 1, self.deadline, self.clock)
        if outcome.cut_off:
            return False
        self._keep(region, outcome)
        return True

    def _at_hand(self, size: int) -> Chosen:
        """A set from what is known already, the cheapest design first and so on; empty if that does not come to one."""
        chosen: list[tuple[Design, Features]] = []
        for known in sorted(self.known, key=lambda c: c.units):
            if known.design is None or known.features is None or len(chosen) == size:
                continue
            if _clash([*(f for _, f in chosen), known.features]) is None:
                chosen.append((known.design, known.features))
        return tuple(chosen) if len(chosen) == size else ()

    def _keep(self, region: Region, outcome: Outcome) -> None:
        self.limited |= outcome.limited
        design = next(iter(outcome.designs), None)
        units = inf if outcome.cost_units is None else outcome.cost_units
        self.known.append(Cheapest(region, units, design, None if design is None else self.featured.of(design)))


def shared(one: Features, other: Features) -> tuple[int, ...]:
    """Features in which two designs are alike."""
    return tuple(i for i in range(len(FEATURES)) if one[i] == other[i])


def _clash(features: list[Features]) -> tuple[int, int] | None:
    """The first two designs that are too much alike."""
    pairs = combinations(range(len(features)), 2)
    return next(((i, j) for i, j in pairs if len(shared(features[i], features[j])) >= SHARED), None)


def _parted(regions: Regions, found: list[tuple[Design, Features]], i: int, j: int) -> Iterator[Regions]:
    """The regions with one of the two less one of the values that they share; the order of regions is no matter."""
    one = found[i][1]
    for feature in shared(one, found[j][1])[:SHARED]:
        for which in (i,) if regions[i] == regions[j] else (i, j):
            less = [*regions]
            less[which] = regions[which].less(feature, one[feature])
            yield tuple(sorted(less, key=_by_values))


def _by_values(region: Region) -> list[list[str]]:
    return [sorted(values) for values in region.without]
