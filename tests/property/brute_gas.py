"""The gas trade of the brute force: every tap, feed and branch tried, the whole tree sized anew for each run.

What a tap asks for is never worked out: the heater is hung on the tree with a branch of some length, and the whole
system is sized (``service.piping.sizing``, which CP-SAT and HiGHS judge elsewhere). All that is used of the answers is
that a longer branch never makes the works cheaper.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from service.design import GasWorks, Piece, Renewal, RenewedPart, Service
from service.piping.extended import Branch, Extended, at_pressure, with_heater
from service.piping.network import Network
from service.piping.sizing import Sizing, size
from service.rules.tables import table
from service.survey.equipment import Heater, PriceBook
from service.survey.model import Appliance, GasFittings, GasMaterial, GasMethod, GasSupply, PressureOption, Survey
from service.trades.gas_parts import usual_inlet_pa
from service.trades.gas_pipe import elbow_mm, sizes
from tests.property.brute_ends import End, gas_ends
from tests.property.brute_routes import Floats, Goal, Mask, Mesh, Numbers, Rates, Walks, Weights, goals_of, money, rates
from tests.property.brute_routes import turns
from tests.property.brute_surfaces import Wall

LEVELS = (1, 1000, 2000, 3000, 4500, 6000, 8000, 11000, 15000)
"""Lengths of branch at which every tap is priced for the bounds [mm]; between two the shorter one's price bounds."""
STRETCHES = (0.0, 0.5, 3.0, 1e4)
"""How much a run is pressed to be short, in units of its own price a millimetre."""
TRIED_WHEN_PRESSED = 8
NOTHING = Rates(0, 0, 0, {})


@dataclass(frozen=True)
class Feed:
    """A delivery pressure, and whether the branch leaves ahead of the regulators with one of its own."""

    pressure: PressureOption | None
    supply: GasSupply
    own: tuple[float, float] | None
    units: int

    @property
    def regulators(self) -> int:
        """Line regulators to buy."""
        return (self.own is not None) + (self.pressure is not None and self.pressure.regulated_pa is not None)


@dataclass(frozen=True)
class Pipe:
    """What a branch may be: material and size, name and prices of a route of it, equivalent length of an elbow [mm]."""

    material: str
    size: str
    name: str
    rates: Rates
    bend_mm: int


@dataclass(frozen=True)
class GasRun:
    """A lawful run: money units with all works, the pipe, its pieces and end, and the works."""

    money: int
    option: str
    pieces: tuple[Piece, ...]
    end: End
    works: GasWorks
    pumped: bool = False


def feeds_of(survey: Survey, heater: Heater) -> list[Feed]:
    """Every delivery pressure that the old appliances stand, each with and without a regulator of the heater's own."""
    book, found = survey.prices, []
    practice = table("gas_regulators")
    own = practice.constant(survey.site.fuel), practice.constant("drop")
    for option in (None, *survey.gas.pressure_options):
        supply = at_pressure(survey.gas, option)
        if option is None or all(_stands(supply, a, survey.site.fuel) for a in supply.appliances):
            at_delivery = option is not None and option.regulated_pa is not None
            change = book["gas.pressure_change"].units_each if option else 0
            one = book["gas.line_regulator"].units_each
            found.append(Feed(option, supply, None, change + one * at_delivery))
            if own[0] - own[1] >= heater.gas_inlet_min_pa and own[0] <= heater.gas_inlet_max_pa:
                found.append(Feed(option, supply, own, change + one * (1 + at_delivery)))
    return found


def _stands(supply: GasSupply, appliance: Appliance, fuel: str) -> bool:
    """Whether an appliance's inlet range, or what is common, holds its pressure, and that less the permitted drop."""
    pa, drop = _leaving(supply, appliance.node)
    least, most = usual_inlet_pa(fuel)
    least = least if appliance.inlet_min_pa is None else appliance.inlet_min_pa
    most = most if appliance.inlet_max_pa is None else appliance.inlet_max_pa
    return pa <= most and pa - drop >= least


def _arriving(supply: GasSupply, node: str) -> tuple[float, float]:
    """Pressure and permitted drop of the gas that comes to a node [Pa]."""
    into = next((s for s in supply.segments if s.end == node), None)
    if into is None:
        return supply.pressure_pa, supply.allowable_drop_pa
    return _arriving(supply, into.start) if into.before_regulator else _leaving(supply, into.start)


def _leaving(supply: GasSupply, node: str) -> tuple[float, float]:
    """Pressure and permitted drop of what leaves a node in the ordinary way [Pa]."""
    here = next((r for r in supply.regulators if r.node == node), None)
    return _arriving(supply, node) if here is None else (here.outlet_pa, here.allowable_drop_pa)


def _feeds_heater(feed: Feed, end: End, heater: Heater, method: GasMethod) -> bool:
    """Whether a feed's pressure at an end suits the heater, or its regulator ahead of it."""
    inside = next((s for s in feed.supply.segments if s.id == end.id), None)
    if inside is not None:
        pa, drop = _arriving(feed.supply, inside.end)
    else:
        pa, drop = (_leaving if feed.own is None else _arriving)(feed.supply, end.id)
    if feed.own is not None:
        return pa > heater.gas_inlet_max_pa and pa - drop >= table("gas_regulators").constant("least_ahead")
    least = pa if method is GasMethod.PRESSURE else pa - drop
    return least >= heater.gas_inlet_min_pa and pa <= heater.gas_inlet_max_pa


def pipes_of(book: PriceBook, supply: GasSupply) -> list[Pipe]:
    """Every size of the branch's materials that the book prices."""
    counted, found = supply.fittings is GasFittings.COUNTED, []
    for material in supply.branch_materials:
        for nominal in sizes(material):
            name = nominal if material == GasMaterial.STEEL else f"{material}.{nominal}"
            if f"gas.{name}.pipe" in book.items:
                bend = elbow_mm(material, nominal) if counted else 0
                found.append(Pipe(material, nominal, name, rates(book, Service.GAS, name), bend))
    return found


@dataclass
class Works:
    """What a branch asks of the old piping, by trying: each question is put to ``size`` once."""

    survey: Survey
    heater: Heater
    _known: dict[tuple[object, ...], int | None] = field(default_factory=dict)

    def units(self, feed: Feed, end: End, pipe: Pipe, length: int, elbows: int = 0) -> int | None:
        """Money units of all works for a branch of this length [mm]; None if it cannot be."""
        where = feed.pressure, feed.own, end.id, end.cut_mm
        key = (*where, pipe.name, length, elbows)
        if key not in self._known:
            found = self._sized(feed, end, pipe, length, elbows)[2].units
            self._known[key] = None if found is None else found + feed.units
        return self._known[key]

    def _sized(self, feed: Feed, end: End, pipe: Pipe, length: int, elbows: int) -> tuple[Extended, Network, Sizing]:
        h = self.heater
        branch = Branch(
            h.id, h.input_max_w, h.gas_inlet_min_pa, h.gas_inlet_max_pa, end.id, end.cut_mm, pipe.material, pipe.size,
            length, elbows, 1, regulator=feed.own,
        )  # fmt: skip
        extended = with_heater(feed.supply, branch)
        network = Network(extended.supply, self.survey.site.gas)
        return extended, network, size(network, self.survey.prices, self.survey.gas.method)

    def works(self, feed: Feed, end: End, pipe: Pipe, length: int, elbows: int) -> GasWorks:
        """The works for a branch that can be."""
        extended, network, sizing = self._sized(feed, end, pipe, length, elbows)
        parts = {extended.before: RenewedPart.BEFORE_TAP, extended.after: RenewedPart.AFTER_TAP}
        renewals = []
        for laid, sized in zip(network.pipes, sizing.pipes, strict=True):
            s, choice = laid.segment, sized.choice
            if choice is not None and not choice.kept:
                part = parts.get(s.id, RenewedPart.WHOLE)
                owner = s.id if part is RenewedPart.WHOLE else end.id
                renewals.append(Renewal(owner, part, choice.material, choice.size, s.length_mm))
        named = None if feed.pressure is None else feed.pressure.id
        return GasWorks(tuple(renewals), named, feed.regulators, feed.own is not None)


@dataclass(frozen=True)
class Level:
    """Bound of one pipe for branches from one length up to another [mm]: works by end [money units], inf: none."""

    pipe: Pipe
    at_least: int
    below: float
    works: Floats


class GasOffer:
    """Gas from every place: bounds by levels of length, runs by the shortest paths from the place to all ends."""

    service = Service.GAS

    def __init__(
        self, survey: Survey, heater: Heater, ends: list[End], mesh: Mesh, is_open: Mask, manifolds: Numbers
    ) -> None:
        self.mesh, self.open, self.manifolds, self.heater = mesh, is_open, manifolds, heater
        self.works, self.method = Works(survey, heater), survey.gas.method
        self.ends, self.feeds = ends, feeds_of(survey, heater)
        self.pipes = pipes_of(survey.prices, survey.gas)
        self.goals = {p.name: goals_of(mesh, ends, p.rates) for p in self.pipes}
        self.index = {e: i for i, e in enumerate(ends)}

    @cached_property
    def feeding(self) -> list[list[Feed]]:
        """Feeds that suit the heater, by end."""
        return [[f for f in self.feeds if _feeds_heater(f, e, self.heater, self.method)] for e in self.ends]

    @cached_property
    def levels(self) -> list[Level]:
        """Bounds that no other pipe's undercut everywhere."""
        every = [self._levels_of(p) for p in self.pipes]
        kept = [of for i, of in enumerate(every) if not any(_beaten(of, o, i > j) for j, o in enumerate(every) if i != j)]
        return [level for of in kept for level in of if np.isfinite(level.works).any()]

    def _levels_of(self, pipe: Pipe) -> list[Level]:
        table_of = np.array([self._by_level(e, feeds, pipe) for e, feeds in zip(self.ends, self.feeding, strict=True)])
        tops = [*map(float, LEVELS[1:]), np.inf]
        return [Level(pipe, low, top, table_of[:, k]) for k, (low, top) in enumerate(zip(LEVELS, tops, strict=True))]

    def _by_level(self, end: End, feeds: list[Feed], pipe: Pipe) -> list[float]:
        """Least works at each level, from the ends of the ladder inwards."""
        found = np.full(len(LEVELS), np.inf)
        for feed in feeds:
            found = np.minimum(found, self._ladder(feed, end, pipe))
        return [float(f) for f in found]

    def _ladder(self, feed: Feed, end: End, pipe: Pipe) -> Floats:
        units = np.full(len(LEVELS), np.nan)

        def fill(i: int, j: int) -> None:
            if units[i] == units[j]:
                units[i : j + 1] = units[i]
            elif j - i > 1:
                middle = (i + j) // 2
                units[middle] = self._works_at(feed, end, pipe, LEVELS[middle])
                fill(i, middle)
                fill(middle, j)

        last = len(LEVELS) - 1
        units[0], units[last] = (self._works_at(feed, end, pipe, LEVELS[k]) for k in (0, last))
        fill(0, last)
        return units

    def _works_at(self, feed: Feed, end: End, pipe: Pipe, length: int) -> float:
        found = self.works.units(feed, end, pipe, length)
        return np.inf if found is None else float(found)

    @cached_property
    def bounds(self) -> dict[str, Floats]:
        """Least money units by pipe at each place, shape (places,)."""
        found: dict[str, Floats] = {}
        for level, at in self._merged():
            least = np.where(self._shortest(level.pipe.bend_mm) < level.below, at, np.inf)
            found[level.pipe.name] = np.minimum(found.get(level.pipe.name, np.inf), least)
        return found

    def _merged(self) -> Iterator[tuple[Level, Floats]]:
        """Levels with what their runs would cost at each place, neighbours with equal works walked once."""
        walked: tuple[Level, Floats] | None = None
        for level in self.levels:
            if walked is None or walked[0].pipe != level.pipe or not np.array_equal(walked[0].works, level.works):
                walked = level, self._walk(level)
            yield level, walked[1]

    def _walk(self, level: Level) -> Floats:
        goals = [
            replace(g, cost=g.cost + int(w))
            for g in self.goals[level.pipe.name]
            if np.isfinite(w := level.works[self.index[g.end]])
        ]
        return self._at_places(Walks(self.mesh, self.open, goals, Weights(level.pipe.rates)))

    def _at_places(self, walks: Walks) -> Floats:
        found: Floats = walks.cost[self.manifolds].min(axis=1)
        return found

    def _shortest(self, bend_mm: int) -> Floats:
        """Least equivalent length of a run from each place to any end [mm]."""
        if bend_mm not in self._lengths:
            goals = goals_of(self.mesh, self.ends, NOTHING)
            self._lengths[bend_mm] = self._at_places(Walks(self.mesh, self.open, goals, Weights(NOTHING, 0, bend_mm, 1.0)))
        return self._lengths[bend_mm]

    @cached_property
    def _lengths(self) -> dict[int, Floats]:
        return {}

    def lower(self) -> Floats:
        """Least money units at each place; inf where gas cannot be had."""
        least = np.full(len(self.manifolds), np.inf)
        for bound in self.bounds.values():
            least = np.minimum(least, bound)
        return least

    def run(self, place_no: int, spot: object) -> GasRun | None:
        """Cheapest run found from a place, sized at its real length."""
        best: GasRun | None = None
        pipes = {p.name: p for p in self.pipes}
        for name in sorted(self.bounds, key=lambda n: (self.bounds[n][place_no], n)):
            for stretch in STRETCHES:
                if best is not None and best.money <= self.bounds[name][place_no] or not np.isfinite(
                    self.bounds[name][place_no]
                ):
                    break
                best = self._tried(place_no, pipes[name], stretch, best)
        return best

    def _tried(self, place_no: int, pipe: Pipe, stretch: float, best: GasRun | None) -> GasRun | None:
        """The better of a run and what is found with this pipe."""
        weights = Weights(pipe.rates, 0, pipe.bend_mm, stretch * pipe.rates.per_mm)
        starts = [Goal(int(s), 0, 0, 0, self.ends[0]) for s in self.manifolds[place_no]]
        walks = Walks(self.mesh, self.open, starts, weights)
        for bound, goal in self._order(walks, pipe, stretch, self._shortest(pipe.bend_mm)[place_no]):
            if best is not None and bound >= best.money:
                break
            best = self._better(walks, pipe, goal, best)
        return best

    def _order(self, walks: Walks, pipe: Pipe, stretch: float, shortest: float) -> Sequence[tuple[float, Goal]]:
        """Goals with a bound of what a run to them costs, cheapest first; pressed runs only the first few, unbounded."""
        level = max(k for k, mm in enumerate(LEVELS) if mm <= max(shortest, 1))
        works = self._level_works[pipe.name][level]
        found = [(float(walks.cost[g.state] + g.cost + works[self.index[g.end]]), n) for n, g in
                 enumerate(self.goals[pipe.name])]  # fmt: skip
        order = sorted(f for f in found if np.isfinite(f[0]))
        goals = self.goals[pipe.name]
        if stretch:
            return [(-np.inf, goals[n]) for _, n in order[:TRIED_WHEN_PRESSED]]
        return [(bound, goals[n]) for bound, n in order]

    @cached_property
    def _level_works(self) -> dict[str, list[Floats]]:
        return {p.name: [level.works for level in self._levels_of(p)] for p in self.pipes}

    def _better(self, walks: Walks, pipe: Pipe, goal: Goal, best: GasRun | None) -> GasRun | None:
        pieces = walks.back(goal)
        length, elbows, own = sum(p.length_mm for p in pieces), turns(pieces), money(pieces, pipe.rates)
        for feed in self.feeding[self.index[goal.end]]:
            units = self.works.units(feed, goal.end, pipe, length, elbows)
            if units is not None and (best is None or own + units < best.money):
                works = self.works.works(feed, goal.end, pipe, length, elbows)
                best = GasRun(own + units, pipe.name, pieces, goal.end, works)
        return best


def _beaten(own: list[Level], other: list[Level], on_ties: bool) -> bool:
    """Whether another pipe is nowhere dearer: by length, by elbow, and by what its taps ask for."""
    a, b = own[0].pipe, other[0].pipe
    cheaper = b.rates.per_mm <= a.rates.per_mm and b.rates.bend <= a.rates.bend and b.bend_mm <= a.bend_mm
    return cheaper and all((y.works <= x.works).all() for x, y in zip(own, other, strict=True)) and (
        on_ties or b.rates.per_mm < a.rates.per_mm
    )


def gas_offer(survey: Survey, heater: Heater, ends: list[End], mesh: Mesh, thin: Mask, manifolds: Numbers) -> GasOffer:
    """Gas for one heater of a house on its grid."""
    return GasOffer(survey, heater, ends, mesh, thin, manifolds)
