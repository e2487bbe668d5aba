"""Grids of what one heater costs at least wherever its case hangs, and wherever its vent leaves."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from service.building.model import Facade, Face
from service.building.roof_model import RoofPlane
from service.clearance.model import Box, Zone
from service.design import MANIFOLD_DROP_MM, Service, Surface
from service.routing.columns import EVERYWHERE
from service.routing.fields import spread
from service.routing.lattice import Bools
from service.routing.planes import Ints, Planes, among
from service.routing.tariff import Floats, Sources
from service.siting.active import Active
from service.siting.cost_grids import CostGrid, Lift, grid_of
from service.siting.ground import Ground
from service.siting.hubs import offset_of
from service.siting.needs import Need
from service.siting.roof import surfaces_of
from service.siting.stage import Budget, Stage
from service.siting.table import Table, least_parts
from service.siting.tariffs import vent_tariff
from service.siting.terminals import terminal_key
from service.siting.variants import Variant
from service.siting.ways import Regions

ByPlace = Mapping[str, CostGrid]
Span = tuple[int, int]
NEAR = "place of a heater"
"""Why a plane is cut in: some design that may be of use has a place on it."""


@dataclass(frozen=True, slots=True)
class LeastPlaces:
    """Grids by wall for the case, by facade and roof plane for the exhaust's terminal. Designs of ``most`` [money
    units] or more are counted with that. ``least``: what each service costs anywhere at least [money units]."""

    most: float
    cases: ByPlace
    ends: ByPlace
    least: Mapping[Service, float]

    def of(self, ends: bool) -> ByPlace:
        """Those of the terminal, or of the case."""
        return self.ends if ends else self.cases


def least_places(
    ground: Ground, lazy: Active, everything: Active, need: Need, most: float, wider: LeastPlaces | None = None
) -> LeastPlaces:
    """Of a heater with a vent in one pipe. What its search cut in (``lazy``) tells where a design below ``most`` may
    be; there all that is critical is cut in as well. ``wider``: the same where it was held to less."""
    most += _of_rounding(ground, need)
    coarse = _told(ground, lazy, need, most, wider)
    if not coarse.cases or not coarse.ends:
        return coarse
    return _told(ground, _near(ground, lazy, everything, need, coarse), need, most, coarse)


def _of_rounding(ground: Ground, need: Need) -> float:
    """What a millimetre of the way up to a pitched roof costs: for heights that are rounded, a place between the lines
    may cost by so much less than they tell [money units]."""
    is_pitched = any(not plane.is_level for plane in ground.building.roof)
    return float(vent_tariff(ground.survey.prices, need.heater.vent).per_mm.get(Surface.ROOF, 0)) if is_pitched else 0.0


def with_obstacles(ground: Ground, active: Active, need: Need, name: str) -> Active:
    """What is cut in already, with keep-outs whose names begin so."""
    known = {radius: list(found) for radius, found in active.obstacles.items()}
    more = replace(active, planes=active.planes.copy(), obstacles=known)
    for obstacle in (o for o in ground.obstacles if o.reason.startswith(f"keep-out {name}")):
        for radius in (0, need.heater.vent.bundle_radius_mm):
            more.add_obstacle(radius, obstacle, ground.sheets)
    return more


def _told(ground: Ground, active: Active, need: Need, most: float, wider: LeastPlaces | None) -> LeastPlaces:
    """Nothing is there that was not there before."""
    least = {} if wider is None else wider.least
    surfaces = None if wider is None else [w.index for w in ground.sheets.walls if w.face.id in wider.cases]
    if surfaces == []:
        return LeastPlaces(most, {}, {}, least)
    regions = None if surfaces is None else Regions(None, dict.fromkeys(surfaces, EVERYWHERE))
    stage = Stage(ground, active, (need,), budget=Budget(most, least), regions=regions)
    (table,) = stage.tables
    if len(table.offers) < table.services:
        return LeastPlaces(most, {}, {}, least)
    return LeastPlaces(most, _cases(stage, table, most), _ends(stage, table, most), least_parts(table))


def _near(ground: Ground, lazy: Active, everything: Active, need: Need, coarse: LeastPlaces) -> Active:
    """What is cut in already, with all zones of the surfaces that matter, and all planes through places on them."""
    walls, surfaces, key = ground.sheets.walls, surfaces_of(ground.building), terminal_key(need.heater)
    hangs = [(w, coarse.cases[w.face.id].within(coarse.most)) for w in walls if w.face.id in coarse.cases]
    ends = [(i, f, coarse.ends[f.id].within(coarse.most)) for i, f in enumerate(surfaces) if f.id in coarse.ends]
    low, up = MANIFOLD_DROP_MM, offset_of(need.heater)
    hubs = [(z0 - low, z1 - low) for _, (_, _, z0, z1) in hangs]
    out = [(z0, z1) for _, f, (_, _, z0, z1) in ends if isinstance(f, Facade)]
    levels = [*hubs, *((a + up, b + up) for a, b in hubs), *out]
    boxes = [_box(w.face, box) for w, box in hangs] + [_box(f, box) for _, f, box in ends]
    planes = lazy.planes.copy()
    for axis in (0, 1):
        _take(planes, axis, everything.planes.coordinates(axis).tolist(), [box[axis] for box in boxes])
    _take(planes, 2, everything.planes.coordinates(2).tolist(), levels)
    for z in (v for v in everything.planes.hub if any(a <= v <= b for a, b in hubs)):
        planes.add_hub(z, NEAR)
    for face, lines in everything.planes.skew.items():
        for s in lines:
            planes.add_skew(face, s, NEAR)
    shut = {i: everything.terminal[key][i] for i, _, _ in ends}
    closed = {w.index: everything.mount[need.key][w.index] for w, _ in hangs}
    return replace(
        lazy, planes=planes, terminal=lazy.terminal | {key: lazy.terminal.get(key, {}) | shut},
        mount=lazy.mount | {need.key: lazy.mount.get(need.key, {}) | closed},
    )  # fmt: skip


def _box(surface: Face | Facade | RoofPlane, box: Box) -> tuple[Span, Span]:
    """From where to where in plan a part of a surface is, a millimetre round it for what is askew."""
    if isinstance(surface, RoofPlane):
        return box[:2], box[2:]
    (ax, ay), (bx, by) = surface.point(box[0]), surface.point(box[1])
    return (min(ax, bx) - 1, max(ax, bx) + 1), (min(ay, by) - 1, max(ay, by) + 1)


def _take(planes: Planes, axis: int, values: Iterable[int], spans: Iterable[Span]) -> None:
    """Put in those of some planes that lie in one of some spans."""
    every = tuple(spans)
    for value in (v for v in values if any(a <= v <= b for a, b in every)):
        planes.add(axis, value, NEAR)


def _cases(stage: Stage, table: Table, most: float) -> dict[str, CostGrid]:
    units = np.where(table.shut, np.nan, np.minimum(table.total, most))
    walls, zones = stage.ground.sheets.walls, stage.active.mount.get(table.need.key, {})
    places = table.hubs.surface, table.hubs.s, table.hubs.manifold_z + MANIFOLD_DROP_MM
    return {walls[w].face.id: grid for w, grid in _grids(*places, units, zones, most)}


def _ends(stage: Stage, table: Table, most: float) -> dict[str, CostGrid]:
    (way,) = table.offers[Service.VENT].variants
    out, surfaces = stage.outlets, surfaces_of(stage.ground.building)
    units = np.full(len(out.state), np.nan)
    units[list(way.track.field.sources.names)] = np.minimum(_by_outlet(table, way, most), most)
    zones = stage.active.terminal.get(terminal_key(table.need.heater), {})
    told = _has_own_hubs(stage, table.need) | (out.facade >= len(stage.ground.building.facades))
    found = _grids(out.facade[told], out.s[told], out.z[told], units[told], zones, most)
    return {surfaces[f].id: replace(grid, lift=_lift(surfaces[f], way)) for f, grid in found}


def _has_own_hubs(stage: Stage, need: Need) -> Bools:
    """Which outlets are at a level for whose straight vent the stage has a hub, wherever one may be: at another level
    more bends are counted than a design needs that ends there."""
    offset, levels = offset_of(need.heater), stage.outlets.z
    rooms = {(w.face.z0, w.face.z1) for w in stage.ground.sheets.walls}
    asked = np.any([(levels - offset >= floor) & (levels <= ceiling) for floor, ceiling in rooms], axis=0)
    return np.asarray(~asked | among(stage.heights, levels - offset))


def _lift(surface: Facade | RoofPlane, way: Variant) -> Lift | None:
    if isinstance(surface, Facade) or surface.is_level:
        return None
    return Lift(surface, float(way.track.field.tariff.per_mm.get(Surface.ROOF, 0)))


def _grids(
    surface: Ints, s: Ints, z: Ints, units: Floats, zones: Mapping[int, Iterable[Zone]], most: float
) -> Iterable[tuple[int, CostGrid]]:
    """Grids of the surfaces on which anything is below ``most``."""
    for k in np.unique(surface[units < most]).tolist():
        here = surface == k
        yield k, grid_of(s[here], z[here], units[here], tuple(zones.get(k, ())))


def _by_outlet(table: Table, way: Variant, most: float) -> Floats:
    """Least cost of a design through each open outlet, shape (sources,): from all hubs at once, with what is bought
    there already, the vent is walked the other way."""
    hubs, field = table.hubs, way.track.field
    vent = table.offers[Service.VENT].cost
    known = np.isfinite(table.total)
    rest = np.where(known, table.total - np.where(known, vent, 0) + way.once, np.inf)
    states, costs = hubs.vent.ravel(), np.repeat(rest, hubs.vent.shape[1])
    keep = (states >= 0) & np.isfinite(costs)
    zero = np.zeros(int(keep.sum()))
    sources = Sources(states[keep], costs[keep], zero, zero.astype(np.int64), tuple(range(len(zero))))
    back = replace(field.tariff, one_way=-field.tariff.one_way)
    found = spread(field.lattice, back, field.closed, sources, most)
    return np.asarray(found.cost[field.sources.states] + field.sources.costs)
