"""Where one heater's vent may not end because of the exhaust of another, if one of the two ends over a roof.

The rules speak of an exhaust's distance to an inlet that stands. Here the exhaust stands, and zones are of the other's
end: told bodily (two ends are two things), or because its own inlet, where its exhaust is, would be too near. Over a
roof an inlet is a square in plan from the roof up to the opening, in a wall a square on the wall.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from service.building.model import Building, Facade
from service.clearance.model import TerminalSpec, Zone
from service.clearance.plane import Extent, extent, facade_plane, half_chord
from service.clearance.roof import Ground, rise_on, zones_near
from service.clearance.roof_relations import Near
from service.clearance.terminal import binding_on
from service.design import RoofTerminal
from service.rules.rulesets import BOX, SizedRule
from service.survey.model import Point2, Survey

INLET, RADIAL, ON_WALL = "combustion_inlet", "radial", "on_wall"


@dataclass(frozen=True, slots=True)
class StandingEnd:
    """An end of a vent that stands: what it is called, plan point, heights from the roof up to the opening (in a wall
    that of its centre, twice), whether it is over a roof [mm]; ``far``: up to where before the wall a flue outlet may
    be."""

    name: str
    at: Point2
    low_z: int
    z: int
    over_roof: bool
    far: Point2 | None = None

    @property
    def points(self) -> tuple[Point2, ...]:
        """The point, or both between which it may be."""
        return (self.at,) if self.far is None else (self.at, self.far)


@dataclass(frozen=True, slots=True)
class Reach:
    """How far an inlet in a wall reaches from the point that its place is told by [mm]."""

    left: int
    right: int
    down: int
    up: int


def reach_of(half_mm: int) -> Reach:
    """That of a square told by its centre."""
    return Reach(half_mm, half_mm, half_mm, half_mm)


def standing_over(building: Building, name: str, end: RoofTerminal) -> StandingEnd:
    """An end over a roof. KeyError where the building has no such plane."""
    low = building.roof_plane(end.roof_id).height_mm(end.x_mm, end.y_mm)
    return StandingEnd(name, (end.x_mm, end.y_mm), low, end.z_mm, True)


def bodily_zones(
    building: Building, survey: Survey, spec: TerminalSpec, end: StandingEnd, reach_mm: int, rule_id: str
) -> Iterator[Zone]:
    """Places of an end of ``spec`` whose axis would be nearer than ``reach_mm`` to that of one that stands: straight on
    facades, and from a roof to a wall; in plan from roof to roof."""
    for facade in building.facades:
        e = extent(facade_plane(facade), (end.at,))
        zone = Zone(facade.id, e.s0, e.s1, end.low_z, end.z, 0, rule_id, end.name)
        yield from _rounded(zone, reach_mm, e.off)
    for ground in _grounds(building, survey, spec, 0):
        near, heights = _apart(end, ground.rise_mm, reach_mm)
        yield from zones_near(ground, near, (end.at,), heights, rule_id, end.name, "")


def _apart(end: StandingEnd, rise: int, reach: int) -> tuple[Near, tuple[int, int]]:
    """How near one over a roof may be, and between which heights of its opening the other is level with some of it."""
    return (Near(reach), (0, 0)) if end.over_roof else (Near(reach, space=reach), (end.z, end.z + rise))


def roof_inlet_zones(
    building: Building, survey: Survey, spec: TerminalSpec, exhaust: TerminalSpec, end: StandingEnd, half_mm: int
) -> Iterator[Zone]:
    """Places of an end of ``spec`` over a roof whose inlet, a square of twice ``half_mm``, an exhaust that stands would
    be too near to."""
    rules, points = _to_inlets(survey, exhaust), _hull(end.points, half_mm)
    for ground in _grounds(building, survey, spec, exhaust.radius_mm):
        for sized in rules:
            near, heights = _over_roof(sized, exhaust, end, ground.rise_mm)
            yield from zones_near(ground, near, points, heights, sized.rule.id, end.name, sized.reading)


def _over_roof(sized: SizedRule, exhaust: TerminalSpec, end: StandingEnd, rise: int) -> tuple[Near, tuple[int, int]]:
    """The rule turned round. Two over a roof are measured in plan."""
    r = exhaust.radius_mm
    if sized.rule.relation == ON_WALL:
        return Near(r if end.over_roof else 0), (0, 0)
    mm = sized.distance_mm if sized.rule.relation == RADIAL else sized.beside_mm
    if end.over_roof:
        return Near(mm + r), (0, 0)
    heights = end.z, end.z + rise
    if sized.rule.relation == RADIAL:
        return Near(mm + r, space=mm + r), heights
    low, high = end.z - r - sized.above_mm, end.z + r + sized.below_mm + rise
    return Near(mm + r, low, high, sized.string_mm + r if sized.string_mm else 0), heights


def wall_inlet_zones(
    building: Building, survey: Survey, exhaust: TerminalSpec, end: StandingEnd, inlet: Reach
) -> Iterator[Zone]:
    """Places of an inlet in a wall that an exhaust over a roof, or in a wall, would be too near to; round a corner all
    is taken straight, so there they may be more."""
    for facade in building.facades:
        e = extent(facade_plane(facade), end.points)
        wide = replace(e, s0=e.s0 - inlet.right, s1=e.s1 + inlet.left)
        for sized in _to_inlets(survey, exhaust):
            if sized.rule.relation != ON_WALL:
                yield from _in_wall(facade, wide, sized, exhaust.radius_mm, end, inlet)


def _in_wall(facade: Facade, e: Extent, sized: SizedRule, r: int, end: StandingEnd, inlet: Reach) -> Iterator[Zone]:
    core, own = (e.s0, e.s1, end.z - inlet.up, end.z + inlet.down), 0 if end.over_roof else r
    zone = Zone(facade.id, *core, 0, sized.rule.id, end.name, sized.reading)
    if sized.rule.relation == RADIAL:
        yield from _rounded(zone, sized.distance_mm + r, e.off)
    elif chord := half_chord(sized.beside_mm + r, e.off):
        box = e.s0 - chord, e.s1 + chord, core[2] - sized.above_mm - own, core[3] + sized.below_mm + own
        square = Zone(facade.id, *box, 0, sized.rule.id, end.name, sized.reading)
        string = (replace(z, within=box) for z in _rounded(zone, sized.string_mm + r, e.off))
        yield from string if sized.string_mm else (square,)


def _rounded(zone: Zone, reach: int, off: int) -> Iterator[Zone]:
    """A zone's box and all that is nearer to it than ``reach``, seen ``off`` the plane [mm]."""
    if reach > off:
        yield replace(zone, radius2=reach**2 - off**2)


def _to_inlets(survey: Survey, exhaust: TerminalSpec) -> tuple[SizedRule, ...]:
    """Rules that keep an exhaust from combustion inlets. ValueError for one that is not known how to turn round."""
    rules = [s for s in binding_on(survey, exhaust) if INLET in s.rule.objects or s.rule.relation == ON_WALL]
    for sized in rules:
        if sized.rule.relation not in (RADIAL, BOX, ON_WALL):
            raise ValueError(f"rule {sized.rule.id} cannot be told from the inlet's side")
    return tuple(rules)


def _grounds(building: Building, survey: Survey, spec: TerminalSpec, radius_mm: int) -> Iterator[Ground]:
    """Planes over which an end of ``spec`` may be at all, with how high over them it is."""
    for plane in building.roof:
        rise = rise_on(survey, spec, plane)
        if rise is not None:
            yield Ground(plane, rise, radius_mm)


def _hull(points: tuple[Point2, ...], half: int) -> tuple[Point2, ...]:
    """Corners of the box round some points and ``half`` more to every side [mm]."""
    (x0, x1), (y0, y1) = ((min(v) - half, max(v) + half) for v in zip(*points, strict=True))
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def square_round(at: Point2, half: int) -> tuple[Point2, ...]:
    """Corners of a square round a plan point, ``half`` to either side [mm]."""
    return _hull((at,), half)
