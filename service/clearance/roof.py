"""Where on a roof plane the centre of a vent terminal may not lie: zones in plan, x for s and y for z.

The terminal is a level disc of the terminal's radius at its opening's height, which follows from the place: the roof's
height there and ``rise_on``. Things are measured straight in plan. Where a plane is pitched, a distance in space is
taken from the least height between terminal and thing anywhere in its zone, so that a zone may be larger than the
rule's own, never smaller; so it is where an outline is askew, of which the box around it counts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import isqrt

from shapely import Polygon, box

from service.building.model import Building
from service.building.roof_model import RoofPlane
from service.clearance.model import FAR_MM, Box, TerminalSpec, Zone
from service.clearance.objects import Thing, in_roof, things
from service.clearance.roof_relations import NEAR, Near
from service.clearance.wall_area import outside
from service.rules.rule import Subject
from service.rules.rulesets import SizedRule, rule_set
from service.survey.model import Point2, Survey
from service.trades.roof import least_rise_mm, rule_mm

PITCH_RULE, WALL_RULE = "ROOF-PITCH", "ROOF-WALL"
_ON_WALL = "on_wall"


@dataclass(frozen=True, slots=True)
class Ground:
    """The plane a terminal may be on, how high its opening is over the plane, its radius [mm]."""

    plane: RoofPlane
    rise_mm: int
    radius_mm: int

    def z(self, x: int, y: int) -> int:
        """Height of the terminal's opening [mm]."""
        return self.plane.height_mm(x, y) + self.rise_mm


def roof_zones(building: Building, survey: Survey, spec: TerminalSpec) -> dict[str, tuple[Zone, ...]]:
    """Forbidden zones of a terminal's centre for every roof plane [mm]; required rules only, as ``terminal_zones``."""
    if not building.roof:
        return {}
    rules = binding(survey, spec)
    around = (*things(building, survey), *_ground_of(building, survey))
    return {plane.id: tuple(_of_plane(building, survey, spec, plane, rules, around)) for plane in building.roof}


def rise_on(survey: Survey, spec: TerminalSpec, plane: RoofPlane) -> int | None:
    """Height of a terminal's opening over a plane at its axis [mm]; None where no table tells one."""
    return least_rise_mm(plane.pitch_in_12, spec.radius_mm, _snow_mm(survey, spec))


def binding(survey: Survey, spec: TerminalSpec) -> tuple[SizedRule, ...]:
    """Required rules of the survey's rule set that speak of a terminal, with its amendments."""
    site = survey.site
    sized = rule_set(site.rule_set).sized(survey.units, site.amendments, site.measuring, site.spare_mm)
    facts = (spec.direct, spec.category, spec.input_w)
    terminal = (s for s in sized if s.rule.subject is Subject.TERMINAL)
    return tuple(s for s in terminal if s.rule.required and s.rule.applies_to(*facts))


def _snow_mm(survey: Survey, spec: TerminalSpec) -> int:
    """What the rules on snow ask over the roof, the snow included [mm]; 0 without snow or rule."""
    depth = survey.site.snow_depth_mm
    asked = [s.distance_mm for s in binding(survey, spec) if "snow" in s.rule.objects]
    return depth + max(asked) if depth and asked else 0


def _ground_of(building: Building, survey: Survey) -> Iterator[Thing]:
    """The highest ground at the house; a roof may lie low over a bank."""
    level = max((g.z for f in building.facades for g in f.grade), default=survey.site.grade_z_mm)
    yield Thing("grade", frozenset({"grade"}), (), -FAR_MM, level)


def _of_plane(
    building: Building, survey: Survey, spec: TerminalSpec, plane: RoofPlane, rules: tuple[SizedRule, ...],
    around: tuple[Thing, ...],
) -> Iterator[Zone]:  # fmt: skip
    rise = rise_on(survey, spec, plane)
    if rise is None:
        yield Zone(plane.id, -FAR_MM, FAR_MM, -FAR_MM, FAR_MM, 0, PITCH_RULE, plane.id)
        return
    ground = Ground(plane, rise, spec.radius_mm)
    found = [*_walls(ground), *_by_rules(building, ground, rules, around)]
    yield from (z for z in dict.fromkeys(found) if _reaches(z, plane))


def _walls(ground: Ground) -> Iterator[Zone]:
    """Places so near an upright wall that stands over the roof there that the table of heights does not serve."""
    reach = rule_mm("from_wall") + ground.radius_mm
    for wall in ground.plane.walls:
        near = Near(reach, z1=wall.top_z + ground.rise_mm)
        yield from zones_near(ground, near, wall.points, (0, 0), WALL_RULE, wall.id, "")


def _by_rules(
    building: Building, ground: Ground, rules: tuple[SizedRule, ...], around: tuple[Thing, ...]
) -> Iterator[Zone]:
    openings = in_roof(building)
    for sized in rules:
        if sized.rule.relation == _ON_WALL:
            yield from _whole(ground, building, sized.rule.id)
        for thing in around:
            if _concerns(sized, thing):
                yield from _of_thing(ground, sized, thing, False)
        for thing in openings:
            if _concerns(sized, thing):
                yield from _of_thing(ground, sized, thing, True)


def _concerns(sized: SizedRule, thing: Thing) -> bool:
    named = not thing.kinds.isdisjoint(sized.rule.objects)
    return named and ("regulator_vent" not in thing.kinds or sized.rule.applies_at_pressure(thing.pressure_pa))


def _whole(ground: Ground, building: Building, rule_id: str) -> Iterator[Zone]:
    """The disc lies wholly on the plane and over none of the roof's openings."""
    square, plane = ground.radius_mm**2, ground.plane
    for x0, x1, y0, y1 in outside(cores(plane.outline)):
        yield Zone(plane.id, x0, x1, y0, y1, square, rule_id, plane.id)
    for o in building.roof_openings:
        for x0, x1, y0, y1 in cores(o.outline):
            yield Zone(plane.id, x0, x1, y0, y1, square, rule_id, o.id)


def _of_thing(ground: Ground, sized: SizedRule, thing: Thing, opens_in_roof: bool) -> Iterator[Zone]:
    make = NEAR.get(sized.rule.relation)
    near = make(sized, thing, ground.radius_mm, opens_in_roof) if make else None
    if near is not None:
        heights = (thing.z0, thing.z1)
        yield from zones_near(ground, near, thing.points, heights, sized.rule.id, thing.id, sized.reading)


def zones_near(
    ground: Ground, near: Near, points: tuple[Point2, ...], heights: tuple[int, int], rule_id: str, object_id: str,
    reading: str,
) -> Iterator[Zone]:  # fmt: skip
    """Zones of one thing; without points it lies under the whole roof."""
    for core in cores(points) or [(-FAR_MM, FAR_MM, -FAR_MM, FAR_MM)]:
        radius2 = min(r for r in (near.reach**2, _in_space(ground, near, core, heights)) if r is not None)
        if radius2 > 0:
            zone = Zone(ground.plane.id, *core, radius2 if points else 0, rule_id, object_id, reading)
            yield from _between(ground, zone, near.z0, near.z1)


def _in_space(ground: Ground, near: Near, core: Box, heights: tuple[int, int]) -> int | None:
    """Squared reach in plan of a distance in space, the least gap in height within the zone taken off."""
    if not near.space:
        return None
    low, high = _heights(ground, core, near.reach)
    gap = max(heights[0] - high, low - heights[1], 0)
    return near.space**2 - gap**2


def _heights(ground: Ground, core: Box, reach: int) -> tuple[int, int]:
    """Least and greatest height of the terminal within reach of a box, on the plane [mm]."""
    x0, y0, x1, y1 = Polygon(ground.plane.outline).bounds
    a, b = max(core[0] - reach, int(x0)), min(core[1] + reach, int(x1))
    c, d = max(core[2] - reach, int(y0)), min(core[3] + reach, int(y1))
    found = [ground.z(x, y) for x in (a, b) for y in (c, d)]
    return min(found), max(found)


def _between(ground: Ground, zone: Zone, z0: int, z1: int) -> Iterator[Zone]:
    """What of a zone lies where the terminal's height is strictly between two bounds."""
    reach = isqrt(zone.radius2) + 1
    core = zone.s0, zone.s1, zone.z0, zone.z1
    low, high = _heights(ground, core, reach)
    if high <= z0 or low >= z1:
        return
    axis = ground.plane.axis
    if axis is None or (low > z0 and high < z1):
        yield zone
        return
    a, b = _band(ground, axis, z0, z1)
    yield replace(zone, within=(a, b, -FAR_MM, FAR_MM) if axis == 0 else (-FAR_MM, FAR_MM, a, b))


def _band(ground: Ground, axis: int, z0: int, z1: int) -> tuple[int, int]:
    """Open interval of the coordinate along which the plane rises where the height is strictly between two bounds."""
    sign = 1 if ground.plane.uphill[axis] > 0 else -1
    first = -FAR_MM if z0 <= -FAR_MM else _last(ground, axis, sign, lambda z: z <= z0, z0)
    last = FAR_MM if z1 >= FAR_MM else _last(ground, axis, sign, lambda z: z < z1, z1) + 1
    return (first, last) if sign > 0 else (-last, -first)


def _last(ground: Ground, axis: int, sign: int, holds: Callable[[int], bool], z: int) -> int:
    """Farthest uphill, counted along the rise, that a height still holds; heights grow uphill."""
    plane = ground.plane
    at = sign * plane.foot[axis] + round((z - ground.rise_mm - plane.foot_z) * 12 / plane.pitch_in_12)

    def height(u: int) -> int:
        place = [plane.foot[0], plane.foot[1]]
        place[axis] = sign * u
        return ground.z(place[0], place[1])

    while holds(height(at + 1)):
        at += 1
    while not holds(height(at)):
        at -= 1
    return at


def _reaches(zone: Zone, plane: RoofPlane) -> bool:
    x0, y0, x1, y1 = Polygon(plane.outline).bounds
    reach = isqrt(zone.radius2) + 1
    return zone.s0 - reach < x1 and zone.s1 + reach > x0 and zone.z0 - reach < y1 and zone.z1 + reach > y0


def cores(points: tuple[Point2, ...]) -> list[Box]:
    """Boxes (x0, x1, y0, y1) that cover a point, a line or an outline: exactly, unless it has a skew edge."""
    if not points:
        return []
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    around = (min(xs), max(xs), min(ys), max(ys))
    edges = zip(points, points[1:] + points[:1], strict=True)
    if len(points) < 5 or not all(a[0] == b[0] or a[1] == b[1] for a, b in edges):
        return [around]
    return list(_slabs(points))


def _slabs(outline: tuple[Point2, ...]) -> Iterator[Box]:
    """An outline of square corners as boxes from side to side."""
    shape = Polygon(outline)
    for a, b in pairwise(sorted({x for x, _ in outline})):
        part = shape.intersection(box(a, shape.bounds[1], b, shape.bounds[3]))
        for piece in getattr(part, "geoms", [part]):
            if piece.area > 0:
                yield a, b, round(piece.bounds[1]), round(piece.bounds[3])
