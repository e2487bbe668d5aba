"""The cheapest design as prices change: how far a price may move before another design costs less.

With quantities as they are a design's cost is a straight line in each price, and the least cost over all designs is the
lower hull of such lines: concave. So a design that is the cheapest at two prices is so at all between, and the end of
its range is found by the lines that undercut it (Eisner and Severance 1976; the step is Newton's): search at the
farthest price that no known line rules out; whatever costs less there is one more line, nearer by.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from math import ceil, floor

from service.deadline import seconds_left
from service.design import Design
from service.routing.planes import Planes
from service.siting.costing import piece_keys
from service.siting.ground import Ground
from service.siting.limits import LIMIT_OF
from service.siting.outcome import Outcome
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.equipment import MONEY_SCALE, Per, Price, PriceBook
from service.survey.model import Survey

HEATER = "heater."
TOP_TIMES, TOP_CENTS = 100, 100_000
"""A price is looked at up to so many times what it is, and at least up to this [cents]."""
Quantities = Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Line:
    """A design as it was found, with what it uses by price key (millimetres, or items) and its objective at today's
    prices [money units]."""

    design: Design
    uses: Quantities
    units: int


@dataclass(frozen=True, slots=True)
class End:
    """Where a range ends: the last price at which the design is among the cheapest [cents], and one that costs less
    beyond it, None if there is none as far as was looked. ``known`` is False if time ran out before; ``limited``: a
    limit on a run may decide there, so it is proven on the network of positions alone."""

    cents: int
    rival: Line | None
    known: bool = True
    limited: bool = False


def priced(survey: Survey, key: str, cents: int) -> Survey:
    """The survey at another price. KeyError for a price that there is not."""
    if key.startswith(HEATER):
        heaters = (replace(h, price_cents=cents) if HEATER + h.id == key else h for h in survey.heaters)
        return replace(survey, heaters=tuple(heaters))
    items = {**survey.prices.items, key: replace(survey.prices[key], cents=cents)}
    return replace(survey, prices=replace(survey.prices, items=items))


def price_of(survey: Survey, key: str) -> Price:
    """A price of the book, or of a heater. KeyError if there is none."""
    if not key.startswith(HEATER):
        return survey.prices[key]
    heater = next((h for h in survey.heaters if HEATER + h.id == key), None)
    if heater is None:
        raise KeyError(key)
    return Price(key, "heater", heater.name, heater.price_cents, Per.EACH)


def units_a_cent(book: PriceBook, key: str) -> int:
    """What one cent more makes of each item or millimetre [money units]."""
    if key.startswith(HEATER) or book[key].per is Per.EACH:
        return MONEY_SCALE
    return replace(book[key], cents=1).units_per_mm


def used_alike(ground: Ground) -> dict[str, int]:
    """What every design buys by the piece, and how often: no price of these can tell two designs apart. Things for
    combustion air are not among them: their price decides which of them are bought."""
    survey, alike = ground.survey, None
    for need in ground.needs:
        for extras in filter(None, ground.extras(need)):
            rest = replace(extras, air=None, air_openings=False)
            bought = set(Counter(piece_keys(need.heater, (), rest, survey.prices)).items())
            alike = bought if alike is None else alike & bought
    return dict(alike or ())


@dataclass(slots=True)
class Pricing:
    """Ranges of prices for the cheapest design of one house. ``uses`` takes the quantities of a design of a survey."""

    ground: Ground
    zones: Zones
    best: Line
    uses: Callable[[Survey, Design], Quantities]
    deadline: float
    known: list[Line] = field(default_factory=list)
    critical: Planes = field(default_factory=Planes)

    def learn(self, outcome: Outcome) -> None:
        """Keep what limits made critical in a search: the next ones begin with it."""
        for active in outcome.actives.values():
            self.critical.take(active.planes, LIMIT_OF)

    def low(self, key: str) -> End:
        """How far a price may fall."""
        return self._end(key, 0)

    def high(self, key: str) -> End:
        """How far a price may rise, looked for up to a limit."""
        return self._end(key, most_cents(price_of(self.ground.survey, key).cents))

    def _end(self, key: str, limit: int) -> End:
        now = price_of(self.ground.survey, key).cents
        while True:
            cents, rival = self._nearest(key, now, limit)
            if cents == now:
                return End(now, rival)
            outcome, found = self._cheaper(key, cents)
            if found is None:
                return End(cents, rival, not outcome.cut_off, outcome.limited)
            self.known.append(found)

    def again(self, key: str, end: End, upwards: bool) -> End:
        """An end at which a limit may decide, after a search there without a ceiling, which may meet other critical
        places: the same if that finds nothing cheaper, or sooner. The same too where time runs out before."""
        if not end.limited or not end.known:
            return end
        _, found = self._cheaper(key, end.cents, plainly=True)
        if found is None:
            return end
        self.known.append(found)
        return self.again(key, self.high(key) if upwards else self.low(key), upwards)

    def _nearest(self, key: str, now: int, limit: int) -> tuple[int, Line | None]:
        """The farthest whole price toward a limit at which no known design undercuts the best, and the one that does
        so beyond it."""
        nearest, rival = limit, None
        for line in self.known:
            fewer = (self.best.uses.get(key, 0) - line.uses.get(key, 0)) * units_a_cent(self.ground.survey.prices, key)
            if fewer * (limit - now) <= 0:
                continue
            apart = (line.units - self.best.units) / fewer
            end = now + (floor(apart) if limit > now else ceil(apart))
            if abs(end - now) < abs(nearest - now):
                nearest, rival = end, line
        return nearest, rival

    def _cheaper(self, key: str, cents: int, plainly: bool = False) -> tuple[Outcome, Line | None]:
        """What a search finds that costs less than the best at a price; ``plainly``: one as for a survey at that price,
        without a ceiling. Once time is up nothing is sought."""
        if not seconds_left(self.deadline):
            return Outcome(cut_off=True), None
        survey, rate = priced(self.ground.survey, key, cents), units_a_cent(self.ground.survey.prices, key)
        now = price_of(self.ground.survey, key).cents
        there = self.best.units + self.best.uses.get(key, 0) * rate * (cents - now)
        ground = self.zones.ground(survey, self.zones.whole)
        if plainly:
            outcome = search(ground, self.zones, 1, self.deadline)
        else:
            outcome = search(ground, self.zones, 1, self.deadline, ceiling=there, carried=self.critical)
        self.learn(outcome)
        if outcome.cut_off or not outcome.designs or (outcome.cost_units or 0) >= there:
            return outcome, None
        design, uses = outcome.designs[0], self.uses(survey, outcome.designs[0])
        units = round(outcome.cost_units or 0) - uses.get(key, 0) * rate * (cents - now)
        return outcome, Line(design, uses, units)


def most_cents(now: int) -> int:
    """The highest price that is looked at [cents]."""
    return max(TOP_TIMES * now, TOP_CENTS)
