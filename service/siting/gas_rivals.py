"""Which gas tappings need not be looked at, because those at hand are nowhere dearer."""

from __future__ import annotations

import numpy as np

from service.design import Service, Surface
from service.routing.tariff import Floats, Tariff
from service.siting.gas_plan import Tapping
from service.siting.tariffs import tariff_of
from service.siting.variants import Variant
from service.survey.equipment import PriceBook


class Rivals:
    """Variants made so far, and the least that any of them is sure to cost at each hub.

    A tapping whose pipe and elbows are no cheaper than a made one's costs at every hub at least what that one costs
    without limits, and as much more as its anchors ask more at least. ``room`` is what may be spent at each hub, -inf
    at those not in question. Where no way of that one was found, none is that costs so little.
    """

    def __init__(self, prices: PriceBook, room: Floats, everywhere: bool = False) -> None:
        """Nothing is made yet. ``everywhere``: what is beaten must be so at every place that a run may come to."""
        self.prices, self.alive = prices, np.asarray(room > -np.inf)
        self.best: Floats = room[self.alive] + 1  # costs are whole: so much is too much
        self._least = -1 if everywhere else -np.inf  # costs are whole
        self._tariffs: dict[str, Tariff] = {}
        self._made: list[tuple[Tariff, Floats, Floats]] = []
        self._lead: list[float] = []

    def add(self, tapping: Tapping, variant: Variant) -> None:
        """Take a variant in."""
        cost = np.where(variant.fits, variant.cost, np.inf)[self.alive]
        self.best = np.minimum(self.best, cost)
        raw = variant.raw[self.alive]
        self._made.append((self._tariff(tapping), tapping.least_units, raw))
        self._lead = [_most_lead(self.best, raw) for _, _, raw in self._made]

    def beat(self, tapping: Tapping) -> bool:
        """Whether a tapping can be cheaper at no hub in question."""
        own, least = self._tariff(tapping), tapping.least_units
        return any(
            self._least < (more := _least_more(least, units)) < np.inf and more >= lead
            for (tariff, units, _), lead in zip(self._made, self._lead, strict=True)
            if _is_no_cheaper(own, tariff)
        )

    def _tariff(self, tapping: Tapping) -> Tariff:
        name = tapping.branch.name
        if name not in self._tariffs:
            self._tariffs[name] = tariff_of(self.prices, Service.GAS, name)
        return self._tariffs[name]


def _is_no_cheaper(one: Tariff, other: Tariff) -> bool:
    """Whether neither pipe nor elbows of one are cheaper."""
    return one.bend >= other.bend and one.per_mm[Surface.WALL] >= other.per_mm[Surface.WALL]


def _least_more(units: Floats, other: Floats) -> float:
    """By how much more one asks at least at any anchor that it may tap; -inf where the other may not."""
    open_here = np.isfinite(units)
    return float((units[open_here] - other[open_here]).min(initial=np.inf))


def _most_lead(best: Floats, raw: Floats) -> float:
    """By how much the least cost is at most above what one costs without limits; where that is known to be too much,
    no more than nothing."""
    known = np.isfinite(raw)
    lead = float((best[known] - raw[known]).max(initial=-np.inf))
    return lead if known.all() else max(lead, 0.0)
