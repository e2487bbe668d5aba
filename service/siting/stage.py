"""One round of the search: a lattice, the fields on it, and what every heater costs at every hub."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from functools import partial
from itertools import pairwise

import numpy as np

from service.design import MANIFOLD_DROP_MM, NO_EXPOSED_VENT, Service, Surface
from service.routing.fields import Field, Floats, Sources, Tariff, least_used, spread
from service.routing.lattice import Bools, Lattice, build_lattice
from service.routing.obstacles import Obstacle
from service.routing.planes import Ints, closed_heights
from service.routing.sources import Entries, anchors_on, entries_of, tail_states
from service.siting.active import Active, TerminalKey
from service.siting.costing import Extras, fixed_units
from service.siting.ground import Ground
from service.siting.hubs import Hubs, hubs_of, loose_hubs_of, offset_of
from service.siting.needs import Need, extras_in
from service.siting.offers import Offer, Track, Variant
from service.siting.tariffs import ANY_WAY, DOWNHILL, UPHILL, tariff_of
from service.siting.terminals import Outlets, covered, lawful, outlets_of, vent_sources
from service.survey.equipment import Heater
from service.trades import condensate, gas


@dataclass(slots=True)
class Table:
    """One heater's costs: ``fixed`` and ``total`` per hub [money units], shape (hubs,); offers by service."""

    need: Need
    hubs: Hubs
    extras: list[Extras | None]
    fixed: Floats
    offers: dict[Service, Offer]
    meter_units: int
    total: Floats = dataclass_field(init=False)

    def __post_init__(self) -> None:
        self.add_up()

    def add_up(self) -> None:
        """Total of all hubs from the offers as they are."""
        self.total = self.fixed + sum(o.cost for o in self.offers.values())

    def refresh(self, hub: int) -> None:
        """Bring the total at one hub up to date with its offers."""
        self.total[hub] = self.fixed[hub] + sum(float(o.cost[hub]) for o in self.offers.values())


LARGE = 1e300
ORDER = (Service.VENT, Service.POWER, Service.HOT, Service.COLD, Service.DRAIN, Service.GAS)
"""Vents tell hubs apart best and gas is the dearest to compute."""


@dataclass(frozen=True, slots=True)
class Budget:
    """Most that a design may cost, and least that each service costs anywhere [money units]."""

    units: float
    least: Mapping[Service, float]


def terminal_key(heater: Heater) -> TerminalKey:
    """Heaters with equal keys end in like terminals."""
    return (heater.draft.value, heater.category.value, heater.input_max_w, heater.vent.terminal_radius_mm)


class Stage:
    """Lattice and tables for what is active; built anew each round, never changed by other modules."""

    def __init__(
        self, ground: Ground, active: Active, needs: tuple[Need, ...], loose: bool = False,
        budget: Budget | None = None,
    ) -> None:  # fmt: skip
        """``loose`` lets the vent start at any height, for bounds alone; with a ``budget`` (for one heater)
        routes of designs above it need not be known."""
        self.ground, self.active, self.needs, self.loose = ground, active, needs, loose
        self.budget = budget or Budget(np.inf, {})
        self.ceilings: dict[Service, float] = {}
        offsets = [] if loose else [offset_of(n.heater) for n in needs]
        self.heights = closed_heights(active.planes, offsets, _bands(ground))
        cuts = (active.planes.coordinates(0), active.planes.coordinates(1), self.heights)
        self.anchors = {s: anchors_on(cuts, ground.sheets, e.anchors, e.lines) for s, e in sorted(ground.ends.items())}
        tails = [t for anchors in self.anchors.values() for t in tail_states(anchors)]
        self.lattice: Lattice = build_lattice(ground.sheets, active.planes, self.heights, tails)
        self.outlets: Outlets = outlets_of(ground.building, ground.sheets, self.lattice)
        self.entries: dict[Service, Entries] = {}
        self._tracks: dict[Hashable, Track] = {}
        self._lengths: dict[Hashable, Floats] = {}
        self._hubs: dict[int, Hubs] = {}
        self._closed: dict[int, Bools] = {}
        self.shut_outlets: set[int] = set()
        self.limits_bite = False
        self.tables = [self._table(need) for need in needs]

    def _table(self, need: Need) -> Table:
        hubs = self._hubs_at(offset_of(need.heater))
        extras = [extras_in(self.ground.survey, self.ground.building, r, need) for r in self.ground.building.rooms]
        meter = self.ground.survey.prices["gas.meter_upgrade"].units_each
        fixed = self._fixed(need, hubs, extras)
        table = Table(need, hubs, extras, fixed, self._offers(need, hubs, fixed.copy()), meter)
        self._mask(table)
        return table

    def _offers(self, need: Need, hubs: Hubs, spent: Floats) -> dict[Service, Offer]:
        """Offers one by one, each only as far as the budget goes at hubs that can still win."""
        services = [s for s in ORDER if s is not Service.DRAIN or need.heater.condensing]
        least = self.budget.least
        offers: dict[Service, Offer] = {}
        for k, service in enumerate(services):
            rest = sum(least.get(s, 0.0) for s in services[k + 1 :])
            left = np.where(np.isfinite(spent), self.budget.units - rest, -np.inf) - np.minimum(spent, LARGE)
            alive = left >= least.get(service, 0.0)
            self.ceilings[service] = float(left[alive].max(initial=0.0))
            offers[service] = self._offer(service, need, hubs, alive)
            self.limits_bite |= any(not v.fits[alive].all() for v in offers[service].variants)
            spent += offers[service].cost
        return offers

    def _mask(self, table: Table) -> None:
        for wall in self.active.mount.get(table.need.heater.id, {}):
            self.mask_wall(table, wall)

    def mask_wall(self, table: Table, wall: int) -> None:
        """Close the hubs that the active mount zones of one wall cover."""
        here = np.flatnonzero(table.hubs.wall == wall)
        bottom = table.hubs.manifold_z[here] + MANIFOLD_DROP_MM
        for zone in self.active.mount[table.need.heater.id][wall]:
            table.total[here[covered(zone, table.hubs.s[here], bottom)]] = np.inf

    def reroute(self, services: list[Service]) -> None:
        """Route some services again, after a zone or an obstacle became active."""
        self._closed.clear()
        for table in self.tables:
            for service in services:
                table.offers[service] = self._offer(service, table.need, table.hubs, np.isfinite(table.total))
            table.add_up()
            self._mask(table)

    def _fixed(self, need: Need, hubs: Hubs, extras: list[Extras | None]) -> Floats:
        prices = self.ground.survey.prices
        riser = tariff_of(prices, Service.VENT, need.heater.vent.system)
        by_room = [np.inf if e is None else float(fixed_units(need.heater, prices, e)) for e in extras]
        walls = self.ground.sheets.walls
        by_wall = [by_room[w.room] + riser.per_mm[w.surface] * need.heater.vent_rise_mm for w in walls]
        return np.array(by_wall)[hubs.wall]

    def _offer(self, service: Service, need: Need, hubs: Hubs, alive: Bools) -> Offer:
        if service is Service.VENT:
            return self._vent(need, hubs)
        if service is Service.GAS:
            return self._gas(need, hubs, alive)
        if service is Service.DRAIN:
            return self._drain(hubs)
        options = {Service.COLD: need.cold_size, Service.HOT: need.hot_size, Service.POWER: "cable"}
        return self._plain(service, options[service], hubs)

    def _vent(self, need: Need, hubs: Hubs) -> Offer:
        listing, radius = need.heater.vent, need.heater.vent.pipe_radius_mm
        tariff = tariff_of(self.ground.survey.prices, Service.VENT, listing.system, UPHILL)
        zones = self.active.terminal.get(terminal_key(need.heater), {})
        marks = frozenset((facade, zone) for facade, group in zones.items() for zone in group)
        shut = sorted(self.shut_outlets)
        track = self._track(
            (Service.VENT, listing.system, radius, marks, len(shut)), tariff, radius,
            lambda: vent_sources(self.outlets, lawful(self.outlets, zones, shut), tariff), self._exposed(),
            listing.elbow_equivalent_mm,
        )  # fmt: skip
        limit = float(listing.max_equivalent_mm - need.heater.vent_rise_mm)
        bends = np.inf if listing.max_elbows is None else listing.max_elbows
        return Offer([self._variant(listing.system, track, hubs.vent, 0, listing.elbow_equivalent_mm, limit, bends)])

    def _gas(self, need: Need, hubs: Hubs, alive: Bools) -> Offer:
        variants: list[Variant] = []
        reach = [need.gas.total_mm[a.end_id] for a in self.anchors[Service.GAS]]
        shut = frozenset(i for i, total in enumerate(reach) if total <= 0)
        for size in gas.SIZES:
            limit = need.gas.length_mm[size]
            if limit <= 0:
                continue
            track = self._ended(Service.GAS, size, ANY_WAY, shut=shut)
            totals = [reach[name] for name in track.field.sources.names]
            extra = np.array([max(limit - t, 0) for t in totals], dtype=float)
            bend = gas.elbow_equivalent_mm(size)
            variants.append(self._variant(size, track, hubs.manifold, 0, bend, float(limit), np.inf, extra, True))
            if variants[-1].fits[alive].all() and self._cheapest_from(size):
                break  # no larger size is needed, or cheaper, where it could matter
        return Offer(variants)

    def _cheapest_from(self, size: str) -> bool:
        """Whether no larger gas pipe has a lower price, by length or by elbow."""
        prices = self.ground.survey.prices
        own = tariff_of(prices, Service.GAS, size)
        larger = [tariff_of(prices, Service.GAS, s) for s in gas.SIZES[gas.SIZES.index(size) + 1 :]]
        return all(t.bend >= own.bend and t.per_mm[Surface.WALL] >= own.per_mm[Surface.WALL] for t in larger)

    def _plain(self, service: Service, option: str, hubs: Hubs) -> Offer:
        track = self._ended(service, option, ANY_WAY)
        return Offer([self._variant(option, track, hubs.manifold, 0, 0, np.inf)])

    def _drain(self, hubs: Hubs) -> Offer:
        floor = int(self.heights[0])
        falling = self._ended(Service.DRAIN, "gravity", DOWNHILL, flat_only=True)
        rate = condensate.longest_run_mm(1)
        ends = [self.anchors[Service.DRAIN][name] for name in falling.field.sources.names]
        heights = [a.real[2] for a in ends]
        extra = np.array([rate * (z - floor) for z in heights])
        limit = np.asarray(rate * (hubs.manifold_z - floor), dtype=np.float64)
        pump = self.ground.survey.prices["drain.pump"].units_each
        pumped = self._ended(Service.DRAIN, "pumped", ANY_WAY)
        lifted = self._variant("pumped", pumped, hubs.manifold, pump, 0, np.inf)
        lifted.pumped = True
        return Offer([self._variant("gravity", falling, hubs.manifold, 0, 0, limit, np.inf, extra), lifted])

    def _variant(
        self, option: str, track: Track, starts: Ints, once: int, bend_mm: float, limit: float | Floats,
        bends: float = np.inf, extra: Floats | None = None, rivals: bool = False,
    ) -> Variant:  # fmt: skip
        extra = np.zeros(len(track.field.sources.names)) if extra is None else extra
        lengths = np.broadcast_to(limit, (len(starts),))
        return Variant(option, track, starts, once, bend_mm, lengths, bends, extra, rivals)

    def _ended(
        self, service: Service, option: str, one_way: int, flat_only: bool = False, shut: frozenset[int] = frozenset()
    ) -> Track:
        tariff = tariff_of(self.ground.survey.prices, service, option, one_way)

        def sources() -> Sources:
            if service not in self.entries:
                self.entries[service] = entries_of(self.lattice, self.anchors[service])
            return self.entries[service].priced(tariff, shut)

        # of all gas sizes the smallest has the shortest elbows: one bound on length serves all
        bend = gas.elbow_equivalent_mm(gas.SIZES[0]) if service is Service.GAS else 0
        return self._track((service, option, shut), tariff, 0, sources, None, bend, flat_only)

    def _track(
        self, key: tuple[Hashable, ...], tariff: Tariff, radius_mm: int, sources: Callable[[], Sources],
        shut: Bools | None, bend_mm: float, flat_only: bool = False,
    ) -> Track:  # fmt: skip
        blocked = len(self.active.obstacles.get(radius_mm, ()))
        if (key, blocked) not in self._tracks:
            closed = self._closed_for(radius_mm) if shut is None else self._closed_for(radius_mm) | shut
            assert isinstance(key[0], Service)
            field = spread(self.lattice, tariff, closed, sources(), self.ceilings.get(key[0], np.inf))
            shared = ((key[0], *key[2:]) if key[0] is Service.GAS else key, blocked)
            shortest = partial(_shortest, self._lengths, shared, field, bend_mm, flat_only)
            self._tracks[key, blocked] = Track(field, shortest, flat_only)
        return self._tracks[key, blocked]

    def _closed_for(self, radius_mm: int) -> Bools:
        if radius_mm not in self._closed:
            closed = np.zeros(len(self.lattice.arcs.a), dtype=bool)
            for obstacle in self.active.obstacles.get(radius_mm, []):
                closed |= obstacle.blocks(self.lattice)
            self._closed[radius_mm] = closed
        return self._closed[radius_mm]

    def hits(self, states: tuple[int, ...], radius_mm: int, obstacles: tuple[Obstacle, ...]) -> list[Obstacle]:
        """Obstacles that a chain of states runs through."""
        arcs = self._arcs_between(states)
        sheet, box = self.lattice.arcs.sheet[arcs], self.lattice.box[:, arcs]
        return [o for o in obstacles if o.grown(radius_mm).meets(sheet, box).any()]

    def _arcs_between(self, states: tuple[int, ...]) -> Ints:
        lattice, n = self.lattice, len(self.lattice.arcs.a)
        out = []
        for u, v in pairwise(states):
            row = slice(lattice.indptr[u], lattice.indptr[u + 1])
            out += [int(k) % n for k in lattice.perm[row][lattice.indices[row] == v] if k < 2 * n]
        return np.array(out, dtype=np.int64)

    def _exposed(self) -> Bools:
        """Arcs on walls that may carry no open vent."""
        rooms = self.ground.building.rooms
        refused = [w.index for w in self.ground.sheets.walls if rooms[w.room].use in NO_EXPOSED_VENT]
        return np.isin(self.lattice.arcs.sheet, refused)

    def _hubs_at(self, offset: int) -> Hubs:
        offset = 0 if self.loose else offset
        if offset not in self._hubs:
            make = loose_hubs_of if self.loose else partial(hubs_of, offset=offset)
            self._hubs[offset] = make(self.ground.sheets, self.lattice)
        return self._hubs[offset]


def _shortest(
    known: dict[Hashable, Floats], key: Hashable, field: Field, bend_mm: float, flat_only: bool, extra: Floats
) -> Floats:
    """Least equivalent lengths of a field, computed once for all fields that share a key and extras."""
    full = (key, extra.tobytes())
    if full not in known:
        known[full] = least_used(field, bend_mm, extra, flat_only)
    return known[full]


Parts = tuple[float, dict[Service, float]]
"""Fixed cost and cost by service [money units]."""


def least_parts(table: Table) -> Parts:
    """Least fixed cost and least cost of each service over all hubs [money units]."""
    parts = {s: float(o.cost.min(initial=np.inf)) for s, o in table.offers.items()}
    return float(table.fixed.min(initial=np.inf)), parts


def _bands(ground: Ground) -> list[tuple[int, int]]:
    return sorted({(w.face.z0, w.face.z1) for w in ground.sheets.walls})
