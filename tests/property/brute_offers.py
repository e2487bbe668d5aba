"""What each service costs from every place of the brute force's grid, by size and within its limits."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from service.building.model import Behind, Building
from service.design import Piece, Service, Surface, Terminal
from service.survey.equipment import Heater, PriceBook, VentListing
from service.survey.intake_listing import IntakeSide
from service.survey.model import Receptacle, Survey
from service.trades import condensate, water
from tests.property import brute_waiting
from tests.property.brute_ends import End, gas_ends, line_ends, real, tied
from tests.property.brute_gas import GasOffer
from tests.property.brute_power import carries, cord_rates, lies_on_walls, pluggable, protected, reach_mm
from tests.property.brute_pressure import Pair, PairedOffer, is_pressed
from tests.property.brute_roof import ends_over
from tests.property.brute_routes import (
    Floats,
    Goal,
    Mask,
    Mesh,
    Numbers,
    Rates,
    Walker,
    Walks,
    Weights,
    flat_mm,
    from_before,
    goals_of,
    money,
    rates,
    turns,
)
from tests.property.brute_surfaces import Grid, Wall, obstacles_of, place
from tests.property.brute_twin import (
    is_lawful,
    keeps_clear,
    more_units,
    name_of,
    sides_of,
    thick_mm,
    vent_rates,
    within,
)

STRETCHES = (0.0, 0.5, 3.0, 1e4)
"""How much a run is pressed to be short, in units of its own price a millimetre: not, some, more, at any price."""
UPHILL, DOWNHILL, ANY_WAY = 1, -1, 0


@dataclass(frozen=True)
class Spot:
    """Where a heater may be tried: wall, coordinate along it, height of the manifold [mm]."""

    wall: Wall
    c: int
    z: int


@dataclass(frozen=True)
class House:
    """One house on a grid with one heater; ``thin`` arcs are open to pipes, ``wide`` ones to its vent.

    ``manifolds`` are the three states of each place, shape (places, 3); ``risers`` the upright state at
    the height where the vent may turn.
    """

    survey: Survey
    building: Building
    walls: list[Wall]
    grid: Grid
    mesh: Mesh
    heater: Heater
    thin: Mask
    wide: Mask
    spots: list[Spot]
    manifolds: Numbers
    risers: Numbers


@dataclass(frozen=True)
class Run:
    """A lawful run from a place: money units, size, pieces, and the end it leads to."""

    money: int
    option: str
    pieces: tuple[Piece, ...]
    end: End
    pumped: bool = False


Holds = Callable[[Spot, tuple[Piece, ...], End], bool]


@dataclass
class Option:
    """One way of bringing a service: a size, gravity or pump. Walks are made on first use, by stretch.

    Unpressed walks may lead to ends that the checker has not been asked about: ``judge`` asks.
    """

    name: str
    rates: Rates
    walk: Walker
    starts: Numbers
    holds: Holds
    once: int = 0
    pumped: bool = False
    judge: Callable[[list[Goal]], bool] = lambda found: True
    more: Callable[[End], int] = lambda end: 0
    _walks: dict[float, Walks] = field(default_factory=dict)

    def walks(self, stretch: float) -> Walks:
        """Walks that weigh length by ``stretch``."""
        if stretch not in self._walks:
            self._walks[stretch] = self.walk(stretch)
        return self._walks[stretch]

    def ends_lawful(self, places: Sequence[int]) -> bool:
        """Whether the checker passes all ends of the cheapest runs from these places; else they are struck out."""
        walks = self.walks(0.0)
        if self.judge(walks.ends_of(self.starts[np.array(places)].ravel().tolist())):
            return True
        self._walks.clear()
        return False

    def lower(self) -> Floats:
        """Least money units at each place if no limit bound; inf where out of reach."""
        found: Floats = self.walks(0.0).cost[self.starts].min(axis=1) + self.once
        return found

    def run(self, place_no: int, spot: Spot) -> Run | None:
        """Cheapest of the runs tried that keeps the limits; the unpressed one is the cheapest there can be."""
        found: list[Run] = []
        for k, run in enumerate(self.every(place_no)):
            if self.holds(spot, run.pieces, run.end):
                found.append(run)
                if not k:
                    break
        return min(found, key=lambda r: r.money, default=None)

    def every(self, place_no: int) -> Iterator[Run]:
        """All runs that are tried, whether they keep the limits or not; the cheapest first."""
        for stretch in STRETCHES:
            walks = self.walks(stretch)
            state = min(self.starts[place_no], key=lambda s: (walks.cost[s], s))
            if np.isfinite(walks.cost[state]):
                pieces, goal = walks.run(int(state))
                cost = money(pieces, self.rates) + self.once + self.more(goal.end)
                yield Run(cost, self.name, pieces, goal.end, self.pumped)


@dataclass
class Offer:
    """All options of one service."""

    service: Service
    options: list[Option]

    def lower(self) -> Floats:
        """Least money units at each place without limits."""
        least: Floats = np.min([o.lower() for o in self.options], axis=0)
        return least

    def run(self, place_no: int, spot: Spot) -> Run | None:
        """Cheapest lawful run found."""
        best: Run | None = None
        for option in self.options:
            if best is None or option.lower()[place_no] < best.money:
                run = option.run(place_no, spot)
                best = run if run and (best is None or run.money < best.money) else best
        return best


def offers_of(house: House) -> tuple[Offer, list[Offer | GasOffer | PairedOffer]]:
    """The vent of a heater, and its other four or five services."""
    return _vent(house), other_offers(house)


def other_offers(house: House) -> list[Offer | GasOffer]:
    """All services but the vent."""
    survey = house.survey
    cold, hot = ([(w.id, w.points) for w in lines] for lines in (survey.water.cold, survey.water.hot))
    offers: list[Offer | GasOffer | PairedOffer] = [
        _gas(house),
        *_waters(house, cold, hot),
        Offer(Service.POWER, _powers(house)),
    ]
    return [*offers, _drain(house)] if house.heater.condensing else offers


def _powers(house: House) -> list[Option]:
    """A cable from every circuit that may carry the heater, and its cord to each that is known to."""
    survey, book = house.survey, house.survey.prices
    watts = house.heater.electrical_w + 300  # the most that a frost element usually draws
    fed = [x for x in survey.receptacles if carries(survey, x, watts) is not False]
    cable = _option(house, Service.POWER, "cable", [tied(house.building, house.walls, x.id, x.at) for x in fed])
    cable.once = book["power.receptacle"].units_each
    return [cable, *(_cord(house, x, gfci) for x in pluggable(survey, watts) for gfci in (False, True))]


def _cord(house: House, outlet: Receptacle, gfci: bool) -> Option:
    """A cord to one outlet, which is renewed with protection or stays as it is."""
    book, rooms = house.survey.prices, house.building.rooms
    goals = goals_of(house.mesh, [tied(house.building, house.walls, outlet.id, outlet.at)], cord_rates(book), False)
    most = reach_mm(house.heater.id.partition("@")[0])

    def holds(spot: Spot, pieces: tuple[Piece, ...], _end: End) -> bool:
        room = rooms[spot.wall.room]
        asked = protected(house.survey, room.use, room.finished) and not outlet.gfci
        return gfci == asked and lies_on_walls(pieces, most)

    def walk(stretch: float) -> Walks:
        price = cord_rates(book)
        return Walks(house.mesh, house.thin, goals, Weights(price, ANY_WAY, 0.0, stretch * price.per_mm))

    name = "cord_gfci" if gfci else "cord"
    option = Option(name, cord_rates(book), walk, house.manifolds, holds)
    option.once = book["power.plug_in"].units_each + gfci * book["power.gfci_receptacle"].units_each
    return option


def _always(spot: Spot, pieces: tuple[Piece, ...], end: End) -> bool:
    return True


def _option(
    house: House, service: Service, size: str, ends: Iterable[End], bend_mm: float = 0.0, way: int = ANY_WAY,
    flat_only: bool = False,
) -> Option:  # fmt: skip
    price = rates(house.survey.prices, service, size)
    goals = goals_of(house.mesh, ends, price, flat_only)

    def walk(stretch: float) -> Walks:
        weights = Weights(price, way, bend_mm, stretch * price.per_mm, flat_only)
        return Walks(house.mesh, house.thin, goals, weights)

    return Option(size, price, walk, house.manifolds, _always)


Lines = list[tuple[str, tuple[tuple[int, int, int], ...]]]


def _waters(house: House, cold: Lines, hot: Lines) -> list[Offer | PairedOffer]:
    """Both water runs: of the smallest size each, or of any pair of sizes where pressure is told."""
    flow = house.heater.max_flow_m3_s
    sizes = {s: water.branch_options(flow, hot=s is Service.HOT) for s in (Service.COLD, Service.HOT)}
    if not is_pressed(house.survey):
        firsts = ((Service.COLD, cold), (Service.HOT, hot))
        return [Offer(s, [_water(house, s, lines, sizes[s][0])]) for s, lines in firsts]
    colds = [_water(house, Service.COLD, cold, size) for size in sizes[Service.COLD]]
    hots = [_water(house, Service.HOT, hot, size) for size in sizes[Service.HOT]]
    pair = Pair(house.survey, house.building, house.heater, colds, hots)
    return [PairedOffer(Service.COLD, colds, pair), PairedOffer(Service.HOT, hots, pair)]


def _water(house: House, service: Service, lines: Lines, size: str) -> Option:
    ends = line_ends(house.building, house.walls, lines, house.grid)
    if service is Service.HOT and house.survey.preferences.waiting_cents_per_s:
        return _waited(house, size, ends)
    return _option(house, service, size, ends)


def _waited(house: House, size: str, ends: list[End]) -> Option:
    """A hot run that pays for the waiting it brings."""
    price = brute_waiting.dearer(house.survey, rates(house.survey.prices, Service.HOT, size), size)
    goals = [
        replace(g, cost=g.cost + brute_waiting.tap_units(house.survey, real(g.end)))
        for g in goals_of(house.mesh, ends, price)
    ]

    def walk(stretch: float) -> Walks:
        return Walks(house.mesh, house.thin, goals, Weights(price, stretch=stretch * price.per_mm))

    once = brute_waiting.standing_units(house.survey, size)
    return Option(size, price, walk, house.manifolds, _always, once)


def _gas(house: House) -> GasOffer:
    ends = gas_ends(house.survey, house.building, house.walls, house.grid)
    ends += [seen for e in ends for seen in from_before(house.mesh, e)]
    return GasOffer(house.survey, house.heater, ends, house.mesh, house.thin, house.manifolds)


def _drain(house: House) -> Offer:
    ends = [tied(house.building, house.walls, d.id, d.at, walls_only=True) for d in house.survey.drains]
    falling = _option(house, Service.DRAIN, "drain", ends, way=DOWNHILL, flat_only=True)
    falling.holds = lambda spot, pieces, end: condensate.gravity_ok(spot.z, _height(end), flat_mm(pieces))
    pumped = _option(house, Service.DRAIN, "drain", ends)
    pumped.once, pumped.pumped = house.survey.prices["drain.pump"].units_each, True
    return Offer(Service.DRAIN, [falling, pumped])


def _height(end: End) -> int:
    return end.tail[-1].end[2] if end.tail else end.node[3]


def _vent(house: House) -> Offer:
    return Offer(Service.VENT, [_vent_way(house, side) for side in sides_of(house.heater.vent)])


def _vent_way(house: House, side: IntakeSide | None) -> Option:
    """The vent with its intake, if it has one, on one side."""
    listing, book = house.heater.vent, house.survey.prices
    price = ended_rates(book, listing)
    ends = {end: more_units(book, listing, w.surface) for w, end in _outlets(house, side)}
    ends |= dict.fromkeys(roof_ends(house) if Surface.ROOF in price.once else (), 0)
    goals = [replace(g, cost=g.cost + ends[g.end]) for g in goals_of(house.mesh, ends, price)]
    judged: dict[End, bool] = {}

    def walk(stretch: float) -> Walks:
        weights = Weights(price, UPHILL, listing.elbow_equivalent_mm, stretch * price.per_mm)
        while True:
            walks = Walks(house.mesh, house.wide, [g for g in goals if judged.get(g.end, True)], weights)
            if not stretch or judge(walks.ends_of(house.risers[:, 0].tolist())):
                return walks

    def judge(found: list[Goal]) -> bool:
        return all(_judge(house, judged, found))

    def holds(spot: Spot, pieces: tuple[Piece, ...], end: End) -> bool:
        riser = house.heater.vent_rise_mm
        up = Piece((0, 0, 0), (0, 0, riser), Surface.WALL)
        return within(listing, riser + sum(p.length_mm for p in pieces), turns([up, *pieces]))

    return Option(listing.system, price, walk, house.risers, holds, judge=judge, more=ends.__getitem__)


def _judge(house: House, judged: dict[End, bool], goals: list[Goal]) -> list[bool]:
    """Verdicts of the checker on the terminals that runs lead to, each asked once."""
    for g in goals:
        if g.end not in judged:
            judged[g.end] = is_lawful(house.survey, house.building, house.heater, g.end)
    return [judged[g.end] for g in goals]


def ended_rates(book: PriceBook, listing: VentListing) -> Rates:
    """What a vent pays, the terminal in a wall or over a roof with the way out that leads to it."""
    plain, system = vent_rates(book, listing), listing.system
    wall = plain.once[Surface.OUTER_WALL] + book[f"vent.{system}.terminal"].units_each
    once = plain.once | {Surface.OUTER_WALL: wall}
    keys = "vent.roof_penetration", f"vent.{system}.roof_terminal"
    if listing.intake is None and all(key in book.items for key in keys):
        once[Surface.ROOF] = sum(book[key].units_each for key in keys)
    return replace(plain, once=once)


def _outlets(house: House, side: IntakeSide | None) -> Iterator[tuple[Wall, End]]:
    """Every grid place on an outer wall where a hole of the pipe's size keeps off the wall's edges."""
    r, obstacles = thick_mm(house.heater.vent), obstacles_of(house.building, house.walls)
    for w in house.walls:
        for c in house.grid.between(w.axis, w.lo + r, w.hi - r):
            for end in _at(house, w, c, side):
                if keeps_clear(house.heater.vent, w, end, obstacles[w.face.id]):
                    yield w, end


def roof_ends(house: House) -> list[End]:
    """Every grid place below the roof from which a pipe goes straight up to over it."""
    found = ends_over(house.survey, house.building, house.heater, house.grid)
    return [end for end in found if end.node in house.mesh.ids]


def _at(house: House, w: Wall, c: int, side: IntakeSide | None) -> list[End]:
    """Outlets on one upright line, each named by facade, distance and height."""
    out, r = [], thick_mm(house.heater.vent)
    for t in w.face.stretches:
        if t.behind is Behind.OUTDOORS and t.facade_id is not None and t.s0 <= w.along(c) <= t.s1:
            facade = house.building.facade(t.facade_id)
            s = t.facade_s0 + w.along(c) - t.s0
            for z in house.grid.between(2, w.face.z0 + r, w.face.z1 - r):
                node = w.node(c, z)
                outside = list(place(node))
                outside[1 - w.axis] = facade.start[1 - w.axis]
                piece = Piece(place(node), (outside[0], outside[1], outside[2]), Surface.OUTER_WALL)
                out.append(End(name_of(Terminal(facade.id, s, z), side), node, (piece,), facade.id))
    return out
