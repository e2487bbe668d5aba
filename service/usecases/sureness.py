"""How sure is the choice? How far each price may move before another design is cheaper, and which missing answers could
change it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass

from service.building.build import build
from service.check.prices import quantities
from service.deadline import seconds_left
from service.design import CostLine, Design
from service.siting.features import Featured
from service.siting.ground import Ground
from service.siting.outcome import Outcome
from service.siting.pricing import End, Line, Pricing, price_of, used_alike
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.equipment import MONEY_SCALE
from service.survey.model import Survey
from service.survey.open_facts import OpenFact, open_facts
from service.usecases.checked import Status
from service.usecases.differences import differences
from service.usecases.explain_results import Answered, PriceRange, RangeEnd, Rival, Sureness
from service.usecases.inspector import Inspector
from service.usecases.status import status_of

NOT_PROVEN = "The cheapest design itself is not proven: nothing is told of how sure it is."
CUT_OFF = "Ended by the time limit: what is not known is marked so."


def sureness(ground: Ground, zones: Zones, outcome: Outcome, seconds: float, inspector: Inspector) -> Sureness:
    """Ranges of all prices in the cheapest design, the dearest line first, and missing answers, within ``seconds`` [s].

    Missing answers are told where nothing is lawful too: one of them may open a design. Raises CheckFailed if the
    checker refuses a design that is told of.
    """
    if status_of(outcome) not in (Status.OPTIMAL, Status.INFEASIBLE):
        return Sureness((), (), (), None, False, NOT_PROVEN)
    deadline = time.monotonic() + seconds
    asking = _Asking(ground, zones, inspector, next(iter(outcome.designs), None), outcome.cost_units, deadline)
    answers = tuple(asking.answers())
    ranges = _ranges(ground, zones, outcome, deadline, inspector)
    known = asking.is_known and all(r.low.known and r.high.known for r in ranges)
    idle = tuple(f.pointer for f in asking.facts if f.pointer not in {a.pointer for a in answers})
    why = "" if known else CUT_OFF
    return Sureness(
        ranges, answers, idle if asking.is_known else (), asking.together, known, why, asking.limited
    )  # fmt: skip


def _ranges(
    ground: Ground, zones: Zones, outcome: Outcome, deadline: float, inspector: Inspector
) -> tuple[PriceRange, ...]:
    """Ranges of all prices of the cheapest design, none if there is no design."""
    if not outcome.designs:
        return ()
    design = outcome.designs[0]
    building = zones.whole

    def uses(survey: Survey, found: Design) -> dict[str, int]:
        inspector.lawful(survey, building, found)
        return quantities(survey, building, found)

    best = Line(design, uses(ground.survey, design), round(outcome.cost_units or 0))
    pricing = Pricing(ground, zones, best, uses, deadline)
    pricing.learn(outcome)
    featured, alike = Featured(ground, zones), used_alike(ground)
    lines = sorted(design.lines, key=lambda line: (-line.amount_cents, line.key))
    ends = {
        line.key: (pricing.low(line.key), pricing.high(line.key))
        for line in lines
        if alike.get(line.key) != best.uses.get(line.key)
    }
    again = {k: (pricing.again(k, low, False), pricing.again(k, high, True)) for k, (low, high) in ends.items()}
    return tuple(_range(pricing, featured, line, again.get(line.key)) for line in lines)


def _range(pricing: Pricing, featured: Featured, line: CostLine, ends: tuple[End, End] | None) -> PriceRange:
    """The range of a price; without ends every design buys alike."""
    low, high, everywhere = RangeEnd(0, None, True), RangeEnd(None, None, True), ends is None
    if ends is not None:
        low, high = (_end(featured, pricing.best.design, end) for end in ends)
    cents = price_of(featured.ground.survey, line.key).cents
    return PriceRange(line.key, line.description, line.per, cents, low, high, everywhere)


def _end(featured: Featured, best: Design, end: End) -> RangeEnd:
    rival = None if end.rival is None else _rival(featured, best, end.rival.design, end.rival.units)
    return RangeEnd(end.cents, rival, end.known, end.limited)


def _rival(featured: Featured, best: Design | None, design: Design, units: float) -> Rival:
    told = () if best is None else differences(best, design, featured.ground.survey.units)
    return Rival(featured.of(design), design.heater.label, round(units / MONEY_SCALE), told)


@dataclass(slots=True)
class _Asking:
    """Searches with facts told at their best. ``best`` is the cheapest design without, ``units`` what it costs [money
    units], None: there is none; ``limited``: a limit on a run may have decided."""

    ground: Ground
    zones: Zones
    inspector: Inspector
    best: Design | None
    units: float | None
    deadline: float
    is_known: bool = True
    limited: bool = False
    together: Rival | None = None

    @property
    def facts(self) -> tuple[OpenFact, ...]:
        """All that nobody told."""
        return open_facts(self.ground.survey)

    def answers(self) -> Iterator[Answered]:
        """Facts any of which, told at its best, changes the design. If all at once change nothing, none does: what is
        told at its best only opens more."""
        facts, survey = self.facts, self.ground.survey
        for fact in facts:
            survey = fact.told(survey)
        every = self._cheaper(survey) if facts else None
        if every is None:
            return
        alone = [(fact, found) for fact in facts if (found := self._cheaper(fact.told(self.ground.survey))) is not None]
        if not alone:
            self.together = every[0]
        for fact, (rival, saving) in alone:
            yield Answered(fact.pointer, fact.question, fact.taken_as, saving, rival)

    def _cheaper(self, survey: Survey) -> tuple[Rival, int | None] | None:
        """What costs less than the cheapest design once more is told, and how much [cents]; None if nothing does."""
        if not seconds_left(self.deadline):
            self.is_known = False
            return None
        building = build(survey)
        ground, zones = self.zones.ground(survey, building), self.zones.of(survey, building)
        ceiling = float("inf") if self.units is None else self.units
        outcome = search(ground, zones, 1, self.deadline, ceiling=ceiling)
        self.is_known &= not outcome.cut_off
        self.limited |= outcome.limited
        if outcome.cut_off or not outcome.designs or (outcome.cost_units or 0) >= ceiling:
            return None
        design, units = outcome.designs[0], outcome.cost_units or 0
        self.inspector.lawful(survey, building, design)
        saving = None if self.units is None else round((self.units - units) / MONEY_SCALE)
        return _rival(Featured(ground, zones), self.best, design, units), saving
