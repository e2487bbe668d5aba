"""Free and forbidden parts of facades and walls as JSON.

Distances run from the left: on a facade from its left-hand end seen from outside, on a wall from
its left-hand corner seen from the room.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import copysign, inf
from typing import Any

from service.building.model import Building
from service.building.roof_model import RoofPlane
from service.clearance.model import FAR_MM, Box, TerminalSpec, Zone
from service.http.compass import side
from service.http.design_json import LEFT_CORNER, LEFT_END
from service.http.quantities import SHARE_DECIMALS, Quantities
from service.survey.model import Point2
from service.usecases.results import Coverage, SurfaceRegions

Json = dict[str, Any]
ROOF_CORNER = "corner of the box around the plane, distances along the house's walls and square to them"


def coverage_json(coverage: Coverage, building: Building, q: Quantities) -> Json:
    """How much of one surface each rule takes."""
    surface = _surface_json(coverage.surface_id, coverage.kind, building, q)
    return {**surface, "applies_to": coverage.applies_to, **_shares_json(coverage, q)}


def _shares_json(coverage: Coverage, q: Quantities) -> Json:
    """Areas, and lengths along a wall; a roof is looked at from above, so it has none."""
    total, is_wall = coverage.total_mm2, coverage.kind != "roof"
    closed = dict(coverage.closed_by_rule) if is_wall else {}
    return {
        "total": q.area(total),
        "free": q.area(coverage.free_mm2),
        "length": q.length_or_none(coverage.length_mm if is_wall else None),
        "free_length": q.length_or_none(coverage.free_length_mm if is_wall else None),
        "by_rule": [
            {
                "rule": rule,
                "covered": q.area(mm2),
                "share": round(mm2 / total, SHARE_DECIMALS) if total else 0.0,
                "closed_length": q.length_or_none(closed.get(rule)),
            }
            for rule, mm2 in coverage.by_rule
        ],
    }


def region_json(regions: SurfaceRegions, building: Building, q: Quantities) -> Json:
    """Zones on one surface and the free rest as rings of [distance, z], on a roof of two distances from its corner."""
    if regions.kind == "roof":
        regions = _from_corner(regions, building.roof_plane(regions.surface_id))
    from_left = _from_left(regions.surface_id, regions.kind, building)
    return {
        **_surface_json(regions.surface_id, regions.kind, building, q),
        "applies_to": regions.applies_to,
        **_shares_json(regions.coverage, q),
        "zones": [_zone_json(z, from_left, q) for z in regions.zones],
        "free_rings": [[[q.length(from_left(s)), q.length(z)] for s, z in ring] for ring in regions.free_rings],
    }


def terminal_class_json(name: str, spec: TerminalSpec, q: Quantities) -> Json:
    """One class of terminals that share their zones."""
    return {
        "name": name,
        "terminal_of": "intake" if spec.intake else "exhaust",
        "direct_vent": spec.direct,
        "category": spec.category,
        "input": q.power(spec.input_w),
        "radius": q.length(spec.radius_mm),
    }


def _surface_json(surface_id: str, kind: str, building: Building, q: Quantities) -> Json:
    if kind == "facade":
        facade = building.facade(surface_id)
        room, looks, left = None, side(facade, building.frame), _end(LEFT_END, facade.start, q)
    elif kind == "roof":
        room, looks, left = None, None, _end(ROOF_CORNER, _corner(building.roof_plane(surface_id)), q)
    else:
        face = building.face(surface_id)
        room, looks, left = face.room_id, None, _end(LEFT_CORNER, face.end, q)
    return {"surface": surface_id, "kind": kind, "room": room, "side": looks, "from": left}


def _corner(plane: RoofPlane) -> Point2:
    """Corner of the box around a plane from which its places are told."""
    xs, ys = zip(*plane.outline, strict=True)
    return min(xs), min(ys)


def _from_corner(regions: SurfaceRegions, plane: RoofPlane) -> SurfaceRegions:
    """Zones and rings counted from the plane's corner; what has no end has none."""
    x, y = _corner(plane)

    def off(value: int, by: int) -> int:
        return value if abs(value) >= FAR_MM else value - by

    def box(b: Box) -> Box:
        return off(b[0], x), off(b[1], x), off(b[2], y), off(b[3], y)

    def moved(zone: Zone) -> Zone:
        s0, s1, z0, z1 = box((zone.s0, zone.s1, zone.z0, zone.z1))
        return replace(zone, s0=s0, s1=s1, z0=z0, z1=z1, within=None if zone.within is None else box(zone.within))

    rings = tuple(tuple((a - x, b - y) for a, b in ring) for ring in regions.free_rings)
    return replace(regions, zones=tuple(moved(z) for z in regions.zones), free_rings=rings)


def _end(name: str, point: Point2, q: Quantities) -> Json:
    return {"name": name, "point": q.plan_point(point)}


def _from_left(surface_id: str, kind: str, building: Building) -> Callable[[float], float]:
    if kind != "wall":
        return lambda s: s
    length = building.face(surface_id).length_mm
    return lambda s: length - s


def _limit(mm: int) -> float:
    return copysign(inf, mm) if abs(mm) >= FAR_MM else mm


def _box_json(box: Box, from_left: Callable[[float], float], q: Quantities) -> Json:
    """A box; a bound without end is null."""
    s0, s1, z0, z1 = box
    near, far = sorted(from_left(_limit(s)) for s in (s0, s1))
    return {
        "from_distance": q.bound(near),
        "to_distance": q.bound(far),
        "from_z": q.bound(_limit(z0)),
        "to_z": q.bound(_limit(z1)),
    }


def _zone_json(zone: Zone, from_left: Callable[[float], float], q: Quantities) -> Json:
    """Core box and radius, and the box that cuts them."""
    return {
        "rule": zone.rule_id,
        "object": zone.object_id,
        **_box_json((zone.s0, zone.s1, zone.z0, zone.z1), from_left, q),
        "radius": q.radius(zone.radius2),
        "within": None if zone.within is None else _box_json(zone.within, from_left, q),
        "interpretation": zone.interpretation,
    }
