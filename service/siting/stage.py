"""One round of the search: a lattice, the fields on it, and what every heater costs at every hub."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from service.deadline import look
from service.design import MANIFOLD_DROP_MM, Service
from service.routing.planes import Ints, Lines, Planes, closed_heights
from service.routing.sheets import WallSheet
from service.routing.tariff import Floats
from service.siting.active import Active, MountKey
from service.siting.costing import Extras, fixed_units
from service.siting.ground import Ground
from service.siting.hot_runs import are_tied
from service.siting.hubs import ANY_LEVEL, Hubs, LooseHubs, hubs_of, offset_of, outdoor_hubs_of, walls_of
from service.siting.needs import Need
from service.siting.offers import Offer
from service.siting.services import asked_of, floor_of, offer_of
from service.siting.table import Table
from service.siting.tariffs import vent_tariff
from service.siting.terminals import closed_by
from service.siting.ways import Regions, Ways

LARGE = 1e300
ORDER = (Service.VENT, Service.POWER, Service.HOT, Service.COLD, Service.DRAIN, Service.GAS)
"""Vents tell hubs apart best and gas is the dearest to compute."""
LATE = (Service.VENT, Service.DRAIN)
"""Of bounds what few heaters share, or few take: looked at for those alone that could win if it were next to free."""


def services_of(need: Need) -> list[Service]:
    """Services that a heater takes, in the order in which they are looked at."""
    spared = {Service.DRAIN: not need.heater.condensing, Service.VENT: need.outdoors}
    return [s for s in ORDER if not spared.get(s, False)]


@dataclass(frozen=True, slots=True)
class Budget:
    """Most that a design may cost, and least that each service costs anywhere [money units]."""

    units: float
    least: Mapping[Service, float]


class Stage(Ways):
    """Lattice and tables for what is active; built anew each round, never changed by other modules."""

    def __init__(
        self, ground: Ground, active: Active, needs: tuple[Need, ...], loose: bool = False,
        budget: Budget | None = None, regions: Regions | None = None, any_level: bool = False, in_part: bool = False,
    ) -> None:  # fmt: skip
        """``loose`` lets the vent start at the levels that there are, for bounds alone, near its own or at
        ``any_level``; with a ``budget`` (for one heater) routes of designs above it need not be known; no more of the
        house is in question than ``regions``; ``in_part`` leaves ``LATE`` services to ``complete``."""
        every = range(len(ground.sheets.walls) + len(ground.building.facades))
        self.surfaces = frozenset(every if regions is None else regions.hubs)
        self.walls = walls_of(ground.sheets, self.surfaces)
        self.bands = sorted({(w.face.z0, w.face.z1) for w in ground.sheets.walls})
        offsets = [] if loose else [_offset(n) for n in needs]
        outdoors = any(n.outdoors for n in needs)
        super().__init__(ground, active, closed_heights(active.planes, offsets, self.bands), outdoors, regions)
        self.regions, self.any_level = regions, any_level
        self.closed_hubs: dict[MountKey, set[int]] = {}
        self.loose, self.budget = loose, budget or Budget(np.inf, {})
        self.bite = np.inf  # least cost near which a limit on length or bends may decide
        self._hubs: dict[int | None, Hubs] = {}
        self._alike: dict[Hashable, Offer] = {}
        self._lines_but: dict[tuple[str, int], tuple[Planes, Ints]] = {}
        self.tables = [self._table(need, in_part) for need in needs]

    def _table(self, need: Need, in_part: bool) -> Table:
        look()
        hubs = self._hubs_of(need)
        extras = self.ground.extras(need)
        meter = self.ground.survey.prices["gas.meter_upgrade"].units_each
        fixed, services = self._fixed(need, hubs, extras), services_of(need)
        offers = self._offers(need, hubs, fixed.copy(), [s for s in services if not in_part or s not in LATE])
        table = Table(need, hubs, extras, fixed, offers, meter, len(services))
        if len(offers) < len(services) and in_part:
            table.add_at_least(sum(floor_of(self, s, need) for s in LATE if s in services))
        self._mask(table)
        return table

    def complete(self, table: Table) -> None:
        """Offer what a table of bounds was made without."""
        missing = [s for s in services_of(table.need) if s not in table.offers]
        table.offers |= self._offers(table.need, table.hubs, table.fixed.copy(), missing)
        table.add_up()
        self._mask(table)

    def _offers(self, need: Need, hubs: Hubs, spent: Floats, services: Sequence[Service]) -> dict[Service, Offer]:
        """Offers one by one, each only as far as the budget goes at hubs that can still win."""
        least = self.budget.least
        offers: dict[Service, Offer] = {}
        for k, service in enumerate(services):
            rest = sum(least.get(s, 0.0) for s in services[k + 1 :])
            left = np.where(np.isfinite(spent), self.budget.units - rest, -np.inf) - np.minimum(spent, LARGE)
            alive = left >= least.get(service, 0.0)
            room = np.where(alive, left, -np.inf)
            if not alive.any():
                return offers  # nothing here can win: the table stays without a total
            self.cap(service, need, float(left[alive].max(initial=0.0)))
            offers[service] = self._offer(service, need, hubs, room)
            for v in offers[service].variants:
                self.bite = min(self.bite, float((spent + v.raw + rest)[v.near & alive].min(initial=np.inf)))
            spent += offers[service].cost
        return offers

    def cap(self, service: Service, need: Need, units: float) -> None:
        """Routes above ``units`` need not be known, but for cold runs of which a hot one pays the difference."""
        if service is not Service.COLD or not are_tied(self, need):
            self.ceilings[service] = units

    def _offer(self, service: Service, need: Need, hubs: Hubs, room: Floats) -> Offer:
        """What a service costs; among bounds made once for all heaters that ask the same of it."""
        asked = asked_of(self, service, need) if self.loose else None
        if asked is None:
            return offer_of(self, service, need, hubs, room, self.loose)
        key = service, asked, hubs.node.tobytes()
        if key not in self._alike:
            self._alike[key] = offer_of(self, service, need, hubs, np.full(len(room), np.inf), loose=True)
        return self._alike[key]

    def _mask(self, table: Table) -> None:
        """Close the hubs that active mount zones cover, and those found unlawful one by one."""
        key, hubs = table.need.key, table.hubs
        for surface in self.active.mount.get(key, {}):
            self._mask_surface(table, surface)
        for _, surface, s, bottom in (p for p in self.active.shut_hubs if p[0] == key):
            here = (hubs.surface == surface) & (hubs.s == s) & (hubs.manifold_z + MANIFOLD_DROP_MM == bottom)
            table.total[here] = np.inf
        table.total[sorted(self.closed_hubs.get(key, ()))] = np.inf

    def _mask_surface(self, table: Table, surface: int) -> None:
        here = np.flatnonzero(table.hubs.surface == surface)
        bottom = table.hubs.manifold_z[here] + MANIFOLD_DROP_MM
        zones = self.active.mount[table.need.key][surface]
        along, up = table.hubs.lines(surface)
        table.shut[here[closed_by(zones, table.hubs.s[here], bottom, (along, up + MANIFOLD_DROP_MM))]] = True
        table.total[table.shut] = np.inf

    def alone(self, table: Table, active: Active) -> Stage:
        """The same lattices and ways for one of the tables alone, to try what is ``active``; this stage stays as it
        is."""
        other, own = copy(self), copy(table)
        own.offers, own.total, own.shut = dict(table.offers), table.total.copy(), table.shut.copy()
        other.active, other.tables = active, [own]
        other.closed_hubs, other.shut_outlets, other._closed = {}, {}, {}
        other._tracks, other._lengths = dict(self._tracks), dict(self._lengths)
        other._mask(own)
        return other

    def lines_but(self, reason: str, hubs: Hubs, wall: WallSheet) -> Lines:
        """Coordinates along a wall, and levels of its hubs, that are critical for more than a reason that begins so."""
        if (reason, hubs.offset) not in self._lines_but:
            planes = self.cuts.planes.without(reason)
            self._lines_but[reason, hubs.offset] = planes, closed_heights(planes, [hubs.offset], self.bands)
        planes, levels = self._lines_but[reason, hubs.offset]
        return planes.skew_coordinates(wall.face.id) if wall.is_skew else planes.coordinates(wall.axis), levels

    def close_hub(self, table: Table, hub: int) -> None:
        """Close a hub for this round, and whatever the active zones of its surface cover."""
        self.closed_hubs.setdefault(table.need.key, set()).add(hub)
        table.shut[hub] = True
        self._mask_surface(table, int(table.hubs.surface[hub]))

    def reroute(self, services: list[Service]) -> None:
        """Route some services again, after a zone or an obstacle became active."""
        self.forget_obstacles()
        for table in self.tables:
            for service in self._with_tied(services):
                room = table.rooms(service, self.budget.units)
                table.offers[service] = offer_of(self, service, table.need, table.hubs, room, self.loose)
            table.add_up()
            self._mask(table)

    def _with_tied(self, services: list[Service]) -> list[Service]:
        """The cold run and the hot one that goes with it are routed again together."""
        tied = {Service.COLD, Service.HOT}
        return sorted({*services, *tied} if tied & set(services) else services, key=ORDER.index)

    def _fixed(self, need: Need, hubs: Hubs, extras: list[Extras | None]) -> Floats:
        prices, walls = self.ground.survey.prices, self.ground.sheets.walls
        by_room = [np.inf if e is None else float(fixed_units(need.heater, prices, e)) for e in extras]
        if need.outdoors:
            return np.array([by_room[w.room] for w in walls])[hubs.wall]
        riser = vent_tariff(prices, need.heater.vent)
        by_wall = [by_room[w.room] + riser.per_mm[w.surface] * need.heater.vent_rise_mm for w in walls]
        return np.array(by_wall)[hubs.wall]

    def _hubs_of(self, need: Need) -> Hubs:
        """Hubs of a heater, made once for all that are alike; None stands for those outdoors."""
        key = None if need.outdoors else ANY_LEVEL if self.any_level else _offset(need)
        if key not in self._hubs:
            hubs = self._hubs_at(key)
            self._hubs[key] = hubs if self.regions is None else hubs.within(self.regions.hubs)
        return self._hubs[key]

    def _hubs_at(self, offset: int | None) -> Hubs:
        sheets = self.ground.sheets
        if offset is None:
            count = len(sheets.walls)
            before = [k for k in sheets.outer_crossings if count + k.facade_index in self.surfaces]
            return outdoor_hubs_of(before, self.cuts, count)
        if self.loose:
            return self._loose_hubs.about(offset)
        return hubs_of(self.walls, self.cuts, self.lattices[Service.VENT], offset)

    @cached_property
    def _loose_hubs(self) -> LooseHubs:
        return LooseHubs(self.walls, self.cuts, self.lattices[Service.VENT])


def _offset(need: Need) -> int:
    """Height of the vent's first turn above the manifold; outdoors there is none [mm]."""
    return 0 if need.outdoors else offset_of(need.heater)
