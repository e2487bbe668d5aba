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
from service.usecases.changes import changes
from service.usecases.results import BROKEN, Deadlock, WayOut

MOST_WAYS = 5
LENGTH = "vent.equivalent"
RUN = frozenset({LENGTH, "vent.elbows"})
"""Limits of a listing on the run of its vent: lifted together, and told as the first in a set that blocks."""
FAR_MM = 100_000
"""Longer than any vent of a house [mm]."""
STILL_NOTHING = (
    "With all rules on places and all limits on the run of a vent lifted there is still no design: gas, air, a drain "
    "or a way for a run is what lacks. The warnings tell more."
)
CUT_OFF = (
    "Ended by the time limit before all was looked at: there may be further ways out, cheaper ones, and fewer rules "
    "than told may do."
)
CAPPED = f"No more than {MOST_WAYS} ways out are looked for: there may be further ones, and cheaper ones."
REFUSED = (
    "The cheapest design without some rules breaks another one by the checker's measure: whether lifting those alone "
    "would do is not known, so fewer rules than told may do."
)
BEYOND = (
    "A design that breaks no rule was met on a denser network of positions: that nothing is lawful holds for the "
    "stated network alone."
)


def deadlock(ground: Ground, zones: Zones, seconds: float) -> Deadlock:
    """Ways out and a smallest set of rules that leaves nothing, within ``seconds`` [s]; for a house without a design.

    A way out is proven by search: without its rules there is its design, none cheaper, and with any of them kept there
    is none. The checker names what the design breaks. Rules to try are those that pairs of places break
    (``violation_sets``); ``complete`` if all of these were tried and each had an answer.
    """
    deadline = time.monotonic() + seconds
    opened, untried = changes(ground, deadline)
    found = _Untangling(ground, _with_long_vents(ground), zones, deadline).run()
    return replace(found, changes=opened, untried=untried)


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
    """``open_ends``: why not all is known."""

    ground: Ground
    long_vents: Ground
    zones: Zones
    deadline: float
    liftable: Rules = field(init=False)
    open_ends: dict[str, None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.liftable = rules_of_places(self.ground.survey) | RUN

    def run(self) -> Deadlock:
        """Ways out by rising number of rules, then what blocks."""
        ways = sorted(self._ways(), key=lambda w: (w.design.total_cents, w.rules))
        blocking = self._blocking([_as_one(w.rules) for w in ways])
        is_known = not self.open_ends
        why = STILL_NOTHING if is_known and not ways else " ".join(self.open_ends)
        return Deadlock(tuple(ways), blocking, is_known, why)

    def _ways(self) -> Iterator[WayOut]:
        if self._opened(self.liftable) is None and not self.open_ends:
            return
        found: list[Rules] = []
        for rules in () if CUT_OFF in self.open_ends else self._candidates():
            if any(less <= rules for less in found):
                continue
            if len(found) == MOST_WAYS:
                self.open_ends[CAPPED] = None
            if {CAPPED, CUT_OFF} & set(self.open_ends):
                return
            way = self._opened(rules)
            if way is not None:
                way = self._with_fewest(way)
                found.append(_whole(way.rules))
                yield way

    def _with_fewest(self, way: WayOut) -> WayOut:
        """The way itself, or one that lifts fewer of its rules if there is such a one."""
        rules = _as_one(way.rules)
        for kept in sorted(rules) if len(rules) > 1 else ():
            less = self._opened(_whole(rules - {kept}))
            if less is not None:
                return self._with_fewest(less)
        return way

    def _candidates(self) -> list[Rules]:
        """What pairs of places break, by itself and with the limits of the vent's run, which count as one."""
        places = violation_sets(self.ground, self.zones, self.liftable - RUN)
        both = [*places, *(rules | RUN for rules in places)]
        return sorted((r for r in both if r), key=lambda rules: (len(rules) - (rules >= RUN), sorted(rules)))

    def _opened(self, lifted: Rules) -> WayOut | None:
        """The cheapest design without some rules, and what of them it breaks; None if there is none, or it is not known
        whether there is one, which ``open_ends`` then tells."""
        ground = self.long_vents if lifted >= RUN else self.ground
        outcome = search(ground, LiftedZones(self.zones, lifted), 1, self.deadline)
        if outcome.cut_off:
            self.open_ends[CUT_OFF] = None
        if outcome.cut_off or not outcome.designs:
            return None
        design = self._as_listed(outcome.designs[0])
        told = findings(self.ground.survey, self.ground.building, design)
        broken = tuple(f for f in told if f.verdict in BROKEN)
        rules = {f.rule_id for f in broken}
        if not rules or not rules <= lifted:
            self.open_ends[REFUSED if rules else BEYOND] = None
            return None
        return WayOut(tuple(sorted(rules)), design, broken)

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
        """A smallest set of rules that alone leave nothing: it has one rule of each set that opens a design. Empty
        where that is not known."""
        while known:
            before, rules = len(self.open_ends), smallest_hitting(known)
            way = self._opened(self.liftable - _whole(rules))
            if way is None:
                is_known = len(self.open_ends) == before and CUT_OFF not in self.open_ends
                return tuple(sorted(rules)) if is_known else ()
            known = [*known, _as_one(way.rules)]
        return ()


def _whole(rules: Iterable[str]) -> Rules:
    """The limits of the run both, where there is one of them."""
    return frozenset(rules) | RUN if RUN & set(rules) else frozenset(rules)


def _as_one(rules: Iterable[str]) -> Rules:
    """The limits of the run as one."""
    return _whole(rules) - RUN | {LENGTH} if RUN & set(rules) else frozenset(rules)
