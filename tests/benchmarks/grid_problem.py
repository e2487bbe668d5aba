"""The uniform grid made into what a peer solves: for one heater and its sizes, costs at mounts and graphs of services.

The peers are told which heater and which sizes the optimum has; a newcomer would have to try them all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from service.building.model import Behind
from service.design import MANIFOLD_DROP_MM, NO_EXPOSED_VENT, Design, Route, Service, Surface
from service.routing.ends import Anchor, AnchorLine
from service.routing.sheets import WallSheet
from service.routing.tariff import Tariff
from service.siting.costing import fixed_units, run_pieces
from service.siting.gas_plan import Tapping
from service.siting.ground import Ends, Ground
from service.siting.hubs import offset_of
from service.siting.needs import Need, extras_in
from service.siting.tariffs import ANY_WAY, DOWNHILL, UPHILL, tariff_of, terminal_key_of
from service.siting.zones import Zones
from service.survey.model import Point3
from tests.benchmarks.uniform_grid import (
    AXES,
    Bools,
    Floats,
    Ints,
    Samples,
    sample,
    snaps,
    wall_node,
    wall_samples,
)

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
    """One service: its graph, its ends, the states at each mount (-1 for none), its limits."""

    edges: Edges
    inlets: Inlets
    starts: Ints
    length_mm: float = np.inf
    bend_mm: float = 0.0
    max_bends: float = np.inf


@dataclass(frozen=True, slots=True)
class Problem:
    """Everything a peer needs. ``fixed``: cost at each mount but for the routes [money units]."""

    states: int
    fixed: Floats
    legs: dict[Service, Leg]


def problem_of(ground: Ground, zones: Zones, design: Design, pitch_mm: int = PITCH_MM) -> Problem:
    """The problem for the heater and the sizes of a design. ValueError for twin pipe: no peer places an intake."""
    need = next(n for n in ground.needs if n.heater.label == design.heater.label)
    if need.heater.vent.intake is not None:
        raise ValueError(f"{need.heater.label} has an intake to place")
    samples = sample(ground.sheets, pitch_mm)
    fixed, manifold, vent = _mounts(ground, zones, need, samples)
    legs = {Service.VENT: _vent(ground, zones, need, samples, vent)}
    for route in design.routes:
        if route.service is not Service.VENT:
            legs[route.service] = _piped(ground, need, samples, manifold, route)
    once = sum(ground.survey.prices[key].units_each for r in design.routes for key in run_pieces(r))
    return Problem(len(samples.states), fixed + once, legs)


def _mounts(ground: Ground, zones: Zones, need: Need, samples: Samples) -> tuple[Floats, Ints, Ints]:
    """Lawful mounts: price of all but the routes, states for the small pipes, state for the vent."""
    prices, building = ground.survey.prices, ground.building
    riser = tariff_of(prices, Service.VENT, need.heater.vent.system)
    extras = [extras_in(ground.air, ground.survey, r, need) for r in building.rooms]
    by_room = [None if e is None else fixed_units(need.heater, prices, e) for e in extras]
    forbidden = {f.id: zones.mount(need.heater, f) for f in ground.building.faces}
    rows: list[tuple[int, list[int], int]] = []
    for wall in ground.sheets.walls:
        fixed = by_room[wall.room]
        if fixed is None:
            continue
        for c, low, top in _places(samples, wall, offset_of(need.heater)):
            place = wall.distance(c), low + MANIFOLD_DROP_MM
            if not any(z.covers(*place) for z in forbidden[wall.face.id]):
                rise = need.heater.vent_rise_mm + top - low - offset_of(need.heater)
                pipes = [samples.states.get((wall_node(wall, c, low), axis), -1) for axis in range(AXES)]
                vent = samples.states[wall_node(wall, c, top), 2]
                rows.append((fixed + riser.per_mm[wall.surface] * rise, pipes, vent))
    states = np.array([[*pipes, vent] for _, pipes, vent in rows], dtype=np.int64).reshape(-1, AXES + 1)
    return np.array([cost for cost, _, _ in rows], dtype=float), states[:, :AXES], states[:, AXES]


def _places(samples: Samples, wall: WallSheet, offset: int) -> list[tuple[int, int, int]]:
    """Coordinate, height of the manifold and the next sample at which the vent may turn [mm]."""
    cs, zs = wall_samples(samples, wall)
    heights = [(low, min(z for z in zs if z >= low + offset)) for low in zs[1:] if low + offset <= zs[-1]]
    return [(c, low, top) for c in cs for low, top in heights]


def _vent(ground: Ground, zones: Zones, need: Need, samples: Samples, starts: Ints) -> Leg:
    listing = need.heater.vent
    tariff = tariff_of(ground.survey.prices, Service.VENT, listing.system, UPHILL)
    rooms = ground.building.rooms
    refused = {w.index for w in ground.sheets.walls if rooms[w.room].use in NO_EXPOSED_VENT}
    closed = _closed(ground, samples, listing.pipe_radius_mm) | np.array([s.sheet in refused for s in samples.steps])
    return Leg(
        edges_of(samples, tariff, closed), _outlets(ground, zones, need, samples, tariff), starts[:, None],
        listing.max_equivalent_mm - need.heater.vent_rise_mm, listing.elbow_equivalent_mm,
        np.inf if listing.max_elbows is None else listing.max_elbows,
    )  # fmt: skip


def _outlets(ground: Ground, zones: Zones, need: Need, samples: Samples, tariff: Tariff) -> Inlets:
    """Samples of outer walls where a terminal may lie."""
    facades = {f.id: f for f in ground.building.facades}
    forbidden, bend_mm = zones.terminal(need.heater), need.heater.vent.elbow_equivalent_mm
    rows: list[tuple[int, int, float, int]] = []
    terminal = ground.survey.prices[terminal_key_of(need.heater.vent.system, False)].units_each
    for w in ground.sheets.walls:
        cs, zs = wall_samples(samples, w)
        for t in w.face.stretches:
            if t.behind is not Behind.OUTDOORS or t.facade_id is None:
                continue
            depth = abs(w.plane - facades[t.facade_id].start[w.normal_axis])
            through = tariff.per_mm[Surface.OUTER_WALL] * depth + tariff.once[Surface.OUTER_WALL] + terminal
            for c in (c for c in cs if t.s0 <= w.distance(c) <= t.s1):
                s = t.facade_s0 + w.distance(c) - t.s0
                for z in zs:
                    if not any(zone.covers(s, z) for zone in forbidden[t.facade_id]):
                        node = wall_node(w, c, z)
                        for axis in samples.nodes[node]:
                            turn = int(axis != w.normal_axis)
                            cost = through + turn * tariff.bend
                            rows.append((samples.states[node, axis], cost, depth + turn * bend_mm, turn))
    return _inlets(rows)


def _inlets(rows: list[tuple[int, int, float, int]]) -> Inlets:
    table = np.array(rows, dtype=float).reshape(-1, 4)
    return Inlets(table[:, 0].astype(np.int64), table[:, 1], table[:, 2], table[:, 3])


def _piped(ground: Ground, need: Need, samples: Samples, starts: Ints, route: Route) -> Leg:
    service = route.service
    one_way = DOWNHILL if service is Service.DRAIN and not route.pumped else ANY_WAY
    tariff = tariff_of(ground.survey.prices, service, route.option, one_way)
    anchors = _taps(ground.ends[service], samples.pitch_mm)
    edges = edges_of(samples, tariff, _closed(ground, samples, 0))
    if service is not Service.GAS:
        return Leg(edges, _snapped(samples, tariff, anchors, [(0.0, 0.0)] * len(anchors), 0.0), starts)
    tapping = _tapping(need, anchors, route)
    charges = tapping.charges
    asked = zip(charges.anchors.tolist(), charges.units.tolist(), tapping.extra(anchors).tolist(), strict=True)
    known = [(anchors[i], (units, extra)) for i, units, extra in asked if np.isfinite(units)]
    ends = _snapped(samples, tariff, [a for a, _ in known], [more for _, more in known], tapping.bend_mm)
    return Leg(edges, ends, starts, tapping.limit_mm, tapping.bend_mm)


def _tapping(need: Need, anchors: list[Anchor], route: Route) -> Tapping:
    """The first of the design's branch size that its run is within, hence the cheapest."""
    every = (t for run in need.gas.runs(anchors) for t in run)
    return next(t for t in every if t.branch.name == route.option and t.limit_mm >= (route.equivalent_mm or 0))


def _closed(ground: Ground, samples: Samples, radius_mm: int) -> Bools:
    sheet = np.array([s.sheet for s in samples.steps])
    boxes = np.array([s.box for s in samples.steps]).T
    closed = np.zeros(len(sheet), dtype=bool)
    for obstacle in ground.obstacles:
        closed |= (sheet == obstacle.sheet) & obstacle.grown(radius_mm).meets(boxes)
    return closed


def edges_of(samples: Samples, tariff: Tariff, closed: Bools) -> Edges:
    """Open steps both ways, uprights one way only where the service asks for it; then the bends."""
    a, b = samples.ends()
    lower, upper = samples.bends()
    run = np.array([sum(abs(q - p) for p, q in zip(s.a[1], s.b[1], strict=True)) for s in samples.steps], dtype=float)
    per_mm = np.array([tariff.per_mm[s.surface] for s in samples.steps], dtype=float)
    once = np.array([tariff.once.get(s.surface, 0) for s in samples.steps], dtype=float)
    upright = np.array([s.axis == 2 for s in samples.steps]) & (run > 0)
    forth = ~closed & ~(upright & (tariff.one_way > 0))  # walked from the end to the heater
    back = ~closed & ~(upright & (tariff.one_way < 0))
    costs, turns = per_mm * run + once, np.ones(2 * len(lower))
    return Edges(
        np.concatenate([a[forth], b[back], lower, upper]),
        np.concatenate([b[forth], a[back], upper, lower]),
        np.concatenate([costs[forth], costs[back], tariff.bend * turns]),
        np.concatenate([run[forth], run[back], 0 * turns]),
        np.concatenate([np.zeros(int(forth.sum() + back.sum())), turns]),
    )


def _taps(ends: Ends, pitch_mm: int) -> list[Anchor]:
    """Fixed ends, and existing pipes at every pitch."""
    return [*ends.every, *(a for line in ends.lines for a in _along(line, pitch_mm))]


def _along(line: AnchorLine, pitch_mm: int) -> list[Anchor]:
    axis = line.axis
    if axis is None or line.a.tail or (line.a.room, line.a.sheet) != (line.b.room, line.b.sheet):
        return []
    a, b = line.a.point[axis], line.b.point[axis]
    places = range(min(a, b) + pitch_mm, max(a, b), pitch_mm)
    return [
        Anchor(line.end_id, line.a.room, _with(line.a.point, axis, v), (), line.a.sheet,
               max(line.b.upstream_mm - abs(b - v), 0))
        for v in places
    ]  # fmt: skip


def _with(p: Point3, axis: int, value: int) -> Point3:
    x, y, z = (value if i == axis else v for i, v in enumerate(p))
    return x, y, z


def _snapped(
    samples: Samples, tariff: Tariff, anchors: list[Anchor], more: list[tuple[float, float]], bend_mm: float
) -> Inlets:
    """Ends on the samples; ``more``: what each costs besides, and adds to the run."""
    rows = []
    for anchor, (units, extra) in zip(anchors, more, strict=True):
        for snap in snaps(samples, anchor):
            pieces = sum(tariff.per_mm[p.surface] * p.length_mm + tariff.once.get(p.surface, 0) for p in snap.pieces)
            run = anchor.upstream_mm + snap.length_mm + bend_mm * snap.turns + extra
            rows.append((snap.state, units + pieces + tariff.bend * snap.turns, run, snap.turns))
    return _inlets(rows)
