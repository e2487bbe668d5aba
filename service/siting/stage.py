"""One round of the search: a lattice, the fields on it, and what every heater costs at every hub."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from functools import partial

import numpy as np

from service.design import MANIFOLD_DROP_MM, Service
from service.routing.fields import Floats
from service.routing.lattice import Bools
from service.routing.planes import closed_heights
from service.siting.active import Active
from service.siting.costing import Extras, fixed_units
from service.siting.ground import Ground
from service.siting.hubs import Hubs, hubs_of, loose_hubs_of, offset_of
from service.siting.needs import Need, extras_in
from service.siting.offers import Offer
from service.siting.services import offer_of
from service.siting.tariffs import tariff_of
from service.siting.terminals import covered
from service.siting.ways import Ways


@dataclass(slots=True)
class Table:
    """One heater's costs: ``fixed`` and ``total`` per hub [money units], shape (hubs,); offers by service. ``shut``
    marks the hubs that mount zones cover."""

    need: Need
    hubs: Hubs
    extras: list[Extras | None]
    fixed: Floats
    offers: dict[Service, Offer]
    meter_units: int
    services: int
    total: Floats = dataclass_field(init=False)
    shut: Bools = dataclass_field(init=False)

    def __post_init__(self) -> None:
        self.shut = np.zeros(len(self.fixed), dtype=bool)
        self.add_up()

    def add_up(self) -> None:
        """Total of all hubs from the offers as they are; without all of them no hub is in question."""
        complete = len(self.offers) == self.services
        self.total = self.fixed + sum(o.cost for o in self.offers.values()) if complete else self.fixed + np.inf

    def raise_total(self) -> None:
        """As ``add_up``, but hubs that are closed stay so."""
        total = self.fixed + sum(o.cost for o in self.offers.values())
        self.total = np.where(np.isfinite(self.total), total, np.inf)

    def unlimited(self, service: Service) -> Floats:
        """Total of all hubs as if there were no limits on one service's runs, inf where mount zones shut the hub or a
        service is not offered."""
        if len(self.offers) < self.services:
            return self.fixed + np.inf
        raw = np.min([v.raw for v in self.offers[service].variants], axis=0)
        total = self.fixed + raw + sum(o.cost for s, o in self.offers.items() if s is not service)
        return np.where(self.shut, np.inf, total)

    def refresh(self, hub: int) -> None:
        """Bring the total at one hub up to date with its offers."""
        self.total[hub] = self.fixed[hub] + sum(float(o.cost[hub]) for o in self.offers.values())


LARGE = 1e300
ORDER = (Service.VENT, Service.POWER, Service.HOT, Service.COLD, Service.DRAIN, Service.GAS)
"""Vents tell hubs apart best and gas is the dearest to compute."""


def services_of(need: Need) -> list[Service]:
    """Services that a heater takes, in the order in which they are looked at."""
    return [s for s in ORDER if s is not Service.DRAIN or need.heater.condensing]


@dataclass(frozen=True, slots=True)
class Budget:
    """Most that a design may cost, and least that each service costs anywhere [money units]."""

    units: float
    least: Mapping[Service, float]


class Stage(Ways):
    """Lattice and tables for what is active; built anew each round, never changed by other modules."""

    def __init__(
        self, ground: Ground, active: Active, needs: tuple[Need, ...], loose: bool = False,
        budget: Budget | None = None, walls: Iterable[int] | None = None,
    ) -> None:  # fmt: skip
        """``loose`` lets the vent start at any height, for bounds alone; with a ``budget`` (for one heater)
        routes of designs above it need not be known; ``walls`` (at least one) are those in question."""
        self.walls = ground.sheets.walls if walls is None else tuple(ground.sheets.walls[w] for w in walls)
        bands = sorted({(w.face.z0, w.face.z1) for w in self.walls})
        offsets = [] if loose else [offset_of(n.heater) for n in needs]
        super().__init__(ground, active, closed_heights(active.planes, offsets, bands))
        self.loose, self.budget = loose, budget or Budget(np.inf, {})
        self.bite = np.inf  # least cost near which a limit on length or bends may decide
        self._hubs: dict[int, Hubs] = {}
        self.tables = [self._table(need) for need in needs]

    def _table(self, need: Need) -> Table:
        hubs = self._hubs_at(offset_of(need.heater))
        ground = self.ground
        extras = [extras_in(ground.air, ground.survey, r, need) for r in ground.building.rooms]
        meter = self.ground.survey.prices["gas.meter_upgrade"].units_each
        fixed = self._fixed(need, hubs, extras)
        offers = self._offers(need, hubs, fixed.copy())
        table = Table(need, hubs, extras, fixed, offers, meter, len(services_of(need)))
        self._mask(table)
        return table

    def _offers(self, need: Need, hubs: Hubs, spent: Floats) -> dict[Service, Offer]:
        """Offers one by one, each only as far as the budget goes at hubs that can still win."""
        services = services_of(need)
        least = self.budget.least
        offers: dict[Service, Offer] = {}
        for k, service in enumerate(services):
            rest = sum(least.get(s, 0.0) for s in services[k + 1 :])
            left = np.where(np.isfinite(spent), self.budget.units - rest, -np.inf) - np.minimum(spent, LARGE)
            alive = left >= least.get(service, 0.0)
            if not alive.any():
                return offers  # nothing here can win: the table stays without a total
            self.ceilings[service] = float(left[alive].max(initial=0.0))
            offers[service] = offer_of(self, service, need, hubs, alive, self.loose)
            for v in offers[service].variants:
                self.bite = min(self.bite, float((spent + v.raw + rest)[v.near & alive].min(initial=np.inf)))
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
            table.shut[here[covered(zone, table.hubs.s[here], bottom)]] = True
        table.total[table.shut] = np.inf

    def reroute(self, services: list[Service]) -> None:
        """Route some services again, after a zone or an obstacle became active."""
        self.forget_obstacles()
        for table in self.tables:
            for service in self._with_tied(services):
                table.offers[service] = offer_of(self, service, table.need, table.hubs, np.isfinite(table.total))
            table.add_up()
            self._mask(table)

    def _with_tied(self, services: list[Service]) -> list[Service]:
        """The hot run may take the cold one with it."""
        return [*services, Service.HOT] if Service.COLD in services and Service.HOT not in services else services

    def _fixed(self, need: Need, hubs: Hubs, extras: list[Extras | None]) -> Floats:
        prices = self.ground.survey.prices
        riser = tariff_of(prices, Service.VENT, need.heater.vent.system)
        by_room = [np.inf if e is None else float(fixed_units(need.heater, prices, e)) for e in extras]
        walls = self.ground.sheets.walls
        by_wall = [by_room[w.room] + riser.per_mm[w.surface] * need.heater.vent_rise_mm for w in walls]
        return np.array(by_wall)[hubs.wall]

    def _hubs_at(self, offset: int) -> Hubs:
        offset = 0 if self.loose else offset
        if offset not in self._hubs:
            make = loose_hubs_of if self.loose else partial(hubs_of, offset=offset)
            self._hubs[offset] = make(self.walls, self.lattice)
        return self._hubs[offset]


Parts = tuple[float, dict[Service, float]]
"""Fixed cost and cost by service [money units]."""


def least_parts(table: Table) -> Parts:
    """Least fixed cost and least cost of each service over all hubs [money units]."""
    parts = {s: float(o.cost.min(initial=np.inf)) for s, o in table.offers.items()}
    return float(table.fixed.min(initial=np.inf)), parts
