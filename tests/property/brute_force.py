"""Brute force: every heater at every grid place with every terminal on the grid, judged by the checker.

Knows neither the search nor the router. What it finds is a whole lawful design that the checker has
passed, so its cost is an upper bound of the true optimum beyond doubt.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial

import numpy as np

from service.building.build import build
from service.building.model import Building
from service.check.check import findings
from service.check.mount import mount_findings
from service.check.prices import quantities
from service.design import (
    MANIFOLD_DROP_MM,
    NO_EXPOSED_VENT,
    AirProvision,
    Design,
    Finding,
    GasWorks,
    Mount,
    Piece,
    Route,
    Service,
    Surface,
    Terminal,
    Verdict,
)
from service.survey.equipment import MONEY_SCALE, Draft, Heater, Per
from service.survey.model import RoomUse, Survey, WaterItem
from service.trades.air import opens_outdoors
from service.trades.gas_equation import ROUNDING
from tests.property.brute_air import cheapest_air
from tests.property.brute_ends import tied
from tests.property.brute_gas import GasOffer, GasRun
from tests.property.brute_offers import House, Offer, Run, Spot, offers_of
from tests.property.brute_routes import Floats, Mask, Mesh, Numbers, Walks, joined, turns
from tests.property.brute_surfaces import Arc, Box, Grid, Wall, arcs_of, enters, obstacles_of, place, walls_of
from tests.property.brute_twin import intake_of, terminal_of, thick_mm, vent_rates
from tests.property.brute_waiting import weighed_units

STEP_MM, HEIGHT_STEP_MM = 450, 600
BATCH = 30
"""Terminals are judged for so many places at once."""
Line = tuple[int, int]
"""One more grid line: axis and coordinate [mm]."""


def cheapest(
    survey: Survey, also: Iterable[Line] = (), hangs: Callable[[Heater, Mount], bool] = lambda _h, _m: True
) -> tuple[int, Design] | None:
    """Money units and design of the best on the grid, its lines ``also`` counted, over the mounts that ``hangs`` lets
    pass; None if nothing is lawful."""
    building = build(survey)
    best: tuple[int, Design] | None = None
    vented = [v for heater in survey.heaters for v in heater.vented]
    for heater in sorted(vented, key=lambda h: h.price_cents):
        if _can_have(survey, heater):
            places = Places(survey, building, heater, tuple(also))
            found = places.best(best[0] if best else np.inf, partial(hangs, heater))
            best = found or best
    return best


def walks_of(survey: Survey) -> Walks:
    """Walks of the first heater's vent on the plain grid, for a check of the walks themselves."""
    return Places(survey, build(survey), survey.heaters[0], ()).vent.options[0].walks(0.0)


def _can_have(survey: Survey, heater: Heater) -> bool:
    return survey.site.fuel in heater.fuels and not (heater.condensing and not survey.drains)


def _drawn_w(survey: Survey, heater: Heater) -> float:
    """What is drawn at once with the heater: all, or the stated share, but never less than the largest input."""
    inputs = [*(a.input_w for a in survey.gas.appliances), heater.input_max_w]
    share = survey.gas.diversity
    return sum(inputs) if share is None else max(share * sum(inputs), *inputs)


def water_things(survey: Survey) -> tuple[WaterItem, ...]:
    """What is bought for the water, from the facts: a tank for a closed house that has none, a mixing valve over
    120 degF (48.9 degC)."""
    water = survey.water
    tank = (water.check_valve or water.reducing_valve) and not water.expansion_tank
    valve = water.setpoint_c is not None and water.setpoint_c > 48.9 and not water.mixing_valve
    return (WaterItem.EXPANSION_TANK,) * bool(tank) + (WaterItem.MIXING_VALVE,) * valve


def units_of(survey: Survey, building: Building, design: Design) -> int:
    """Money units of a design, its quantities taken by the checker, and of what its waiting weighs."""
    total = design.heater.price_cents * MONEY_SCALE
    for key, n in quantities(survey, building, design).items():
        if not key.startswith("heater."):
            price = survey.prices[key]
            total += n * (price.units_each if price.per is Per.EACH else price.units_per_mm)
    return total + weighed_units(survey, design)


def broken(found: Iterable[Finding]) -> list[Finding]:
    """What fails or stays unknown, the bill's lines aside (the brute force writes none)."""
    wrong = (Verdict.FAIL, Verdict.UNKNOWN)
    return [f for f in found if f.verdict in wrong and not f.rule_id.startswith("price.")]


class Places:
    """Every place for one heater of a house."""

    def __init__(self, survey: Survey, building: Building, heater: Heater, also: tuple[Line, ...]) -> None:
        self.survey, self.building, self.heater = survey, building, heater
        drawn, passes = _drawn_w(survey, heater), survey.gas.service_regulator_w
        self.airs: dict[str, tuple[int, AirProvision] | None] = {}
        self.larger_meter = drawn > survey.gas.meter_capacity_w * ROUNDING
        self.larger_regulator = passes is not None and drawn > passes * ROUNDING
        self.offset = MANIFOLD_DROP_MM + heater.height_mm + heater.vent_rise_mm if heater.indoors else 0
        self.walls = walls_of(building)
        self.grid = _grid(survey, building, self.walls, also)
        self.spots = self._spots()
        if self.spots:
            self._offers()

    def _offers(self) -> None:
        self.vent, others = offers_of(self._house())
        self.offers = [self.vent, *others]
        self.others = [o for o in self.offers if o.service is not Service.GAS]

    def _house(self) -> House:
        arcs, obstacles = self._arcs(), obstacles_of(self.building, self.walls)
        mesh = Mesh(arcs)
        barred = {w.face.id for w in self.walls if self.building.rooms[w.room].use in NO_EXPOSED_VENT}
        wide = open_arcs(arcs, obstacles, thick_mm(self.heater.vent))
        wide &= np.array([a.sheet not in barred for a in arcs])
        manifolds = [[mesh.state(s.wall.node(s.c, s.z), k) for k in range(3)] for s in self.spots]
        risers = [[mesh.state(s.wall.node(s.c, s.z + self.offset), 2)] for s in self.spots]
        return House(
            self.survey, self.building, self.walls, self.grid, mesh, self.heater, open_arcs(arcs, obstacles, 0), wide,
            self.spots, np.array(manifolds).reshape(-1, 3), np.array(risers).reshape(-1, 1),
        )  # fmt: skip

    def _arcs(self) -> list[Arc]:
        return arcs_of(self.building, self.walls, self.grid)

    def _spots(self) -> list[Spot]:
        """Places by wall line and height; both heights that a heater ties become grid lines."""
        spots = []
        heights = {w.face.id: self._heights(w) for w in self.walls}
        for w in self.walls:
            self.grid.add(2, *heights[w.face.id], *(z + self.offset for z in heights[w.face.id]))
        for w in self.walls:
            spots += [Spot(w, c, z) for c in self.grid.between(w.axis, w.lo, w.hi) for z in heights[w.face.id]]
        return spots

    def _heights(self, w: Wall) -> list[int]:
        top = w.face.z1 - self.offset
        tied_to = [z - self.offset for z in self.grid.between(2, w.face.z0, w.face.z1)]
        return sorted(z for z in {top, *self.grid.between(2, w.face.z0 + 1, top), *tied_to} if w.face.z0 < z <= top)

    def best(self, ceiling: float, hangs: Callable[[Mount], bool]) -> tuple[int, Design] | None:
        """Cheapest lawful place below a ceiling: by what it would cost without limits, until none can be cheaper."""
        costs = (self._fixed(spot) if hangs(self._bare(spot).mount) else None for spot in self.spots)
        fixed = np.array([np.inf if f is None else f for f in costs])
        done: dict[int, tuple[int, Design] | None] = {}
        while self.spots and (fixed + self._lower(self.others)).min() < ceiling:
            bounds = fixed + self._lower(self.offers)
            if self._all_tried(np.argsort(bounds, kind="stable"), bounds, done, ceiling):
                break
        found = min((f for f in done.values() if f), key=lambda f: f[0], default=None)
        return found if found and found[0] < ceiling else None

    def _lower(self, offers: Iterable[Offer | GasOffer]) -> Floats:
        return np.asarray(np.sum([o.lower() for o in offers], axis=0), dtype=np.float64)

    def _all_tried(
        self, order: Numbers, bounds: Floats, done: dict[int, tuple[int, Design] | None], ceiling: float
    ) -> bool:
        """Try places in order while they could win; False when terminals were struck out, so that bounds rise."""
        best = min((f[0] for f in done.values() if f), default=ceiling)
        for n, i in enumerate(order.tolist()):
            if bounds[i] >= best or not np.isfinite(bounds[i]):
                return True
            if i not in done and self._may_not_hang(self.spots[i]):
                done[i] = None
            if i in done:
                continue
            if not self._ends_lawful(order[n : n + BATCH].tolist()):
                return False
            done[i] = here = self._lawful(i)
            best = min(best, here[0]) if here else best
        return True

    def _may_not_hang(self, spot: Spot) -> bool:
        return bool(broken(mount_findings(self.survey, self.building, self._bare(spot))))

    def _ends_lawful(self, places: list[int]) -> bool:
        return all(o.ends_lawful(places) for o in self.vent.options)

    def _lawful(self, i: int) -> tuple[int, Design] | None:
        """Money units and design at a place, passed by the checker in full; None if it is not lawful."""
        spot = self.spots[i]
        runs = [(o.service, run) for o in self.offers if (run := o.run(i, spot))]
        if len(runs) < len(self.offers):
            return None
        routes = tuple(self._route(service, run, spot) for service, run in runs)
        bare = self._bare(spot)
        works = next(run.works for _, run in runs if isinstance(run, GasRun))
        works = replace(works, service_regulator=bare.gas.service_regulator)
        design = replace(self._ended(bare, runs[0][1]), routes=routes, gas=works)
        wrong = broken(findings(self.survey, self.building, design))
        assert not wrong, f"{self.survey.name}: the brute force built an unlawful design: {wrong}, {design.gas}"
        return units_of(self.survey, self.building, design), design

    def _ended(self, bare: Design, vent: Run | GasRun) -> Design:
        return replace(bare, terminal=terminal_of(vent.end), intake=intake_of(vent.end, self.heater.vent))

    def _bare(self, spot: Spot) -> Design:
        mount = Mount(spot.wall.face.id, spot.wall.along(spot.c), spot.z + MANIFOLD_DROP_MM)
        works = GasWorks(service_regulator=self.larger_regulator)
        found = self._air(spot)
        air = found[1] if found else None
        outdoors = air is not None and opens_outdoors(air.method)
        terminal, meter = Terminal("none", 0, 0), self.larger_meter
        items = water_things(self.survey)
        return Design(self.heater, mount, terminal, (), outdoors, meter, (), 0, works, air=air, water_items=items)

    def _route(self, service: Service, run: Run | GasRun, spot: Spot) -> Route:
        here = place(spot.wall.node(spot.c, spot.z))
        pieces = run.pieces or (Piece(here, here, Surface.STUB),)
        if service is Service.VENT:
            top = spot.z + self.offset
            riser = Piece((*here[:2], top - self.heater.vent_rise_mm), (*here[:2], top), spot.wall.surface)
            return Route(service, run.option, run.end.sheet, joined([riser, *pieces]), turns([riser, *pieces]))
        return Route(service, run.option, run.end.id, pieces, turns(pieces), pumped=run.pumped)

    def _air(self, spot: Spot) -> tuple[int, AirProvision | None] | None:
        """Cents and way of combustion air in a place's room; None if it can have none."""
        if self.heater.draft is Draft.DIRECT:
            return 0, None
        room = self.building.rooms[spot.wall.room].id
        if room not in self.airs:
            self.airs[room] = cheapest_air(self.survey, self.building, room, self.heater)
        return self.airs[room]

    def _fixed(self, spot: Spot) -> int | None:
        """Money of all bought by the piece but for what the vent ends in, and of its riser; None without air."""
        air, book, heater = self._air(spot), self.survey.prices, self.heater
        if air is None:
            return None
        keys = ["mount.hang", "gas.tap", "gas.connection"]
        keys += ["water.tap", "water.connection"] * 2
        keys += ["mount.garage_guard"] * (self.building.rooms[spot.wall.room].use is RoomUse.GARAGE)
        keys += ["gas.meter_upgrade"] * self.larger_meter + ["gas.service_regulator"] * self.larger_regulator
        keys += ["drain.connection", "drain.neutraliser"] * heater.condensing
        keys += [f"water.{item}" for item in water_things(self.survey)]
        riser = vent_rates(book, heater.vent).of(spot.wall.surface, heater.vent_rise_mm)
        each = sum(book[k].units_each for k in keys)
        return (heater.price_cents + air[0]) * MONEY_SCALE + riser + each


def open_arcs(arcs: Iterable[Arc], obstacles: dict[str, list[Box]], margin: int) -> Mask:
    """Which arcs enter no obstacle grown by ``margin``."""
    return np.array([not any(enters(a.box, o, margin) for o in obstacles.get(a.sheet, ())) for a in arcs])


def _grid(survey: Survey, building: Building, walls: list[Wall], also: tuple[Line, ...]) -> Grid:
    """Wall lines and a mesh between them, the places of all ends, and the lines asked for."""
    grid = Grid()
    for w in walls:
        grid.add(w.axis, w.lo, w.hi, *range(w.lo + STEP_MM, w.hi, STEP_MM))
        grid.add(1 - w.axis, w.plane)
        grid.add(2, w.face.z0, w.face.z1, *range(w.face.z0 + HEIGHT_STEP_MM, w.face.z1, HEIGHT_STEP_MM))
    points = [(n.id, n.at, False) for n in survey.gas.nodes]
    points += [(x.id, x.at, False) for x in survey.receptacles]
    points += [(d.id, d.at, True) for d in survey.drains]
    points += [(w.id, p, False) for w in (*survey.water.cold, *survey.water.hot) for p in w.points]
    for end_id, at, walls_only in points:
        for axis, value in enumerate(tied(building, walls, end_id, at, walls_only).node[1:]):
            grid.add(axis, value)
    for n in survey.gas.nodes:
        for axis, value in enumerate(n.at):
            grid.add(axis, value)
    for axis, value in also:
        grid.add(axis, value)
    return grid


def lines_of(design: Design) -> list[Line]:
    """Every coordinate at which a design bends, begins or ends, as grid lines."""
    points = {p for r in design.routes for piece in r.pieces for p in (piece.start, piece.end)}
    return sorted({(axis, p[axis]) for p in points for axis in range(3)})
