"""A hot run and the cold one that goes with it, where one limit holds for both."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from dataclasses import field as dataclass_field

import numpy as np

from service.routing.fields import penalised
from service.routing.labels import Price
from service.routing.tariff import Floats
from service.siting.tracks import Path
from service.siting.variants import Cheapest, Variant

SHORTER_MM = 1e-6
"""What counts as shorter: of as many millimetres and elbows the same sum comes."""


@dataclass(slots=True, kw_only=True)
class Paired(Variant):
    """A hot run beside a cold one. ``length_mm`` is what the cheapest cold run leaves, shape (hubs,); for each
    millimetre that another takes less the hot one may be ``worth`` millimetres longer. ``cold_mm`` is what the cheapest
    uses, shape (hubs,), ``cold_paths`` those that are not it, by hub."""

    cold: Variant
    worth: float
    cold_mm: Floats
    cold_paths: dict[int, Path] = dataclass_field(init=False, default_factory=dict)

    def cold_path(self, hub: int) -> Path:
        """The cold route at a settled hub."""
        return self.cold_paths.get(hub) or self.cold.path(hub)

    def room_beside_mm(self) -> Floats:
        """What the shortest cold run leaves more than the cheapest; nothing where none comes to, for no hub is open
        there."""
        with np.errstate(invalid="ignore"):
            room = self.worth * (self.cold_mm - self.cold.least_mm())
        return np.where(np.isfinite(room), room, 0.0)

    def gain_beside(self, rate: int) -> Floats:
        """How much less than the cheapest cold run another comes to at this price on length, which guides the search
        for it from now on."""
        cold, own = self.cold, int(rate * self.worth)
        cold.price = Price(own, penalised(cold.track.field, own, cold.bend_mm, cold.extra))
        least = np.append(cold.price.cost, np.inf)[cold.starts].min(axis=1)
        with np.errstate(invalid="ignore"):
            gain = cold.cost - cold.once + rate * self.worth * self.cold_mm - least
        return np.where(np.isfinite(gain), gain, 0.0)

    def cheapest_within(self, hub: int, most: float, is_over: Callable[[], bool]) -> Cheapest | None:
        """The cheapest pair: of the cold runs that are shorter than the cheapest one after the other, until the next by
        itself costs more than could be saved."""
        found = Variant.cheapest_within(self, hub, most, is_over)
        least, cheapest = (float(v.raw[hub] - v.once[hub]) for v in (self, self.cold))
        limit, used = float(self.length_mm[hub]), float(self.cold_mm[hub])
        lacking = 0.0 if found else self.least_at_mm(hub) - limit
        best = found.cost - 1 if found else most
        at_most = used - max(SHORTER_MM, lacking / self.worth)
        for cold in self.cold.within(hub, at_most, cheapest + best - least, is_over):
            more, room = cold.cost - cheapest, limit + self.worth * (used - cold.used)
            if hot := next(self.within(hub, room, best - more, is_over), None):
                found = Cheapest(hot, hot.cost + more, hot.used - room)
                best, self.cold_paths[hub] = found.cost - 1, Path(cold.states, cold.source)
            if more + least > best:
                break
        return found
