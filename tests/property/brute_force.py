"""Brute force: every heater at every grid place with every terminal on the grid, judged by the checker.

Knows neither the search nor the router. What it finds is a whole lawful design that the checker has
passed, so its cost is an upper bound of the true optimum beyond doubt.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

from service.building.build import build
from service.building.model import Behind, Building
from service.check.check import findings
from service.check.mount import mount_findings
from service.check.prices import quantities
from service.check.terminal import terminal_findings
from service.design import (
    MANIFOLD_DROP_MM,
    NO_EXPOSED_VENT,
    Design,
    Finding,
    Mount,
    Piece,
    Route,
    Service,
    Surface,
    Terminal,
    Verdict,
)
from service.survey.equipment import MONEY_SCALE, Draft, Heater
from service.survey.model import RoomUse, Survey
from service.trades import air, condensate, gas, water
from tests.property.brute_ends import NEVER, End, gas_ends, line_ends, tied
from tests.property.brute_routes import Goal, Rates, State, Walks, Weights, joined, open_arcs, rates, turns
from tests.property.brute_surfaces import Arc, Grid, Wall, arcs_of, obstacles_of, place, walls_of

STEP_MM, HEIGHT_STEP_MM = 450, 600
BROKEN = (Verdict.FAIL, Verdict.UNKNOWN)
STRETCHES = (0.0, 1.0, 1e4)
"""How much a run is pressed to be short, in units of its own price a millimetre: none, some, at any price."""


@dataclass(frozen=True)
class Run:
    """A lawful run of one service from a place."""

    money: int
    option: str
    pieces: tuple[Piece, ...]
    end_id: str
    pumped: bool = False
    where: tuple[str, int, int] = ("", 0, 0)


@dataclass(frozen=True)
class Spot:
    """Where a heater may be tried: wall, coordinate along it, height of the manifold [mm]."""

    wall: Wall
    c: int
    z: int


@dataclass
class Brute:
    """One house with its grid. ``also`` are further lines: (axis, coordinate [mm])."""

    survey: Survey
    also: tuple[tuple[int, int], ...] = ()
    building: Building = field(init=False)
    walls: list[Wall] = field(init=False)
    grid: Grid = field(init=False)
    lawful_ends: dict[tuple[object, str, int, int], bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.building = build(self.survey)
        self.walls = walls_of(self.building)
        self.grid = _grid(self.survey, self.walls, self.also)

    @cached_property
    def arcs(self) -> list[Arc]:
        """All arcs of the grid."""
        return arcs_of(self.building, self.walls, self.grid)

    @cached_property
    def pipe_arcs(self) -> list[Arc]:
        """Arcs open to thin pipes."""
        return open_arcs(self.arcs, obstacles_of(self.building, self.walls), 0)

    def best(self) -> Design | None:
        """Cheapest lawful design on the grid, passed by the checker in full; None if there is none."""
        found = [d for h in self.survey.heaters if self._can_have(h) for d in [OneHeater(self, h).best()] if d]
        return min(found, key=lambda d: units_of(self.survey, self.building, d), default=None)

    def _can_have(self, heater: Heater) -> bool:
        supply = self.survey.gas
        pressure = supply.pressure_pa - supply.allowable_drop_pa >= heater.gas_inlet_min_pa
        pressure = pressure and supply.pressure_pa <= heater.gas_inlet_max_pa
        return pressure and self.survey.site.fuel in heater.fuels and not (heater.condensing and not self.survey.drains)


def _grid(survey: Survey, walls: list[Wall], also: Iterable[tuple[int, int]]) -> Grid:
    grid = Grid()
    for w in walls:
        grid.add(w.axis, w.lo, w.hi, *range(w.lo + STEP_MM, w.hi, STEP_MM))
        grid.add(1 - w.axis, w.plane)
        grid.add(2, w.face.z0, w.face.z1, *range(w.face.z0 + HEIGHT_STEP_MM, w.face.z1, HEIGHT_STEP_MM))
    for axis, value in also:
        grid.add(axis, value)
    return grid


def units_of(survey: Survey, building: Building, design: Design) -> int:
    """Money units of a design, its quantities taken by the checker."""
    book, heater = survey.prices, design.heater
    total = heater.price_cents * MONEY_SCALE
    for key, n in quantities(building, design).items():
        if not key.startswith("heater."):
            total += n * (book[key].units_per_mm if book[key].per.value != "each" else book[key].units_each)
    return total


def broken(found: Iterable[Finding]) -> list[Finding]:
    """What fails or stays unknown, the bill's lines aside (the brute force writes none)."""
    return [f for f in found if f.verdict in BROKEN and not f.rule_id.startswith("price.")]


class OneHeater:
    """Every place for one heater of a house."""

    def __init__(self, brute: Brute, heater: Heater) -> None:
        self.brute, self.heater = brute, heater
        self.offset = MANIFOLD_DROP_MM + heater.height_mm + heater.vent_rise_mm
        self.survey, self.building, self.walls = brute.survey, brute.building, brute.walls
        self.grid = Grid(tuple(list(line) for line in brute.grid.lines))  # type: ignore[arg-type]
        self.spots = self._spots()
        self._add_ends()
        self.arcs = arcs_of(self.building, self.walls, self.grid)
        obstacles = obstacles_of(self.building, self.walls)
        self.thin = open_arcs(self.arcs, obstacles, 0)
        barred = {w.face.id for w in self.walls if self.building.rooms[w.room].use in NO_EXPOSED_VENT}
        wide = open_arcs(self.arcs, obstacles, heater.vent.pipe_radius_mm)
        self.wide = [a for a in wide if a.sheet not in barred]

    def _spots(self) -> list[Spot]:
        """Places by wall line and height; both heights that a heater ties become grid lines."""
        heights = {
            w.face: sorted({*self.grid.between(2, w.face.z0 + 1, w.face.z1 - self.offset), w.face.z1 - self.offset})
            for w in self.walls
        }
        for face, found in heights.items():
            kept = [z for z in found if z > face.z0]
            heights[face] = kept
            self.grid.add(2, *kept, *(z + self.offset for z in kept))
        return [Spot(w, c, z) for w in self.walls for z in heights[w.face] for c in self.grid.between(w.axis, w.lo, w.hi)]

    def _add_ends(self) -> None:
        points = [(n.id, n.at, False) for n in self.survey.gas.nodes]
        points += [(w.id, p, False) for w in (*self.survey.water.cold, *self.survey.water.hot) for p in w.points]
        points += [(d.id, d.at, True) for d in self.survey.drains]
        points += [(x.id, x.at, False) for x in self.survey.receptacles]
        for end_id, at, walls_only in points:
            end = tied(self.building, self.walls, end_id, at, walls_only)
            for axis in range(3):
                self.grid.add(axis, end.node[1 + axis])

    def best(self) -> Design | None:
        """Cheapest lawful place: services first, then the checker on mount, terminal and the whole."""
        services = self._services()
        priced = []
        for spot in self.spots:
            fixed = self._fixed(spot)
            lower = [s.lower(spot) for s in services]
            if fixed is not None and None not in lower:
                priced.append((fixed + sum(x for x in lower if x is not None), spot))
        priced.sort(key=lambda e: e[0])
        found: tuple[int, Design] | None = None
        for bound, spot in priced:
            if found and bound >= found[0]:
                break
            design = self._design(spot, services)
            if design and (found is None or units_of(self.survey, self.building, design) < found[0]):
                found = units_of(self.survey, self.building, design), design
        return found[1] if found else None

    def _design(self, spot: Spot, services: list[_Offer]) -> Design | None:
        if broken(mount_findings(self.survey, self.building, self._bare(spot))):
            return None
        runs = [(s.service, s.run(spot)) for s in services]
        if any(run is None for _, run in runs):
            return None
        routes = tuple(self._route(service, run, spot) for service, run in runs if run)
        vent = next(run for service, run in runs if service is Service.VENT and run)
        design = replace(self._bare(spot), terminal=Terminal(*vent.where), routes=routes)
        wrong = broken(findings(self.survey, self.building, design))
        assert not wrong, f"the brute force built an unlawful design: {wrong}"
        fixed = self._fixed(spot)
        expected = sum(run.money for _, run in runs if run) + (fixed or 0)
        exact = units_of(self.survey, self.building, design)
        assert exact == expected, f"the brute force priced {expected}, the checker's quantities {exact}"
        return design

    def _bare(self, spot: Spot) -> Design:
        mount = Mount(spot.wall.face.id, spot.wall.along(spot.c), spot.z + MANIFOLD_DROP_MM)
        extra = self._openings(spot)
        upgrade = not gas.meter_ok(self.survey.gas, self.heater.input_max_w)
        return Design(self.heater, mount, Terminal("none", 0, 0), (), bool(extra), upgrade, (), 0)

    def _route(self, service: Service, run: Run, spot: Spot) -> Route:
        pieces = run.pieces
        if service is Service.VENT:
            x, y, _ = place(spot.wall.node(spot.c, 0))
            top = spot.z + self.offset
            riser = Piece((x, y, top - self.heater.vent_rise_mm), (x, y, top), spot.wall.surface)
            pieces = joined([riser, *pieces])
        here = place(spot.wall.node(spot.c, spot.z))
        pieces = pieces or (Piece(here, here, Surface.STUB),)
        return Route(service, run.option, run.end_id, pieces, turns(pieces), pumped=run.pumped)

    def _openings(self, spot: Spot) -> bool | None:
        """Whether air openings are needed; None if they are but the room has no outer wall."""
        room = self.building.rooms[spot.wall.room]
        others = sum(a.input_w for a in self.survey.gas.appliances if a.room == room.id and a.direct_vent is not True)
        if self.heater.draft is Draft.DIRECT or air.room_air_ok(room.volume_m3, others + self.heater.input_max_w):
            return False
        outer = any(t.behind is Behind.OUTDOORS for w in self.walls if w.room == spot.wall.room for t in w.face.stretches)
        return True if outer else None

    def _fixed(self, spot: Spot) -> int | None:
        """Money of all that is bought by the piece, and of the vent's riser."""
        openings = self._openings(spot)
        if openings is None:
            return None
        book, heater = self.survey.prices, self.heater
        keys = ["mount.hang", "power.receptacle", f"vent.{heater.vent.system}.terminal", "gas.tap", "gas.connection"]
        keys += ["water.tap", "water.connection"] * 2
        keys += ["mount.garage_guard"] * (self.building.rooms[spot.wall.room].use is RoomUse.GARAGE)
        keys += ["air.openings"] * openings
        keys += ["gas.meter_upgrade"] * (not gas.meter_ok(self.survey.gas, heater.input_max_w))
        keys += ["drain.connection", "drain.neutraliser"] * heater.condensing
        riser = rates(book, Service.VENT, heater.vent.system).of(spot.wall.surface, heater.vent_rise_mm)
        return heater.price_cents * MONEY_SCALE + riser + sum(book[k].units_each for k in keys)

    def _services(self) -> list[_Offer]:
        from tests.property.brute_offers import offers_of

        return offers_of(self)
