"""Whether no place of a case is cheaper than a certificate claims, limits on runs looked at where they must be."""

from __future__ import annotations

import time
from dataclasses import dataclass
from enum import StrEnum
from math import inf

import numpy as np

from service.design import Service
from service.verify.case import Case
from service.verify.limits import GivenUp, Way
from service.verify.network import Floats

RATES = tuple(4**k for k in range(5, 14))
"""Prices on length that are tried [money units a mm]."""
LEARN_AT = 4
"""Places settled one by one before prices on length are tried for all; again at 8, 16, ..."""
MOST_PLACES = 4000
"""Places that are settled one by one before a case is given up."""


class Held(StrEnum):
    """What came of a case."""

    YES = "yes"
    CHEAPER = "cheaper"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class CaseVerdict:
    """``units`` is the total found at ``surface`` that is less than what is claimed, None where all hold."""

    held: Held
    units: int | None = None
    surface: int | None = None
    why: str = ""


def holds(case: Case, cost_units: int, network: bool, deadline: float = inf) -> CaseVerdict:
    """Whether every open place of a case costs at least so much [money units]; ``network``: of the network's places and
    runs alone, so that a place may be closed and a run sought there by itself; past ``deadline`` [s, monotonic] it is
    not known."""
    if (case.limits_aside >= cost_units).all():
        return CaseVerdict(Held.YES)
    return _Descent(case, cost_units, network, deadline).run()


class _Descent:
    """The cheapest bound is looked at until it is high enough, or exact."""

    def __init__(self, case: Case, cost_units: int, network: bool, deadline: float) -> None:
        self.case, self.cost, self.network, self.deadline = case, cost_units, network, deadline
        self.settles: dict[int, int] = {}
        self.done = 0

    def run(self) -> CaseVerdict:
        while True:
            total, chosen = self._totals()
            place = int(np.argmin(total))
            if total[place] >= self.cost:
                return CaseVerdict(Held.YES)
            open_ways = [w for w in chosen(place) if not w.settled[place]]
            if not open_ways:
                return self._short(place, float(total[place]), chosen(place))
            self.done += 1
            try:
                told = [self._raise(w, place, float(total[place])) for w in open_ways]
            except GivenUp:
                return self._unknown(place, float(total[place]), "a search at one place took too many labels")
            if time.monotonic() > self.deadline:
                return self._unknown(place, float(total[place]), "time was up")
            if not any(told) or self.done > MOST_PLACES:
                return self._unknown(place, float(total[place]), "limits on runs leave a gap")

    def _totals(self) -> tuple[Floats, Chosen]:
        case, picks = self.case, Chosen(self.case.ways)
        total = case.fixed + sum(picks.least.values())
        return np.where(case.open, total, np.inf), picks

    def _raise(self, way: Way, place: int, total: float) -> bool:
        """Raise a way's bound at a place, sometimes all its bounds; False if nothing moved."""
        before = float(way.bound[place])
        ceiling = self.cost - (total - before)
        if not self.network:
            _learn(way, place, ceiling)
            return float(way.bound[place]) > before or way.settle_if_found(place, ceiling)
        if id(way) not in self.settles:
            self.settles[id(way)] = 0
            way.close_too_long()
            return True
        way.settle(place, ceiling)
        count = self.settles[id(way)] = self.settles[id(way)] + 1
        if count >= LEARN_AT and not count & (count - 1):
            _learn(way, place, np.inf)
        return bool(way.settled[place]) or float(way.bound[place]) > before

    def _short(self, place: int, units: float, chosen: list[Way]) -> CaseVerdict:
        if all(w.exact for w in chosen):
            return CaseVerdict(Held.CHEAPER, round(units), int(self.case.places.surface[place]))
        return self._unknown(place, units, "sizes that water pressure decides are not re-checked")

    def _unknown(self, place: int, units: float, why: str) -> CaseVerdict:
        return CaseVerdict(Held.UNKNOWN, round(units), int(self.case.places.surface[place]), why)


class Chosen:
    """The least bound of each service at every place, and the way behind it."""

    def __init__(self, ways: dict[Service, list[Way]]) -> None:
        """Compare all ways."""
        self.ways, self.pick, self.least = ways, {}, {}
        for service, several in ways.items():
            bounds = np.stack([w.bound for w in several])
            self.pick[service] = np.argmin(bounds, axis=0)
            self.least[service] = bounds.min(axis=0)

    def __call__(self, place: int) -> list[Way]:
        """The ways behind the least bounds at a place."""
        return [several[int(self.pick[s][place])] for s, several in self.ways.items()]


def _learn(way: Way, place: int, enough: float) -> None:
    """Price length by rising rates as long as that raises the bound at a place, or until it is enough."""
    best = -np.inf
    for rate in RATES:
        told = way.price_length(rate, place)
        if told < best or told >= enough:
            return
        best = told
