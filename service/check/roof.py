"""A vent's end over a roof: its height over the roof, what stands beside it, what opens in the roof."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil, floor, hypot, inf

from service.building.model import Building
from service.building.roof_model import BuiltRoofOpening, RoofPlane
from service.check.measure import (
    contains,
    edges,
    floor_root,
    point_outline_gap2,
    point_segment_gap2,
    segment_outline_gap2,
)
from service.check.objects import EVERYWHERE_MM, Spot, Thing, is_ahead
from service.check.verdicts import at_least
from service.design import Design, Finding, Verdict
from service.phrases import mm, phrase
from service.rules.rule import Subject
from service.rules.rulesets import rule_set
from service.survey.model import Point2, Survey
from service.survey.roof import RoofOpeningKind
from service.survey.roof import RoofPlane as Surveyed
from service.trades.roof import is_steep, is_wide, roof_height, roof_rule, rule_mm
from service.trades.vent_systems import system_of

PITCH_RULE, WALL_RULE, PARTS_RULE, LEAST_RULE = "ROOF-PITCH", "ROOF-WALL", "ROOF-PARTS", "ROOF-LEAST"
TURNED_MM = 3
"""Rounding of an eave line in a turned frame, seen over a house's depth [mm]."""
LISTING = "listing, installation instructions"
_NOISE = 1e-6


def roof_things(building: Building, spot: Spot) -> Iterator[Thing]:
    """What opens in the roof that a terminal is on, and the highest ground at the house."""
    for o in building.roof_openings:
        kind, missing = _kind(o)
        gap2 = point_outline_gap2(spot.point, o.outline)
        yield Thing(kind, o.id, gap2, o.low_z, o.top_z, missing=missing, in_roof=True)
    level = max((g.z for f in building.facades for g in f.grade), default=None)
    if level is not None:
        yield Thing("grade", "grade", Fraction(0), -EVERYWHERE_MM, level)


def over_wall(building: Building, spot: Spot) -> Iterator[Thing]:
    """What opens in the roof, as a terminal in a wall has it: straight."""
    for o in building.roof_openings:
        kind, missing = _kind(o)
        gap2 = segment_outline_gap2(spot.point, spot.far, o.outline)
        yield Thing(kind, o.id, gap2, o.low_z, o.top_z, in_front=is_ahead(spot, o.outline), missing=missing)


def _kind(o: BuiltRoofOpening) -> tuple[str, str]:
    """Its word in the rule tables, and what is not known of it."""
    if o.kind is RoofOpeningKind.HATCH:
        return "door", ""
    if o.kind is not RoofOpeningKind.SKYLIGHT:
        return o.kind.value, ""
    if o.operable is False:
        return "window_fixed", ""
    return "window_operable", "" if o.operable else f"whether {o.id} opens"


def on_roof(building: Building, plane: RoofPlane, spot: Spot, rule_id: str, citation: str) -> Iterator[Finding]:
    """Distance of the terminal's axis from the plane's edges and from every opening in the roof; negative where it is
    off the one or over the other."""
    gap = floor_root(min(point_segment_gap2(spot.point, a, b) for a, b in edges(plane.outline)))
    actual = gap if contains(plane.outline, spot.point) else -gap - 1
    detail = phrase("roof all round the terminal's axis for ", mm(actual), ", its radius is ", mm(spot.radius))
    yield at_least(rule_id, "terminal", plane.id, spot.radius, actual, detail, citation)
    for o in building.roof_openings:
        free = floor_root(point_outline_gap2(spot.point, o.outline))
        if free <= 3 * spot.radius:
            yield at_least(rule_id, "terminal", o.id, spot.radius, free, phrase(mm(free), " from its axis"), citation)


def heights_over_roof(
    survey: Survey, building: Building, design: Design, plane: RoofPlane, spot: Spot
) -> Iterator[Finding]:
    """Height over the roof where the vent passes: by pitch, or near a wall over all that is near; by practice; snow."""
    pitch, size = _pitch(survey, plane), 2 * design.heater.vent.pipe_radius_mm
    over = _over_mm(survey, building, plane, spot, design.heater.vent.pipe_radius_mm)
    wall_id, gap = _nearest_wall(survey, building, plane, spot)
    asked, near = rule_mm("from_wall"), gap - spot.radius
    if is_steep(pitch) and near >= asked and not is_wide(size):
        detail = f"a roof of {pitch:g} in 12, steeper than the table of heights reaches"
        yield Finding(
            PITCH_RULE, Verdict.UNKNOWN, "terminal", plane.id, detail, None, over, roof_rule("from_wall").citation,
            "height over so steep a roof",
        )  # fmt: skip
    else:
        height = roof_height(pitch, size, near)
        detail = f"opening over the roof at its highest point round the vent, roof of {pitch:g} in 12"
        yield at_least(PITCH_RULE, "terminal", plane.id, height.over_roof_mm, over, detail, height.citation)
        if height.reach_mm:
            yield from _over_parts(building, plane, spot, height.over_parts_mm, height.reach_mm, height.citation)
    if wall_id and near < 3 * asked:
        yield _beside_wall(wall_id, asked, floor(near))
    least = roof_rule("least")
    yield at_least(LEAST_RULE, "terminal", plane.id, rule_mm("least"), over, "opening over the roof", least.citation)
    yield from _snow(survey, design, plane, over)


def _beside_wall(wall_id: str, asked: int, near: int) -> Finding:
    """Whether the table by pitch serves at all; where it does not, the other heights are asked instead."""
    kept = near >= asked
    more = "" if kept else ": the table by pitch does not serve, the heights over roof and parts are asked"
    detail = phrase(mm(near), f" from an upright wall that stands over the roof there{more}")
    verdict = Verdict.PASS if kept else Verdict.ADVICE
    return Finding(WALL_RULE, verdict, "terminal", wall_id, detail, asked, near, roof_rule("from_wall").citation)


def _over_parts(
    building: Building, plane: RoofPlane, spot: Spot, over_mm: int, reach_mm: int, citation: str
) -> Iterator[Finding]:
    """Every part of a building within reach: walls, what stands on the roof, the roof itself."""
    for wall in plane.walls:
        if floor_root(_gap2(spot.point, wall.points)) - spot.radius < reach_mm:
            detail = "opening over a part of a building within reach"
            yield at_least(PARTS_RULE, "terminal", wall.id, over_mm, spot.z - wall.top_z, detail, citation)
    for other in building.roof:
        if (top := _top_within(other, spot, reach_mm + spot.radius)) is not None:
            detail = "opening over the roof within reach"
            yield at_least(PARTS_RULE, "terminal", other.id, over_mm, spot.z - top, detail, citation)


def _top_within(plane: RoofPlane, spot: Spot, reach_mm: int) -> int | None:
    """Highest that a plane may be within reach [mm]; None where it is not. Never less than it is."""
    if floor_root(point_outline_gap2(spot.point, plane.outline)) >= reach_mm:
        return None
    highest = max(plane.level_mm(*p) for p in plane.outline)
    uphill = plane.level_mm(*spot.point) + reach_mm * plane.pitch_in_12 / 12
    return ceil(min(highest, uphill) - _NOISE)


def _snow(survey: Survey, design: Design, plane: RoofPlane, over: int) -> Iterator[Finding]:
    """Rules on snow, which lies as deep on the roof as on the ground."""
    site, heater = survey.site, design.heater
    if not site.snow_depth_mm:
        return
    for sized in rule_set(site.rule_set).sized(survey.units, site.amendments, site.measuring, site.spare_mm):
        speaks = sized.rule.applies_to(heater.draft == "direct", heater.category.value, heater.input_max_w)
        if "snow" in sized.rule.objects and sized.rule.required and speaks and sized.rule.subject is Subject.TERMINAL:
            detail = phrase("opening over ", mm(site.snow_depth_mm), " of snow on the roof")
            actual, name = over - site.snow_depth_mm, f"snow on {plane.id}"
            yield at_least(sized.rule.id, "terminal", name, sized.distance_mm, actual, detail, sized.rule.citation)


def roof_advice(design: Design, plane: RoofPlane) -> Iterator[Finding]:
    """What only the listing tells of an end on a roof."""
    system = system_of(design.heater.vent)
    detail = "the heater's listing says whether its vent may end on a roof, with which terminal, how high and how near "
    yield Finding(
        "vent.roof_listing", Verdict.ADVICE, "vent", system.id, f"{detail}to the air intake", citation=LISTING,
        missing="roof terminal of the listing",
    )  # fmt: skip
    if system.construction == "twin":
        yield Finding(
            "vent.roof_twin", Verdict.UNKNOWN, "vent", system.id, "two pipes, of which only the exhaust is told here",
            citation=LISTING, missing="where the air pipe ends on the roof",
        )  # fmt: skip
    if plane.assumed:
        yield Finding(
            "ROOF-ASSUMED", Verdict.ADVICE, "terminal", plane.id, "the roof is taken as flat, nobody described it",
            citation="common practice", missing="planes of the roof",
        )  # fmt: skip


def _surveyed(survey: Survey, plane: RoofPlane) -> Surveyed | None:
    planes = survey.roof.planes if survey.roof else ()
    return next((p for p in planes if f"roof/{p.id}" == plane.id), None)


def _pitch(survey: Survey, plane: RoofPlane) -> float:
    told = _surveyed(survey, plane)
    return told.pitch_in_12 if told and told.eave else 0.0


def _over_mm(survey: Survey, building: Building, plane: RoofPlane, spot: Spot, pipe_radius_mm: int) -> int:
    """Height of the opening over the roof at the vent's upper side, from the survey's own eave line [mm]."""
    uphill = pipe_radius_mm * _pitch(survey, plane) / 12
    return floor(spot.z - _level(survey, building, plane, spot.point) - uphill + _slack_mm(building) + _NOISE)


def _slack_mm(building: Building) -> int:
    return TURNED_MM if building.frame.angle_rad else 0


def _level(survey: Survey, building: Building, plane: RoofPlane, p: Point2) -> float:
    """Height of a plane over a plan point, by the survey's own eave line [mm]."""
    told = _surveyed(survey, plane)
    if told is None or told.eave is None:
        return told.eave_z_mm if told else plane.foot_z
    (ax, ay), (bx, by) = (building.frame.to_frame(q) for q in told.eave)
    off = abs((p[0] - ax) * (by - ay) - (p[1] - ay) * (bx - ax)) / hypot(bx - ax, by - ay)
    return told.eave_z_mm + off * told.pitch_in_12 / 12


def _nearest_wall(survey: Survey, building: Building, plane: RoofPlane, spot: Spot) -> tuple[str, float]:
    """The upright wall nearest to the terminal's axis of those that stand over the roof there, '' if there is none."""
    roof_z = ceil(_level(survey, building, plane, spot.point) + _slack_mm(building) - _NOISE)
    standing = [(_gap2(spot.point, w.points), w.id) for w in plane.walls if w.top_z > roof_z]
    gap2, wall_id = min(standing, default=(Fraction(0), ""))
    return (wall_id, floor_root(gap2)) if wall_id else ("", inf)


def _gap2(p: Point2, points: tuple[Point2, ...]) -> Fraction:
    """Squared plan distance from a line or an outline [mm2]."""
    return point_segment_gap2(p, *points) if len(points) == 2 else point_outline_gap2(p, points)
