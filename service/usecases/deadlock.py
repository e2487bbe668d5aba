"""Where nothing is lawful: which rules together leave nothing, and which, were they lifted, would open a design.

Nobody may lift a rule on our word. What is told here says where to look again: at a window that could be fixed, at an
inlet that could be moved, at an exception to ask for.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

from service.deadline import OutOfTime, ending_when, seconds_left
from service.design import Design, Finding, Route, Service
from service.piping.lengths import FAR_MM as ANY_LENGTH_MM
from service.siting.ground import Ground
from service.siting.lifted import LiftedZones, rules_of_places, smallest_hitting, violation_sets
from service.siting.lifts import NEAR_WALL, OVER_ROOF, VENT_RUN, Rules, as_one, whole
from service.siting.search import search
from service.siting.supplies import in_question
from service.siting.zones import Zones
from service.survey.equipment import Heater, VentListing
from service.survey.model import Survey
from service.usecases.changes import changes
from service.usecases.inspector import Inspector
from service.usecases.results import BROKEN, Deadlock, WayOut

MOST_WAYS = 5
CHANGES_SHARE = 0.5
"""So much of the time goes to changes of the house at most; the rest, and what they leave, to the rules."""
FAR_MM = 100_000
"""Longer than any vent of a house [mm]."""
STILL_NOTHING = (
    "With all rules on places and all limits of vent, gas, air, water and power lifted there is still no design: a "
    "drain, an outlet or panel, an end to tap or a way for a run is what lacks. The warnings tell more."
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


def deadlock(ground: Ground, zones: Zones, seconds: float, inspector: Inspector) -> Deadlock:
    """Changes, ways out and a smallest set of rules that leaves nothing, within ``seconds`` [s]; for a house without a
    design.

    A way out is proven by search: without its rules there is its design, none cheaper, and with any of them kept there
    is none. The checker names what the design breaks. Rules to try are those that pairs of places break
    (``violation_sets``); ``complete`` if all of these were tried and each had an answer.
    """
    deadline = time.monotonic() + seconds
    opened, untried = changes(ground, zones, deadline - (1 - CHANGES_SHARE) * seconds, inspector)
    found = _Untangling(ground, zones, deadline, inspector).run()
    return replace(found, changes=opened, untried=untried)


def _with_long_vents(survey: Survey) -> Survey:
    """The same house were no vent's run limited."""
    heaters = (
        replace(h, vent=_long(h, h.vent), vents=tuple(_long(h, v) for v in h.vents)) if h.indoors else h
        for h in survey.heaters
    )
    return replace(survey, heaters=tuple(heaters))


def _long(heater: Heater, listing: VentListing) -> VentListing:
    """Without its limits, though it rises as far before its first turn: the fall of the whole run is part of that."""
    long = replace(listing, max_equivalent_mm=FAR_MM, max_elbows=None)
    more = replace(heater, vent=long).vent_rise_mm - replace(heater, vent=listing).vent_rise_mm
    return replace(long, first_elbow_mm=listing.first_elbow_mm - more)


@dataclass(slots=True)
class _Untangling:
    """``limits``: groups of limits that may decide here; ``tried``: what came of lifting some rules; ``closed``: sets
    of which no part opens a design; ``open_ends``: why not all is known."""

    ground: Ground
    zones: Zones
    deadline: float
    inspector: Inspector
    limits: tuple[Rules, ...] = field(init=False)
    liftable: Rules = field(init=False)
    open_ends: dict[str, None] = field(default_factory=dict)
    tried: dict[Rules, WayOut | None] = field(default_factory=dict)
    closed: list[Rules] = field(default_factory=list)
    _grounds: dict[Rules, Ground] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.limits = (VENT_RUN, *in_question(self.ground.survey, self.zones.whole))
        roof = OVER_ROOF if self.ground.building.roof else frozenset()
        self.liftable = rules_of_places(self.ground.survey).union(roof, *self.limits)

    def run(self) -> Deadlock:
        """Ways out by rising number of rules, then what blocks."""
        ways = sorted(self._ways(), key=lambda w: (w.design.total_cents, w.rules))
        blocking = self._blocking([as_one(w.rules) for w in ways])
        is_known = not self.open_ends
        why = STILL_NOTHING if is_known and not ways else " ".join(self.open_ends)
        return Deadlock(tuple(ways), blocking, is_known, why)

    def _ways(self) -> Iterator[WayOut]:
        if self._opened(self.liftable) is None and not self.open_ends:
            return
        found: list[Rules] = []
        for rules in () if CUT_OFF in self.open_ends else self._candidates():
            if any(less <= rules for less in found) or any(rules <= more for more in self.closed):
                continue
            if len(found) == MOST_WAYS:
                self.open_ends[CAPPED] = None
            if {CAPPED, CUT_OFF} & set(self.open_ends):
                return
            way = self._opened(rules)
            if way is None:
                self._close(rules)
                continue
            way = self._with_fewest(way)
            found.append(whole(way.rules))
            yield way

    def _close(self, rules: Rules) -> None:
        """What opens nothing, with all limits lifted too if that is no better: then none of these need be tried."""
        wider = rules.union(*self.limits)
        self.closed.append(wider if self._opened(wider) is None else rules)

    def _with_fewest(self, way: WayOut) -> WayOut:
        """The way itself, or one that lifts fewer of its rules if there is such a one."""
        rules = as_one(way.rules)
        for kept in sorted(rules) if len(rules) > 1 else ():
            less = self._opened(whole(rules - {kept}))
            if less is not None:
                return self._with_fewest(less)
        return way

    def _candidates(self) -> list[Rules]:
        """What pairs of places break, by itself and with limits of the house, of which each group counts as one;
        nothing if time is up before that is known."""
        of_places = self.liftable.difference(*self.limits)
        try:
            with ending_when(lambda: not seconds_left(self.deadline)):
                places = violation_sets(self._ground_for(self.liftable), self.zones, of_places)
        except OutOfTime:
            self.open_ends[CUT_OFF] = None
            return []
        sizes = range(len(self.limits) + 1)
        limits = [frozenset[str]().union(*some) for n in sizes for some in combinations(self.limits, n)]
        every = {whole(rules) | lifted for rules in places for lifted in limits}
        return sorted((r for r in every if r), key=lambda rules: (len(as_one(rules)), sorted(rules)))

    def _ground_for(self, lifted: Rules) -> Ground:
        """The house without the limits among some rules."""
        limits = frozenset[str]().union(*(group for group in self.limits if group <= lifted))
        if not limits:
            return self.ground
        if limits not in self._grounds:
            survey = self.ground.survey
            survey = _with_long_vents(survey) if limits >= VENT_RUN else survey
            self._grounds[limits] = self.zones.ground(survey, self.zones.whole, limits)
        return self._grounds[limits]

    def _opened(self, lifted: Rules) -> WayOut | None:
        """The cheapest design without some rules, and what of them it breaks; None if there is none, or it is not known
        whether there is one, which ``open_ends`` then tells."""
        if lifted not in self.tried:
            self.tried[lifted] = self._searched(lifted)
        return self.tried[lifted]

    def _searched(self, lifted: Rules) -> WayOut | None:
        outcome = search(self._ground_for(lifted), LiftedZones(self.zones, lifted), 1, self.deadline)
        if outcome.cut_off:
            self.open_ends[CUT_OFF] = None
        if outcome.cut_off or not outcome.designs:
            return None
        design = as_listed(self.ground.survey, outcome.designs[0])
        broken = _broken(self.inspector.findings(self.ground.survey, self.zones.whole, design))
        rules = {f.rule_id for f in broken}
        if not rules or not rules <= lifted:
            self.open_ends[REFUSED if rules else BEYOND] = None
            return None
        return WayOut(tuple(sorted(rules)), design, broken)

    def _blocking(self, known: list[Rules]) -> tuple[str, ...]:
        """A smallest set of rules that alone leave nothing: it has one rule of each set that opens a design. Empty
        where that is not known."""
        while known:
            before, rules = len(self.open_ends), smallest_hitting(known)
            way = self._opened(self.liftable - whole(rules))
            if way is None:
                is_known = len(self.open_ends) == before and CUT_OFF not in self.open_ends
                return tuple(sorted(rules)) if is_known else ()
            known = [*known, as_one(way.rules)]
        return ()


def as_listed(survey: Survey, design: Design) -> Design:
    """A design with its heater as it is offered, and the limits that its runs really have."""
    heater = next(h for h in survey.heaters if h.id == design.heater.id)
    if not design.outdoors:
        heater = next(v for v in heater.vented if v.label == design.heater.label)
    return replace(design, heater=heater, routes=tuple(_limited(r, heater) for r in design.routes))


def _limited(route: Route, heater: Heater) -> Route:
    """A gas run past every limit has none that could be told: the checker says how far its pipe would reach."""
    if route.service is Service.VENT:
        return replace(route, limit_mm=heater.vent.max_equivalent_mm)
    is_free = route.limit_mm is not None and route.limit_mm >= ANY_LENGTH_MM
    return replace(route, limit_mm=None) if is_free else route


def _broken(told: Sequence[Finding]) -> tuple[Finding, ...]:
    """What stands against a design: all that is broken; of an end near an upright wall that breaks nothing, that the
    search offers none there."""
    broken = tuple(f for f in told if f.verdict in BROKEN)
    return broken or tuple(f for f in told if f.rule_id == NEAR_WALL and _is_short(f))


def _is_short(f: Finding) -> bool:
    return f.required_mm is not None and f.actual_mm is not None and f.actual_mm < f.required_mm
