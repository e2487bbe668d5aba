"""From a choice on the lattice to a design with routes and a bill."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from service.design import (
    MANIFOLD_DROP_MM,
    Design,
    GasWorks,
    Mount,
    Piece,
    RoofTerminal,
    Route,
    Service,
    Surface,
    Terminal,
)
from service.routing.paths import elbows_on, pieces_of
from service.routing.turns import elbows, merged
from service.siting.costing import bill, fixed_units, intake_units, route_units, works_units
from service.siting.gas_works import works_at
from service.siting.paired import Paired
from service.siting.sleeves import paid_together, units_of
from service.siting.stage import Stage
from service.siting.table import Table
from service.siting.terminals import intake_at, terminal_at
from service.siting.tracks import Path
from service.siting.variants import Variant
from service.survey.equipment import MONEY_SCALE
from service.survey.intake_listing import IntakeSide
from service.trades.vent import equivalent_mm


@dataclass(frozen=True, slots=True)
class Choice:
    """One hub of one table with the settled variant and path of each service."""

    table: Table
    hub: int
    ways: dict[Service, tuple[Variant, Path]]

    @property
    def bottom_z_mm(self) -> int:
        """Bottom of the case [mm]."""
        return int(self.table.hubs.manifold_z[self.hub]) + MANIFOLD_DROP_MM

    @property
    def outlet(self) -> int:
        """Index of the outlet that the vent ends at."""
        variant, path = self.ways[Service.VENT]
        return variant.track.field.sources.names[path.source]

    @property
    def side(self) -> IntakeSide | None:
        """Where the intake is, None where there is none to place."""
        return self.ways[Service.VENT][0].side if Service.VENT in self.ways else None


def choice_at(table: Table, hub: int) -> Choice:
    """The settled offers at a hub."""
    ways = {s: (v := o.chosen(hub), v.path(hub)) for s, o in table.offers.items()}
    if isinstance(hot := ways[Service.HOT][0], Paired):
        ways[Service.COLD] = hot.cold, hot.cold_path(hub)
    return Choice(table, hub, ways)


def design_of(stage: Stage, choice: Choice) -> Design:
    """The design behind a choice. Raises AssertionError if its bill differs from the searched cost."""
    ground, heater = stage.ground, choice.table.need.heater
    wall = ground.sheets.walls[int(choice.table.hubs.wall[choice.hub])]
    extras = choice.table.extras[wall.room]
    assert extras is not None
    mount, terminal, vent = _outdoors(stage, choice) if choice.table.need.outdoors else _indoors(stage, choice)
    others = {s: way for s, way in choice.ways.items() if s not in (Service.VENT, Service.GAS)}
    gas, works = _gas_route(stage, choice)
    routes = (*vent, *(_route(stage, s, *way) for s, way in others.items()), gas)
    survey, prices = ground.survey, ground.survey.prices
    exact = fixed_units(heater, prices, extras) + sum(route_units(r, prices) for r in routes)
    leaves_from = _leaves_from(stage, choice)
    exact += works_units(works, survey.gas, prices) + intake_units(routes, heater.vent, leaves_from, prices)
    weighed = _weighed_units(stage, routes)
    exact += weighed or 0
    holes = paid_together(routes, ground.passing)
    sleeves = tuple(sleeve for sleeve, _ in holes)
    exact += sum(units for _, units in holes) - units_of(sleeves, prices)
    if exact != round(float(choice.table.total[choice.hub])):
        raise AssertionError(f"bill {exact} differs from searched cost {choice.table.total[choice.hub]}")
    lines, total = bill(heater, routes, prices, extras, works, survey.gas, leaves_from, sleeves)
    works = replace(works, service_regulator=extras.service_regulator)
    return Design(
        heater, mount, terminal, routes, extras.air_openings, extras.meter_upgrade, lines, total, works,
        cold_fitting=extras.cold_fitting, air=extras.air, intake=intake_at(terminal, heater.vent, choice.side),
        water_items=extras.water_items,
        weighed_cents=None if weighed is None else round(Fraction(weighed, MONEY_SCALE)), sleeves=sleeves,
    )  # fmt: skip


def _leaves_from(stage: Stage, choice: Choice) -> Surface | None:
    """What the vent leaves the house from; None outdoors, without a vent."""
    if choice.table.need.outdoors:
        return None
    wall = int(stage.outlets.wall[choice.outlet])
    return Surface.ROOF if wall < 0 else stage.ground.sheets.walls[wall].surface


def _weighed_units(stage: Stage, routes: tuple[Route, ...]) -> int | None:
    """What the survey's price on waiting makes of the hot run, None where there is none."""
    waiting = stage.ground.waiting
    return None if waiting is None else waiting.of(next(r for r in routes if r.service is Service.HOT))


def _indoors(stage: Stage, choice: Choice) -> tuple[Mount, Terminal | RoofTerminal, tuple[Route, ...]]:
    """On a wall, with the vent to its terminal."""
    wall = stage.ground.sheets.walls[int(choice.table.hubs.wall[choice.hub])]
    terminal, vent = _vent_route(stage, choice)
    return Mount(wall.face.id, int(choice.table.hubs.s[choice.hub]), choice.bottom_z_mm), terminal, (vent,)


def _outdoors(stage: Stage, choice: Choice) -> tuple[Mount, Terminal, tuple[Route, ...]]:
    """Before a facade, with the flue outlet of the case and no vent."""
    ground, hubs, listing = stage.ground, choice.table.hubs, choice.table.need.heater.outdoor
    assert listing is not None
    facade = ground.building.facades[int(hubs.surface[choice.hub]) - len(ground.sheets.walls)]
    s, bottom = int(hubs.s[choice.hub]), choice.bottom_z_mm
    return Mount("", s, bottom, facade.id), Terminal(facade.id, s, bottom + listing.flue.up_mm), ()


def _vent_route(stage: Stage, choice: Choice) -> tuple[Terminal | RoofTerminal, Route]:
    heater, (variant, path) = choice.table.need.heater, choice.ways[Service.VENT]
    wall = stage.ground.sheets.walls[int(choice.table.hubs.wall[choice.hub])]
    x, y = wall.point(int(choice.table.hubs.c[choice.hub]))
    top = choice.bottom_z_mm + heater.height_mm
    riser = Piece((x, y, top), (x, y, top + heater.vent_rise_mm), wall.surface)
    ends = stage.ends(heater)
    terminal, through = terminal_at(stage.ground.building, stage.ground.sheets, stage.outlets, choice.outlet, ends)
    end_id = terminal.facade_id if isinstance(terminal, Terminal) else terminal.roof_id
    run = pieces_of(variant.track.field, list(path.states))
    pieces = merged([riser, *run, through])
    turns, length = _elbows(variant, path, pieces), sum(p.length_mm for p in pieces)
    equivalent = equivalent_mm(length, turns, heater.vent)
    route = Route(
        Service.VENT, variant.option, end_id, pieces, turns, equivalent, heater.vent.max_equivalent_mm
    )  # fmt: skip
    return terminal, route


def _gas_route(stage: Stage, choice: Choice) -> tuple[Route, GasWorks]:
    """The gas run with the length that its zone's sizes rest on and what that may be, and what its tap asks for."""
    variant, path = choice.ways[Service.GAS]
    tapping, charge = variant.tapping, variant.track.field.sources.names[path.source]
    assert tapping is not None
    route = _route(stage, Service.GAS, variant, path)
    works, upstream = works_at(tapping, charge, choice.table.need.heater, route, stage.ground.survey)
    own = route.length_mm + tapping.bend_mm * route.elbows + tapping.tee_mm
    limit = upstream + round(float(tapping.room[charge]))
    return replace(route, equivalent_mm=upstream + own, limit_mm=limit), works


def _route(stage: Stage, service: Service, variant: Variant, path: Path) -> Route:
    name = variant.track.field.sources.names[path.source]
    entry = stage.anchors[service][name if variant.tapping is None else variant.tapping.anchor_of(name)]
    run = pieces_of(variant.track.field, list(path.states))
    pieces = merged([*run, *entry.tail]) or (Piece(entry.point, entry.point, Surface.STUB),)
    option = "drain" if service is Service.DRAIN else variant.option
    return Route(service, option, entry.end_id, pieces, _elbows(variant, path, pieces), pumped=variant.pumped)


def _elbows(variant: Variant, path: Path, pieces: tuple[Piece, ...]) -> int:
    """As many as are paid for; what bends for nothing is drawn as straight as it is."""
    field = variant.track.field
    return elbows_on(field, path.states, path.source) if field.tariff.bend else elbows(pieces)
