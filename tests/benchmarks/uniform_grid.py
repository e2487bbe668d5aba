"""The plan as a newcomer would cut it: every sheet sampled at one pitch, ends snapped to the samples.

The peers get more than a newcomer would have: the sheets' own edges are lines of the grid, the heights
fit the heater, the heater and the gas size are those of the optimum, and prices, clearance zones,
obstacles and limits are the service's. A snapped end pays for the straight way to it without bends.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from service.clearance.model import Zone
from service.design import MANIFOLD_DROP_MM, NO_EXPOSED_VENT, Design, Service, Surface
from service.routing.ends import Anchor, AnchorLine
from service.routing.fields import Floats, Tariff
from service.routing.lattice import AXIS_BITS, Bools, Lattice, build_lattice
from service.routing.paths import elbows
from service.routing.planes import Ints, Planes, base_planes, closed_heights
from service.siting.costing import fixed_units
from service.siting.ground import Ends, Ground
from service.siting.hubs import Hubs, hubs_of, offset_of
from service.siting.needs import Need, extras_in
from service.siting.tariffs import ANY_WAY, DOWNHILL, UPHILL, tariff_of
from service.siting.terminals import lawful, outlets_of, vent_sources
from service.siting.zones import Zones
from service.survey.model import Point3
from service.trades import gas

PITCH_MM = 500


@dataclass(frozen=True, slots=True)
class Edges:
    """Directed steps from the ends to the heater, shape (n,): states, cost [money units], run [mm], bends."""

    tail: Ints
    head: Ints
    cost: Floats
    run: Floats
    bends: Floats


@dataclass(frozen=True, slots=True)
class Inlets:
    """Where a run may end, shape (n,): state, cost [money units], equivalent run [mm] and bends behind it."""

    state: Ints
    cost: Floats
    run: Floats
    bends: Floats


@dataclass(frozen=True, slots=True)
class Leg:
    """One service: its graph, its ends, the states at each hub (-1 for none), its limits."""

    edges: Edges
    inlets: Inlets
    starts: Ints
    length_mm: float = np.inf
    bend_mm: float = 0.0
    max_bends: float = np.inf


@dataclass(frozen=True, slots=True)
class Grid:
    """Everything a peer needs. ``fixed``: cost at each hub but for the routes [money units]."""

    states: int
    fixed: Floats
    legs: dict[Service, Leg]


def uniform_grid(ground: Ground, zones: Zones, design: Design, pitch_mm: int = PITCH_MM) -> Grid:
    """The grid for the heater and the sizes of a design."""
    need = next(n for n in ground.needs if n.heater.id == design.heater.id)
    offset = offset_of(need.heater)
    planes = _planes(ground, pitch_mm)
    bands = sorted({(w.face.z0, w.face.z1) for w in ground.sheets.walls})
    heights = closed_heights(planes.coordinates(2), [offset], bands)
    lattice = build_lattice(ground.sheets, planes, heights)
    hubs = hubs_of(ground.sheets, lattice, planes, heights, offset)
    fixed = _fixed(ground, zones, need, hubs)
    keep = np.flatnonzero(np.isfinite(fixed))
    legs = {Service.VENT: _vent(ground, zones, need, lattice, hubs.vent[keep][:, None])}
    for route in design.routes:
        if route.service is not Service.VENT:
            legs[route.service] = _piped(ground, need, lattice, hubs.manifold[keep], route.service, route.option, pitch_mm)
    pumps = sum(r.pumped for r in design.routes) * ground.survey.prices["drain.pump"].units_each
    return Grid(lattice.count, fixed[keep] + pumps, legs)


def _planes(ground: Ground, pitch_mm: int) -> Planes:
    planes = base_planes(ground.sheets)
    for axis in range(3):
        ends = planes.coordinates(axis)
        for value in range(int(ends[0]), int(ends[-1]), pitch_mm):
            planes.add(axis, value, "sample")
    return planes


def _fixed(ground: Ground, zones: Zones, need: Need, hubs: Hubs) -> Floats:
    """Price of all but the routes, inf where the case may not hang."""
    prices, walls = ground.survey.prices, ground.sheets.walls
    riser = tariff_of(prices, Service.VENT, need.heater.vent.system)
    extras = [extras_in(ground.survey, ground.building, r, need) for r in ground.building.rooms]
    by_room = [np.inf if e is None else float(fixed_units(need.heater, prices, e)) for e in extras]
    out = np.array([by_room[w.room] + riser.per_mm[w.surface] * need.heater.vent_rise_mm for w in walls])[hubs.wall]
    by_face = zones.mount(need.heater)
    for i, (wall, s, z) in enumerate(zip(hubs.wall, hubs.s, hubs.manifold_z, strict=True)):
        if _covered(by_face[walls[int(wall)].face.id], int(s), int(z) + MANIFOLD_DROP_MM):
            out[i] = np.inf
    return np.asarray(out)


def _covered(zones: Iterable[Zone], s: int, z: int) -> bool:
    return any(zone.covers(s, z) for zone in zones)


def _vent(ground: Ground, zones: Zones, need: Need, lattice: Lattice, starts: Ints) -> Leg:
    listing = need.heater.vent
    tariff = tariff_of(ground.survey.prices, Service.VENT, listing.system, UPHILL)
    outlets = outlets_of(ground.building, ground.sheets, lattice)
    by_facade = zones.terminal(need.heater)
    forbidden = {i: by_facade[f.id] for i, f in enumerate(ground.building.facades)}
    s = vent_sources(outlets, lawful(outlets, forbidden), tariff)
    run = s.run + listing.elbow_equivalent_mm * s.turns
    rooms = ground.building.rooms
    refused = [w.index for w in ground.sheets.walls if rooms[w.room].use in NO_EXPOSED_VENT]
    closed = _closed(ground, lattice, listing.pipe_radius_mm) | np.isin(lattice.arcs.sheet, refused)
    return Leg(
        edges_of(lattice, tariff, closed), Inlets(s.states, s.costs, run, s.turns.astype(float)), starts,
        listing.max_equivalent_mm - need.heater.vent_rise_mm, listing.elbow_equivalent_mm,
        np.inf if listing.max_elbows is None else listing.max_elbows,
    )  # fmt: skip


def _piped(
    ground: Ground, need: Need, lattice: Lattice, starts: Ints, service: Service, option: str, pitch_mm: int
) -> Leg:
    one_way = DOWNHILL if service is Service.DRAIN and option == "gravity" else ANY_WAY
    tariff = tariff_of(ground.survey.prices, service, option, one_way)
    anchors = _samples(ground.ends[service], pitch_mm)
    edges = edges_of(lattice, tariff, _closed(ground, lattice, 0))
    if service is not Service.GAS:
        return Leg(edges, _snapped(lattice, tariff, anchors, np.zeros(len(anchors)), 0.0), starts)
    limit, bend = float(need.gas.length_mm[option]), float(gas.elbow_equivalent_mm(option))
    open_ends = [a for a in anchors if need.gas.total_mm[a.end_id]]
    extra = np.array([max(limit - need.gas.total_mm[a.end_id], 0) for a in open_ends], dtype=float)
    return Leg(edges, _snapped(lattice, tariff, open_ends, extra, bend), starts, limit, bend)


def _closed(ground: Ground, lattice: Lattice, radius_mm: int) -> Bools:
    closed = np.zeros(len(lattice.arcs.a), dtype=bool)
    for obstacle in ground.obstacles:
        closed |= obstacle.grown(radius_mm).blocks(lattice)
    return closed


def edges_of(lattice: Lattice, tariff: Tariff, closed: Bools) -> Edges:
    """Open steps in both directions, uprights in one only where the service asks for it."""
    costs = np.where(closed, np.inf, tariff.arc_costs(lattice))
    (a, b), (lower, upper), upright = lattice.arc_states, lattice.bends, lattice.arcs.axis == 2
    is_open = np.isfinite(costs)
    forth = is_open & ~(upright & (tariff.one_way > 0))  # against the run's own direction
    back = is_open & ~(upright & (tariff.one_way < 0))
    bends = np.full(2 * len(lower), float(tariff.bend))
    run = lattice.arcs.length.astype(float)
    return Edges(
        np.concatenate([a[forth], b[back], lower, upper]),
        np.concatenate([b[forth], a[back], upper, lower]),
        np.concatenate([costs[forth], costs[back], bends]),
        np.concatenate([run[forth], run[back], 0 * bends]),
        np.concatenate([np.zeros(int(forth.sum() + back.sum())), np.ones(len(bends))]),
    )


def _samples(ends: Ends, pitch_mm: int) -> list[Anchor]:
    """Fixed ends, and existing pipes at every pitch."""
    return [*ends.every, *(a for line in ends.lines for a in _along(line, pitch_mm))]


def _along(line: AnchorLine, pitch_mm: int) -> list[Anchor]:
    axis = line.axis
    if axis is None or line.a.room != line.b.room or line.a.sheet != line.b.sheet:
        return []
    a, b = line.a.point[axis], line.b.point[axis]
    out = []
    for v in range(min(a, b) + pitch_mm, max(a, b), pitch_mm):
        point = _with(line.a.point, axis, v)
        tail = tuple(
            type(p)(_shifted(p.start, axis, v - a), _shifted(p.end, axis, v - a), p.surface) for p in line.a.tail
        )
        upstream = max(line.b.upstream_mm - abs(b - v), 0)
        out.append(Anchor(line.end_id, line.a.room, point, tail, line.a.sheet, upstream))
    return out


def _with(p: Point3, axis: int, value: int) -> Point3:
    x, y, z = (value if i == axis else v for i, v in enumerate(p))
    return x, y, z


def _shifted(p: Point3, axis: int, by: int) -> Point3:
    return _with(p, axis, p[axis] + by)


def _snapped(lattice: Lattice, tariff: Tariff, anchors: list[Anchor], extra: Floats, bend_mm: float) -> Inlets:
    """Each end at the nearest node of its room; every axis of travel may begin there."""
    rooms = lattice.keys.unpack(lattice.states >> AXIS_BITS)[0]
    rows: list[tuple[int, float, float, int]] = []
    for a, more in zip(anchors, extra, strict=True):
        here = np.flatnonzero(rooms == a.room)
        miss = np.abs(lattice.xyz[here] - np.array(a.point)).sum(axis=1)
        gap, turns = int(miss.min()), elbows(a.tail)
        cost = tariff.per_mm[Surface.STUB] * gap + tariff.bend * turns
        cost += sum(tariff.per_mm[p.surface] * p.length_mm + tariff.once.get(p.surface, 0) for p in a.tail)
        run = a.upstream_mm + gap + sum(p.length_mm for p in a.tail) + bend_mm * turns + float(more)
        rows += [(int(s), cost, run, turns) for s in here[miss == gap]]
    table = np.array(rows, dtype=float).reshape(-1, 4)
    return Inlets(table[:, 0].astype(np.int64), table[:, 1], table[:, 2], table[:, 3])
