"""What one service costs at every hub, and the route behind the cheapest offer.

An offer is the least of several variants: pipe sizes, gravity or pump.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from itertools import count

import numpy as np

from service.routing.planes import Ints
from service.routing.tariff import Floats
from service.siting.variants import Variant

RISE = 1.05
LEARN_AT = 4
"""Hubs settled one by one before all others are bounded by what these showed; again at 8, 16, ..."""


@dataclass(slots=True)
class Offer:
    """Variants of one service for one heater; ``cost`` is the least bound at each hub."""

    variants: list[Variant]
    cost: Floats = dataclass_field(init=False)
    choice: Ints = dataclass_field(init=False)

    settles: int = dataclass_field(init=False, default=0)
    closed_beyond: bool = dataclass_field(init=False, default=False)

    def __post_init__(self) -> None:
        self.compare()

    def compare(self) -> None:
        """Choose the cheapest variant at every hub."""
        costs = np.stack([v.cost for v in self.variants])
        self.choice = np.argmin(costs, axis=0)
        self.cost = costs[self.choice, np.arange(costs.shape[1])]

    def chosen(self, hub: int) -> Variant:
        """The variant with the least cost at a hub."""
        return self.variants[int(self.choice[hub])]

    def at_stake(self, hub: int) -> list[Variant]:
        """What is chosen at a hub, and what would be there but for its limits, which may be kept close by."""
        chosen = self.chosen(hub)
        return [v for v in self.variants if v is chosen or (v.near[hub] and v.raw[hub] < self.cost[hub])]

    def close_beyond(self) -> None:
        """Close the hubs of every variant that are beyond its limits on length; once is enough."""
        for variant in () if self.closed_beyond else self.variants:
            variant.close_beyond()
        self.closed_beyond = True
        self.compare()

    def settle(self, hub: int, is_over: Callable[[], bool], most: float = np.inf) -> bool:
        """Make the offer at a hub exact, or known to cost over ``most``; a variant need only be exact where it beats
        the others. True if the bounds at other hubs were raised too."""
        asked = sum(bool(v.refused) for v in self.variants)
        for attempt in count():
            costs = [v.cost[hub] for v in self.variants]  # a price on length may have raised some since
            self.choice[hub] = int(np.argmin(costs))
            self.cost[hub] = costs[int(self.choice[hub])]
            variant = self.chosen(hub)
            if variant.settled[hub] or self.cost[hub] > most:
                break
            # a settled rival is a ceiling; one that is itself a bound may yet rise, but not for ever
            rise = RISE if attempt < len(self.variants) else np.inf
            rivals = [float(v.cost[hub]) * (1 if v.settled[hub] else rise) for v in self.variants if v is not variant]
            variant.settle(hub, min([most, *rivals]), is_over)
        if has_closed := asked < sum(bool(v.refused) for v in self.variants):
            self.compare()
        return self._learn() or has_closed

    def _learn(self) -> bool:
        """Each time twice as many hubs have been settled, use what they showed on all others."""
        self.settles += 1
        if self.settles < LEARN_AT or self.settles & (self.settles - 1):
            return False
        for variant in self.variants:
            variant.raise_bounds()
        self.compare()
        return True
