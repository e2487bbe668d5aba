"""The proof of a search written down: relaxations and what they bound, computed again without budget or settling."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from service.design import MANIFOLD_DROP_MM, Design, Service
from service.routing.ends import Anchor
from service.routing.tariff import Floats
from service.siting.active import Active
from service.siting.certificate import (
    CaseBounds,
    Certificate,
    GasStep,
    ServiceCost,
    SurfaceBound,
    TapStep,
    limits_of,
)
from service.siting.costing import intake_units, route_units, works_units
from service.siting.eager import bar
from service.siting.gas_plan import Tapping
from service.siting.ground import Ground, first_planes
from service.siting.needs import Need
from service.siting.outcome import Outcome
from service.siting.scope import covers_network, scope_of
from service.siting.search import search
from service.siting.stage import Stage
from service.siting.table import Table
from service.siting.tariffs import vent_tariff
from service.siting.zones import Zones
from service.survey.equipment import PriceBook
from service.survey.model import GasMethod

ONCE = {
    Service.GAS: ("gas.tap", "gas.connection"),
    Service.COLD: ("water.tap", "water.connection"),
    Service.HOT: ("water.tap", "water.connection"),
    Service.DRAIN: ("drain.connection", "drain.neutraliser"),
}
"""What is bought once for a run wherever it leads; the search counts it with the heater."""


def certificate_of(
    ground: Ground, zones: Zones, outcome: Outcome, seconds: float, clock: Callable[[], float] = time.monotonic
) -> Certificate | None:
    """The certificate of the first design; None where it is not proven, or a heater that was never looked at closer
    cannot be closed within ``seconds`` [s]."""
    if not outcome.designs or outcome.cost_units is None or outcome.bound_units < outcome.cost_units:
        return None
    return _Work(ground, zones, outcome, clock() + seconds, clock).done()


@dataclass
class _Work:
    ground: Ground
    zones: Zones
    outcome: Outcome
    deadline: float
    clock: Callable[[], float]
    boards: list[Active] = field(default_factory=list)

    def done(self) -> Certificate | None:
        ground, design = self.ground, self.outcome.designs[0]
        cost = round(self.outcome.cost_units or 0)
        loose = self._loose()
        self.boards.append(loose.active)
        cases: list[CaseBounds] = []
        services: tuple[ServiceCost, ...] = ()
        for h, need in enumerate(ground.needs):
            table, board = loose.tables[h], 0
            if limits_aside(loose.active, table).min(initial=np.inf) < cost:
                active = self._active_of(h)
                if active is None:
                    return None
                board, table = len(self.boards), Stage(ground, active, (need,)).tables[0]
                self.boards.append(active)
            if _is_of(need, design):
                services = _services(ground, self.boards[board], table, design)
            cases.append(_case(self.boards[board], need, board, table))
        own = sum(s.design_units for s in services)
        network, scope = covers_network(ground, self.outcome), scope_of(ground, self.outcome)
        limits = limits_of(design.heater.vent, design.outdoors)
        return Certificate(
            cost, network, scope, tuple(self.boards), tuple(cases), services, limits, cost - own,
            _steps(ground, design),
        )  # fmt: skip

    def _loose(self) -> Stage:
        active = Active(first_planes(self.ground, self.ground.needs))
        if any(self.ground.pressures.values()):
            bar(self.ground, active, (0,))
        # at any level, so that planes that nobody needs change no figure
        return Stage(self.ground, active, self.ground.needs, loose=True, any_level=True)

    def _active_of(self, h: int) -> Active | None:
        """What was cut in for a heater; one that shared another's bounds is searched by itself."""
        need = self.ground.needs[h]
        if need.behind is None and h in self.outcome.actives:
            return self.outcome.actives[h]
        alone = replace(self.ground, needs=(replace(need, behind=None),))
        found = search(alone, self.zones, 1, self.deadline, self.clock)
        return None if found.cut_off else found.actives.get(0)


def _case(active: Active, need: Need, board: int, table: Table) -> CaseBounds:
    total = limits_aside(active, table)
    least = {int(s): float(total[table.hubs.surface == s].min()) for s in np.unique(table.hubs.surface)}
    bounds = tuple(SurfaceBound(s, round(u) if np.isfinite(u) else None) for s, u in sorted(least.items()))
    return CaseBounds(need.heater.label, need.outdoors, board, board == 0, bounds)


def limits_aside(active: Active, table: Table) -> Floats:
    """Least total at every hub as if no limit bound any run, infinite where zones shut it, shape (hubs,)."""
    if len(table.offers) < table.services:
        return np.full(len(table.fixed), np.inf)
    total = table.fixed + sum(np.min([v.raw for v in o.variants], axis=0) for o in table.offers.values())
    shut, hubs = table.shut.copy(), table.hubs
    for key, surface, s, bottom in active.shut_hubs:
        if key == table.need.key:
            shut |= (hubs.surface == surface) & (hubs.s == s) & (hubs.manifold_z + MANIFOLD_DROP_MM == bottom)
    return np.where(shut, np.inf, total)


def _is_of(need: Need, design: Design) -> bool:
    return need.heater.label == design.heater.label and need.outdoors == design.outdoors


def _services(ground: Ground, active: Active, table: Table, design: Design) -> tuple[ServiceCost, ...]:
    """Least and own cost of each service, with what is bought once for it and the vent's upright piece."""
    prices = ground.survey.prices
    is_open = np.isfinite(limits_aside(active, table))
    out = []
    for service in table.offers:
        raw = _cheapest(table, service) + sum(prices[k].units_each for k in ONCE.get(service, ()))
        if service is Service.VENT:
            riser, walls = vent_tariff(prices, design.heater.vent).per_mm, ground.sheets.walls
            rise = design.heater.vent_rise_mm
            raw = raw + np.array([riser[w.surface] * rise for w in walls], dtype=float)[table.hubs.wall]
        out.append(ServiceCost(service, round(float(raw[is_open].min())), _own_units(ground, design, service)))
    return tuple(out)


def _cheapest(table: Table, service: Service) -> Floats:
    """Cheapest of a service by itself at every hub, limits aside: a hot run pays here what its cold one costs more."""
    variants, joint = table.offers[service].variants, table.paired
    if service is Service.COLD and joint:
        return np.asarray(np.min([v.cold.raw for v in joint], axis=0))
    if service is not Service.HOT or not joint:
        return np.asarray(np.min([v.raw for v in variants], axis=0))
    base = table.offers[Service.COLD].cost
    with np.errstate(invalid="ignore"):
        own = [np.where(np.isfinite(v.raw), v.raw - (v.cold.cost - base), np.inf) for v in joint]
    return np.asarray(np.min(own, axis=0))


def _own_units(ground: Ground, design: Design, service: Service) -> int:
    """What a service costs in the design, works on old gas pipe and weighed waiting included."""
    prices, route = ground.survey.prices, design.route(service)
    assert route is not None
    units = route_units(route, prices) + sum(prices[k].units_each for k in ONCE.get(service, ()))
    if service is Service.GAS:
        units += works_units(replace(design.gas, service_regulator=False), ground.survey.gas, prices)
    if service is Service.HOT and ground.waiting is not None:
        units += ground.waiting.of(route)
    return units + (_intake(ground, design, prices) if service is Service.VENT else 0)


def _intake(ground: Ground, design: Design, prices: PriceBook) -> int:
    vent = design.route(Service.VENT)
    assert vent is not None
    through = vent.pieces[-1].start
    wall = next(
        (w for w in ground.sheets.walls if w.face.z0 <= through[2] <= w.face.z1 and not w.is_skew
         and w.plane == through[w.normal_axis] and w.span[0] <= through[w.axis] <= w.span[1]), None,
    )  # fmt: skip
    return intake_units((vent,), design.heater.vent, None if wall is None else wall.surface, prices)


def _steps(ground: Ground, design: Design) -> tuple[GasStep, ...]:
    """The staircase of the design's heater at the nodes of the old piping."""
    need = next(n for n in ground.needs if _is_of(n, design))
    if ground.survey.gas.method is GasMethod.PRESSURE or not need.gas.is_rigid:
        return ()
    anchors = ground.ends[Service.GAS].anchors
    return tuple(_step(t, anchors) for run in need.gas.runs(anchors) for t in run if not t.is_shut)


def _step(tapping: Tapping, anchors: tuple[Anchor, ...]) -> GasStep:
    feed = tapping.feed
    taps: dict[str, TapStep] = {}
    for i, anchor in enumerate(anchors):
        units = float(tapping.charges.units[i])
        if np.isfinite(units):
            taps[anchor.end_id] = TapStep(anchor.end_id, round(units), round(float(tapping.upstream[i])))
    named = feed.pressure.id if feed.pressure else "as delivered"
    at = f"{named}, from {feed.network.zones[feed.zone].root}" + (", own regulator" if feed.set_point else "")
    return GasStep(tapping.branch.name, round(tapping.limit_mm), at, tuple(taps.values()))
