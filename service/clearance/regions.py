"""Free and forbidden parts of a surface as areas and rings: for telling and drawing, never for deciding."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, pi, sqrt

from shapely import LineString, MultiPoint, Polygon, box, unary_union
from shapely.geometry.base import BaseGeometry

from service.building.model import Facade, Face
from service.building.roof_model import RoofPlane
from service.clearance.model import Zone

_QUARTER_SEGMENTS = 24
_OUTWARD = 1 / cos(pi / (4 * _QUARTER_SEGMENTS))
"""A circle drawn as a polygon lies inside it; with its radius times this it lies outside."""


@dataclass(frozen=True, slots=True)
class Regions:
    """What zones leave of one surface: areas [mm2], each rule's share alone (largest first), rings of the free rest.

    ``free_length_mm``: along how much of ``length_mm`` some height is free; ``closed_by_rule``: along how much each
    rule alone leaves no height, in the order of the shares [mm].
    """

    total_mm2: int
    free_mm2: int
    by_rule: tuple[tuple[str, int], ...]
    free_rings: tuple[tuple[tuple[float, float], ...], ...]
    length_mm: int
    free_length_mm: int
    closed_by_rule: tuple[tuple[str, int], ...]


def facade_regions(facade: Facade, zones: Sequence[Zone]) -> Regions:
    """Regions of the terminal's centre on a facade's walls."""
    return _regions(unary_union([box(s0, z0, s1, z1) for s0, s1, z0, z1 in facade.spans]), zones)


def roof_regions(plane: RoofPlane, zones: Sequence[Zone], radius_mm: int) -> Regions:
    """Regions of the axis of a terminal of some radius over a roof plane, in plan; a strip along skew edges, of which
    no zone speaks, is left out of the area."""
    area = Polygon(plane.outline)
    return _regions(area if plane.is_square else area.buffer(-radius_mm), zones)


def face_regions(face: Face, zones: Sequence[Zone]) -> Regions:
    """Regions of (vent port's line, bottom of the case) on an inside face."""
    return _regions(box(0, face.z0, face.length_mm, face.z1), zones)


def _regions(area: BaseGeometry, zones: Sequence[Zone]) -> Regions:
    by_rule = _by_rule(area, zones)
    free = area.difference(unary_union(list(by_rule.values()))) if by_rule else area
    shares = sorted(((rule, round(shape.area)) for rule, shape in by_rule.items()), key=lambda x: (-x[1], x[0]))
    length = _length(area)
    closed = tuple((rule, round(length - _length(area.difference(by_rule[rule])))) for rule, _ in shares)
    return Regions(
        round(area.area), round(free.area), tuple(shares), tuple(_rings(free)), round(length), round(_length(free)),
        closed,
    )  # fmt: skip


def _length(area: BaseGeometry) -> float:
    """Length along the surface over which an area has any height [mm]."""
    pieces = (p.bounds for p in getattr(area, "geoms", [area]) if p.area)
    return float(unary_union([LineString([(left, 0), (right, 0)]) for left, _, right, _ in pieces]).length)


def _by_rule(area: BaseGeometry, zones: Sequence[Zone]) -> dict[str, BaseGeometry]:
    """What each rule alone takes of the area; rules that take nothing are left out."""
    shapes: dict[str, list[BaseGeometry]] = defaultdict(list)
    for zone in zones:
        shapes[zone.rule_id].append(zone_shape(zone, area.bounds))
    taken = {rule: unary_union(parts).intersection(area) for rule, parts in sorted(shapes.items())}
    return {rule: shape for rule, shape in taken.items() if shape.area}


def zone_shape(zone: Zone, bounds: tuple[float, float, float, float]) -> BaseGeometry:
    """The zone as a polygon that holds it, cut to a little more than the bounds."""
    reach = sqrt(zone.radius2)
    s0, s1 = max(zone.s0, bounds[0] - reach - 1), min(zone.s1, bounds[2] + reach + 1)
    z0, z1 = max(zone.z0, bounds[1] - reach - 1), min(zone.z1, bounds[3] + reach + 1)
    if s0 > s1 or z0 > z1:
        return Polygon()
    core = box(s0, z0, s1, z1) if s0 < s1 and z0 < z1 else MultiPoint([(s0, z0), (s1, z1)]).convex_hull
    shape = core.buffer(reach * _OUTWARD, quad_segs=_QUARTER_SEGMENTS) if reach else core
    if zone.within is not None:
        s0, s1, z0, z1 = zone.within
        shape = shape.intersection(box(s0, z0, s1, z1))
    return shape


def _rings(free: BaseGeometry) -> Iterator[tuple[tuple[float, float], ...]]:
    """Outlines of the free pieces and, after each, of the holes in it; sorted by place."""
    parts = [p.normalize() for p in getattr(free, "geoms", [free]) if not p.is_empty]
    for piece in sorted((p for p in parts if isinstance(p, Polygon)), key=lambda p: p.bounds):
        for ring in (piece.exterior, *piece.interiors):
            yield tuple((round(x, 3), round(y, 3)) for x, y in ring.coords[:-1])
