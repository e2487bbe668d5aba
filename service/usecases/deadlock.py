"""Where nothing is lawful: which rules together leave nothing, and which, were they lifted, would open a design.

Nobody may lift a rule on our word. What is told here says where to look again: at a window that could be fixed, at an
inlet that could be moved, at an exception to ask for.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from service.check.check import findings
from service.design import Design, Service
from service.siting.ground import Ground, ground_of
from service.siting.lifted import LiftedZones, Rules, rules_of_places, smallest_hitting, violation_sets
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.equipment import Heater, VentListing
from service.usecases.results import BROKEN, Deadlock, WayOut

MOST_WAYS = 5
LENGTH = "vent.equivalent"
RUN = frozenset({LENGTH, "vent.elbows"})
"""Limits of a listing on the run of its vent: lifted together, and told as the first in a set that blocks."""
FAR_MM = 100_000
"""Longer than any vent of a house [mm]."""
NO_RULE_ALONE = (
    "With all rules on places and all limits on the run of a vent lifted there is still no design: gas, air, a drain "
    "or a way for a run is what lacks. The warnings tell more."
)
CUT_OFF = "Ended by the time limit before all was looked at: there may be further ways out, and cheaper ones."


def deadlock(ground: Ground, zones: Zones, seconds: float) -> Deadlock:
    """Ways out and the smallest set of rules that leaves nothing, within ``seconds`` [s]; for a house without a design.

    A way out is proven: without its rules there is its design, none cheaper, and with fewer of them lifted there is
    none among all pairs of places (``violation_sets``). The checker names what the design breaks.
    """
    return _Untangling(ground, _with_long_vents(ground), zones, time.monotonic() + seconds).run()


def _with_long_vents(ground: Ground) -> Ground:
    """The same house were no vent's run limited."""
    heaters = (
        replace(h, vent=_long(h, h.vent), vents=tuple(_long(h, v) for v in h.vents)) if h.indoors else h
        for h in ground.survey.heaters
    )
    return ground_of(replace(ground.survey, heaters=tuple(heaters)), ground.building)


def _long(heater: Heater, listing: VentListing) -> VentListing:
    """Without its limits, though it rises as far before its first turn: the fall of the whole run is part of that."""
    long = replace(listing, max_equivalent_mm=FAR_MM, max_elbows=None)
    more = replace(heater, vent=long).vent_rise_mm - replace(heater, vent=listing).vent_rise_mm
    return replace(long, first_elbow_mm=listing.first_elbow_mm - more)


@dataclass(slots=True)
class _Untangling:
    ground: Ground
    long_vents: Ground
    zones: Zones
    deadline: float
    liftable: Rules = field(init=False)
    cut_off: bool = False

    def __post_init__(self) -> None:
        self.liftable = rules_of_places(self.ground.survey) | RUN

    def run(self) -> Deadlock:
        """Ways out by rising number of rules, then what blocks."""
        if self._opened(self.liftable) is None:
            return Deadlock((), (), not self.cut_off, CUT_OFF if self.cut_off else NO_RULE_ALONE)
        ways = list(self._ways())
        blocking = () if self.cut_off else self._blocking([_as_one(w.rules) for w in ways])
        ways.sort(key=lambda w: (w.design.total_cents, w.rules))
        return Deadlock(tuple(ways), blocking, not self.cut_off, CUT_OFF if self.cut_off else "")

    def _ways(self) -> Iterator[WayOut]:
        found: list[Rules] = []
        for rules in self._candidates():
            if len(found) == MOST_WAYS or self.cut_off:
                return
            way = None if any(less <= rules for less in found) else self._opened(rules)
            if way is not None:
                found.append(_whole(way.rules))
                yield way

    def _candidates(self) -> list[Rules]:
        """What pairs of places break, by itself and with the limits of the vent's run, which count as one."""
        places = violation_sets(self.ground, self.zones, self.liftable - RUN)
        both = [*places, *(rules | RUN for rules in places)]
        return sorted((r for r in both if r), key=lambda rules: (len(rules) - (rules >= RUN), sorted(rules)))

    def _opened(self, lifted: Rules) -> WayOut | None:
        """The cheapest design without some rules, and what of them it breaks; None if there is none, or no time."""
        ground = self.long_vents if lifted >= RUN else self.ground
        outcome = search(ground, LiftedZones(self.zones, lifted), 1, self.deadline)
        self.cut_off |= outcome.cut_off
        if outcome.cut_off or not outcome.designs:
            return None
        design = self._as_listed(outcome.designs[0])
        told = findings(self.ground.survey, self.ground.building, design)
        broken = tuple(f for f in told if f.verdict in BROKEN)
        if not {f.rule_id for f in broken} <= lifted:
            return None  # what else the checker refuses no lifting of these mends
        return WayOut(tuple(sorted({f.rule_id for f in broken})), design, broken)

    def _as_listed(self, design: Design) -> Design:
        """The design with the limits that its heater's listing really has."""
        if design.outdoors:
            return design
        vented = (v for h in self.ground.survey.heaters for v in h.vented)
        heater = next(v for v in vented if v.label == design.heater.label)
        limit = heater.vent.max_equivalent_mm
        routes = (replace(r, limit_mm=limit) if r.service is Service.VENT else r for r in design.routes)
        return replace(design, heater=heater, routes=tuple(routes))

    def _blocking(self, known: list[Rules]) -> tuple[str, ...]:
        """A smallest set of rules that alone leave nothing: it has one rule of each set that opens a design."""
        while True:
            rules = smallest_hitting(known)
            way = self._opened(self.liftable - _whole(rules))
            if way is None:
                return () if self.cut_off else tuple(sorted(rules))
            known = [*known, _as_one(way.rules)]


def _whole(rules: Iterable[str]) -> Rules:
    """The limits of the run both, where there is one of them."""
    return frozenset(rules) | RUN if RUN & set(rules) else frozenset(rules)


def _as_one(rules: Iterable[str]) -> Rules:
    """The limits of the run as one."""
    return _whole(rules) - RUN | {LENGTH} if RUN & set(rules) else frozenset(rules)
