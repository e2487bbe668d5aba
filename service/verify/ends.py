"""Where runs may end on a network: existing pipes, drains, outlets, and the places at which a vent leaves the house."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import dist, inf

import numpy as np
import shapely

from service.building.model import Behind, Building, Facade, Stretch
from service.check.routes import turns
from service.design import Piece, Surface
from service.routing.ends import Anchor
from service.routing.sheets import WallSheet
from service.verify.network import OBLIQUE, UPRIGHT, Network
from service.verify.prices import Run
from service.verify.spread import Ends

Row = tuple[int, float, float, int]
"""State, money units, equivalent length behind [mm], elbows."""


@dataclass(frozen=True, slots=True)
class Charge:
    """One way of ending at an anchor: its index, money units there, equivalent length behind it [mm]."""

    anchor: int
    units: float
    behind_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Outlet:
    """A place at which a vent leaves the house: state, surface (facade, or roof plane counted on), place there, way out
    [mm], whether it turns first, and the wall it is in (None: a roof)."""

    state: int
    surface: int
    s: int
    z: int
    depth: int
    turned: bool
    wall: int | None


def ends_of(
    network: Network, anchors: Sequence[Anchor], run: Run, charges: Sequence[Charge], bend_mm: float = 0.0
) -> Ends:
    """The states from which a run can reach what it ends at, with the price of the tail in between."""
    rows: list[Row] = []
    for charge in charges:
        anchor = anchors[charge.anchor]
        tail, elbows = _tail_units(run, anchor.tail), turns(anchor.tail)
        if charge.units < inf and tail < inf:
            units = charge.units + tail + elbows * run.rates.bend
            used = charge.behind_mm + sum(p.length_mm for p in anchor.tail) + elbows * bend_mm
            states = network.states((anchor.room, *anchor.point), first_axis(anchor.tail))
            rows += [(state, units, used, elbows) for state in states]
    return _ends(rows)


def outlet_ends(outlets: Sequence[tuple[Outlet, float]], run: Run, rises: Sequence[int | None], bend_mm: float) -> Ends:
    """Outlets, each with what it costs besides, as ends of a vent. ``rises``: by surface, height of the opening over a
    roof plane (0 on facades), None where it may not end."""
    rows: list[Row] = []
    rates = run.rates
    for out, more in outlets:
        surface, rise = Surface.OUTER_WALL if out.wall is not None else Surface.ROOF, rises[out.surface]
        if rise is not None and surface in rates.per_mm:
            depth = out.depth + rise
            units = rates.per_mm[surface] * depth + rates.once[surface] + more + rates.bend * out.turned
            rows.append((out.state, float(units), depth + bend_mm * out.turned, int(out.turned)))
    return _ends(rows)


def outlets_of(network: Network, building: Building) -> tuple[Outlet, ...]:
    """Every place on outer walls, and under roofs, from which a vent can go straight out."""
    facades = {f.id: (i, f) for i, f in enumerate(building.facades)}
    found = [
        out
        for w in network.sheets.walls
        for t in w.face.stretches
        if t.behind is Behind.OUTDOORS and t.facade_id is not None
        for out in _through(network, w, t, *facades[t.facade_id])
    ]
    return (*found, *_over(network, building))


def first_axis(tail: Sequence[Piece]) -> int | None:
    """Axis along which a tail sets out, the oblique one for none of the frame's, None for a tail without length."""
    for piece in tail:
        moved = [axis for axis in range(3) if piece.start[axis] != piece.end[axis]]
        if moved:
            return moved[0] if len(moved) == 1 else OBLIQUE
    return None


def _ends(rows: list[Row]) -> Ends:
    states, units, used, bends = zip(*rows, strict=True) if rows else ((), (), (), ())
    whole, real = np.dtype(np.int64), np.dtype(np.float64)
    return Ends(np.array(states, whole), np.array(units, real), np.array(used, real), np.array(bends, whole))


def _tail_units(run: Run, tail: Sequence[Piece]) -> float:
    rates = run.rates
    if any(p.surface not in rates.per_mm for p in tail):
        return inf
    return sum(rates.per_mm[p.surface] * p.length_mm + rates.once[p.surface] for p in tail)


def _square(w: WallSheet, inner: tuple[int, int], outer: tuple[int, int]) -> bool:
    """Whether a way leaves a wall square; beside a skew wall, to the millimetre that its points are rounded to."""
    (ax, ay), (bx, by) = w.face.start, w.face.end
    along = ((bx - ax) * (outer[0] - inner[0]) + (by - ay) * (outer[1] - inner[1])) / w.face.length_mm
    return abs(along) <= int(w.is_skew)


def _through(network: Network, w: WallSheet, t: Stretch, index: int, facade: Facade) -> Iterator[Outlet]:
    up = network.uprights[w.index]
    for s, point in zip(up.s, up.points, strict=True):
        if t.s0 <= s <= t.s1:
            along = t.facade_s0 + s - t.s0
            out = facade.point(along)
            depth = round(dist(point, out))
            if not _square(w, point, out):
                continue
            for z in network.levels(w.face.z0, w.face.z1):
                for axis in sorted({0, 1, UPRIGHT, w.axis}):
                    turned = w.is_skew or axis != w.normal_axis
                    for state in network.states((w.room, *point, z), axis):
                        yield Outlet(state, index, along, z, depth, turned, w.index)


def _over(network: Network, building: Building) -> Iterator[Outlet]:
    ceilings = {i: r.ceiling_z for i, r in enumerate(building.rooms)}
    for index, plane in enumerate(building.roof, len(building.facades)):
        outline = shapely.Polygon(plane.outline)
        shapely.prepare(outline)
        under = {i for i, r in enumerate(building.rooms) if r.id in plane.over}
        for node in network.nodes:
            room, x, y, z = node
            if room in under and z == ceilings[room] and shapely.intersects_xy(outline, x, y):
                up = plane.height_mm(x, y) - z
                for axis in network.axes if up >= 0 else ():
                    for state in network.states(node, axis):
                        yield Outlet(state, index, x, y, up, axis != UPRIGHT, None)
