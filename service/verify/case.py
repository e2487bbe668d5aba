"""One heater on one network: every place, what is fixed there, and every way of serving it, with bounds on each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from math import inf

import numpy as np

from service.clearance.model import spec_of
from service.clearance.roof import rise_on
from service.design import NO_EXPOSED_VENT, Service, Surface
from service.routing.anchors import anchors_on
from service.routing.ends import Anchor
from service.routing.roof import in_the_way
from service.siting.active import Active, AddPlane, hung_on, on_surface
from service.siting.ground import Ground
from service.siting.needs import Need, extras_in
from service.siting.power import power_ways
from service.siting.terminals import sides_of, terminal_key
from service.survey.intake_listing import IntakeSide
from service.trades import condensate
from service.trades.vent import exhaust_limit
from service.verify.closed import Lacks, closed
from service.verify.ends import Charge, Outlet, ends_of, outlet_ends, outlets_of
from service.verify.gas import GasSteps
from service.verify.limits import Way
from service.verify.network import Bools, Floats, Ints, Network
from service.verify.places import Places, places_of
from service.verify.prices import Prices, Run
from service.verify.spread import Ends, Rates, Spreader

FINISHED = (Surface.WALL_FINISHED, Surface.CEILING_FINISHED)
CLIMBS, FALLS = 1, -1


@dataclass(frozen=True)
class Board:
    """A network with what all heaters on it share."""

    ground: Ground
    prices: Prices
    active: Active
    network: Network

    @cached_property
    def spreader(self) -> Spreader:
        """Its matrices."""
        return Spreader(self.network)

    @cached_property
    def anchors(self) -> dict[Service, tuple[Anchor, ...]]:
        """Where runs may end, old pipes at every plane."""
        n = self.network
        xs, ys, zs = (np.array(v, dtype=np.int64) for v in (n.xs, n.ys, n.heights))
        ends = self.ground.ends.items()
        return {s: anchors_on((xs, ys, zs), n.sheets, e.anchors, e.lines, n.outdoors) for s, e in ends}

    @cached_property
    def outlets(self) -> tuple[Outlet, ...]:
        """Where vents may leave."""
        return outlets_of(self.network, self.ground.building)

    def barred(self, radius_mm: int) -> Bools:
        """Arcs that enter an obstacle named for pipes of a radius."""
        columns = self.network.columns
        out = np.zeros(len(columns.a), dtype=bool)
        for o in self.active.obstacles.get(radius_mm, ()):
            out |= columns.entering(o.sheet, (o.c0, o.c1, o.d0, o.d1))
        return out

    def lacking(self, along: AddPlane, up: AddPlane) -> Lacks:
        """Whether a line of a surface could be added to the planes, by what would add it."""

        def lacks(axis: int, value: int) -> bool:
            return (along, up)[axis](self.active.planes.copy(), value, "")

        return lacks

    @cached_property
    def exposed(self) -> Bools:
        """Arcs on walls that carry no open vent."""
        rooms = self.ground.building.rooms
        refused = [w.index for w in self.network.sheets.walls if rooms[w.room].use in NO_EXPOSED_VENT]
        return np.isin(self.network.columns.sheet, refused)


@dataclass
class Case:
    """A heater with one of its vents, or outdoors, at every place of a network. ``loose``: its vent may turn at any
    height, and no zone is looked at."""

    board: Board
    need: Need
    loose: bool
    places: Places = field(init=False)

    def __post_init__(self) -> None:
        """List the places."""
        self.places = places_of(self.board.network, self.need, self.loose)

    @cached_property
    def ways(self) -> dict[Service, list[Way]]:
        """All ways of each service that the heater takes."""
        made = {Service.VENT: self._vents, Service.POWER: self._power, Service.HOT: self._hot}
        made |= {Service.COLD: self._cold, Service.DRAIN: self._drain, Service.GAS: self._gas}
        spared = {Service.DRAIN: not self.need.heater.condensing, Service.VENT: self.need.outdoors}
        return {s: list(make()) for s, make in made.items() if not spared.get(s, False)}

    @cached_property
    def open(self) -> Bools:
        """Places that no named zone closes, shape (places,)."""
        p, active, key = self.places, self.board.active, self.need.key
        out = np.ones(len(p.s), dtype=bool)
        for surface, zones in active.mount.get(key, {}).items():
            here = np.flatnonzero(p.surface == surface)
            shut = {(s, z) for k, on, s, z in active.shut_hubs if (k, on) == (key, surface)}
            on = hung_on(self.board.ground.building, self.board.network.sheets, surface)
            lacks = self.board.lacking(on.add_line, on.add_hub)
            out[here[closed(zones, p.s[here], p.bottom[here], shut, lacks)]] = False
        return out

    @cached_property
    def fixed(self) -> Floats:
        """Money units of all but the runs, shape (places,); infinite where the room cannot have air."""
        ground, need = self.board.ground, self.need
        by_room = []
        for room in ground.building.rooms:
            extras = extras_in(ground.air, ground.survey, room, need)
            by_room.append(inf if extras is None else float(self.board.prices.fixed(need.heater, room, extras)))
        walls = self.board.network.sheets.walls
        return np.array([by_room[w.room] for w in walls])[self.places.wall]

    def cheapest(self, service: Service) -> Floats:
        """Cheapest of a service at every place, limits aside."""
        return np.asarray(np.min([w.raw for w in self.ways[service]], axis=0))

    @property
    def limits_aside(self) -> Floats:
        """Least total at every place, limits aside, infinite where none may be had."""
        total = self.fixed + sum(self.cheapest(s) for s in self.ways)
        return np.where(self.open, total, np.inf)

    def _way(
        self, name: str, run: Run, ends: Ends, starts: Ints | None = None, closed_arcs: Bools | None = None,
        limit: float | Floats = inf, bend_mm: float = 0.0, most_bends: float = inf, more: float | Floats = 0.0,
        flat: bool = False, exact: bool = True, rates: Rates | None = None,
    ) -> Way:  # fmt: skip
        once, most = (np.zeros(len(self.places.s)) + figure for figure in (run.once + more, limit))
        shut = self.board.barred(0) if closed_arcs is None else closed_arcs
        begin = self.places.manifold if starts is None else starts
        return Way(
            self.board.spreader, name, rates or run.rates, shut, ends, begin, once, most, bend_mm, most_bends, flat,
            exact,
        )  # fmt: skip

    def _vents(self) -> Iterator[Way]:
        board, heater = self.board, self.need.heater
        listing, run = heater.vent, board.prices.run(heater, Service.VENT, heater.vent.system, CLIMBS)
        longest, few = exhaust_limit(listing)
        walls = board.network.sheets.walls
        riser = np.array([float(run.rates.per_mm[w.surface] * heater.vent_rise_mm) for w in walls])[self.places.wall]
        shut = board.barred(listing.bundle_radius_mm) | board.exposed
        for side in sides_of(listing):
            ends = outlet_ends(self._free_outlets(side, run), run, self._rises(), listing.elbow_equivalent_mm)
            yield self._way(
                listing.system, Run(run.rates, 0), ends, self.places.vent, shut, float(longest - heater.vent_rise_mm),
                listing.elbow_equivalent_mm, inf if few is None else few, riser,
            )  # fmt: skip

    def _rises(self) -> list[int | None]:
        survey, building, heater = self.board.ground.survey, self.board.ground.building, self.need.heater
        over = [None if heater.vent.intake else rise_on(survey, spec_of(heater), plane) for plane in building.roof]
        return [*[0] * len(building.facades), *over]

    def _free_outlets(self, side: IntakeSide | None, run: Run) -> list[tuple[Outlet, float]]:
        """Outlets that no named zone closes and nothing bars, with the surcharge of an intake's way."""
        board, heater, outlets = self.board, self.need.heater, self.board.outlets
        key, jog = terminal_key(heater, side), board.prices.jog(heater)
        index, s, z = (np.array([getattr(o, name) for o in outlets], dtype=np.int64) for name in ("surface", "s", "z"))
        free = np.ones(len(outlets), dtype=bool)
        for surface, zones in board.active.terminal.get(key, {}).items():
            here = np.flatnonzero(index == surface)
            places = {(a, b) for on, a, b in board.active.shut.get(key, ()) if on == surface}
            on = on_surface(board.ground.building, board.network.sheets, surface)
            lacks = board.lacking(on.add_line, on.add_height)
            free[here[closed(zones, s[here], z[here], places, lacks)]] = False
        rooms = np.array([self._room_below(o) for o in outlets], dtype=np.int64)
        radii = heater.vent.pipe_radius_mm, heater.vent.terminal_radius_mm
        free &= ~in_the_way(board.ground.building, radii, (rooms, index, s, z))
        walls = board.network.sheets.walls
        finished = [o.wall is not None and walls[o.wall].surface in FINISHED for o in outlets]
        return [(o, float(run.once + jog * f)) for o, f, ok in zip(outlets, finished, free, strict=True) if ok]

    def _room_below(self, out: Outlet) -> int:
        """The wall, or -1 - room for what goes through a roof."""
        if out.wall is not None:
            return out.wall
        network = self.board.network
        return -1 - list(network.nodes)[out.state // len(network.axes)][0]

    def _power(self) -> Iterator[Way]:
        board, need, anchors = self.board, self.need, self.board.anchors[Service.POWER]
        for way in power_ways(board.ground.survey, board.ground.building, need.heater, anchors, need.outdoors):
            run = board.prices.run(need.heater, Service.POWER, way.option)
            ends = ends_of(board.network, anchors, run, [Charge(i, 0.0) for i in way.anchors])
            yield self._way(way.option, run, ends, limit=way.limit_mm)

    def _plain(self, service: Service, option: str) -> tuple[Run, Ends]:
        board, anchors = self.board, self.board.anchors[service]
        run = board.prices.run(self.need.heater, service, option)
        return run, ends_of(board.network, anchors, run, [Charge(i, 0.0) for i in range(len(anchors))])

    @property
    def _pressed(self) -> bool:
        """Whether water pressure binds: then sizes and lengths of both water runs hang together."""
        return self.board.ground.pressures[self.need.heater.id] is not None

    def _cold(self) -> Iterator[Way]:
        for option in self.need.cold_sizes if self._pressed else self.need.cold_sizes[:1]:
            run, ends = self._plain(Service.COLD, option)
            yield self._way(option, run, ends, exact=not self._pressed)

    def _hot(self) -> Iterator[Way]:
        board, anchors, waiting = self.board, self.board.anchors[Service.HOT], self.board.ground.waiting
        for option in self.need.hot_sizes if self._pressed else self.need.hot_sizes[:1]:
            run, ends = self._plain(Service.HOT, option)
            once, rates = 0, run.rates
            if waiting is not None:
                dearer = {s: units + waiting.per_mm(option) for s, units in rates.per_mm.items()}
                once, rates = waiting.once(option), Rates(dearer, rates.once, rates.bend)
                charges = [Charge(i, float(waiting.at(a.end_id, a.real))) for i, a in enumerate(anchors)]
                ends = ends_of(board.network, anchors, Run(rates, run.once), charges)
            yield self._way(option, run, ends, more=once, exact=not self._pressed, rates=rates)

    def _drain(self) -> Iterator[Way]:
        board, heater, anchors = self.board, self.need.heater, self.board.anchors[Service.DRAIN]
        rate, floor = condensate.longest_run_mm(1), board.network.heights[0]
        falling = board.prices.run(heater, Service.DRAIN, "drain", FALLS)
        charges = [Charge(i, 0.0, rate * (a.real[2] - floor)) for i, a in enumerate(anchors)]
        ends = ends_of(board.network, anchors, falling, charges)
        fall = np.asarray(rate * (self.places.z - floor), dtype=np.float64)
        yield self._way("gravity", falling, ends, limit=fall, flat=True)
        lifted = board.prices.run(heater, Service.DRAIN, "drain", pumped=True)
        anywhere = [Charge(i, 0.0) for i in range(len(anchors))]
        yield self._way("pumped", lifted, ends_of(board.network, anchors, lifted, anywhere))

    def _gas(self) -> Iterator[Way]:
        board, heater, anchors = self.board, self.need.heater, self.board.anchors[Service.GAS]
        for step in GasSteps(board.ground.survey, heater).steps(anchors):
            run = board.prices.run(heater, Service.GAS, step.branch.name)
            ends = ends_of(board.network, anchors, run, step.charges, step.bend_mm)
            limit = float(step.held_mm) if step.held_mm else inf
            yield self._way(step.branch.name, run, ends, limit=limit, bend_mm=step.bend_mm)

