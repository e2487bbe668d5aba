"""Whether the case may hang where it does: rooms, listed clearances, working space, openings, heights.

The case is a box with its back on the wall face; every box below is a plan outline in the room and a
height range, judged with exact plan geometry against the room's outline and the keep-outs.
"""

from __future__ import annotations

from collections.abc import Callable

from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from service.building.model import Building, Prism
from service.check import access, mount_rooms
from service.check.doorways import service_area
from service.check.hung import Hung, hung_on, laid
from service.check.routes import face_of
from service.check.surfaces import opening_hit
from service.check.verdicts import all_of, at_least, stated
from service.design import MANIFOLD_DROP_MM, Design, Finding, Piece, Surface
from service.phrases import Detail, mm, phrase
from service.rules.mounting import WALL_SLACK_MM, SizedMountRule, sized_mounting
from service.rules.rulesets import rule_set
from service.survey.equipment import Draft
from service.survey.model import Survey

SLIVER_MM2 = 1.0
"""Overlap no larger than this is rounding of a skew wall [mm2]."""

Judge = Callable[[SizedMountRule, Hung], tuple[Finding, ...]]


def mount_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings of every mounting rule that a heater in a room falls under."""
    face = face_of(building, design)
    if face is None:
        fault = f"the house has no wall face {design.mount.face_id}"
        return (stated("mount.face", "mount", design.mount.face_id, False, fault),)
    hung = hung_on(survey, building, design, face)
    country = rule_set(survey.site.rule_set).country
    return tuple(
        finding
        for sized in sized_mounting(country, survey.units, survey.site.amendments)
        if _applies(sized, hung)
        for finding in _JUDGES[sized.rule.relation](sized, hung)
    )


def _applies(sized: SizedMountRule, hung: Hung) -> bool:
    heater = hung.design.heater
    if not sized.rule.applies_to(heater.draft is Draft.DIRECT, heater.vapour_ignition_resistant):
        return False
    return sized.rule.holds(outdoors=False) and sized.rule.applies_in(hung.room.use, hung.onward)


def _working_space(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    depth = hung.design.heater.depth_mm
    spare = sized.width_mm - (hung.s1 - hung.s0)
    ends = (hung.s0 - -(-spare // 2), hung.s1 + -(-spare // 2)) if spare > 0 else _middle(hung, sized.width_mm)
    space = hung.outline(*ends, depth, depth + sized.distance_mm)
    faults = _walls_in(service_area(hung), space) + _keep_outs_in(hung, space, hung.room.floor_z, hung.z1)
    held = phrase(mm(sized.distance_mm), " deep and ", mm(sized.width_mm), " wide in front of the case is free")
    return all_of(sized.rule.id, "mount", hung.room.id, faults, held, sized.rule.citation)


def _middle(hung: Hung, width: int) -> tuple[int, int]:
    start = (hung.s0 + hung.s1 - width) // 2
    return start, start + width


def _walls_in(free: BaseGeometry, space: BaseGeometry) -> list[str]:
    return [] if space.difference(free).area <= SLIVER_MM2 else ["reaches into a wall"]


def _keep_outs_in(hung: Hung, space: BaseGeometry, z0: int, z1: int) -> list[str]:
    return [
        f"keep-out {k.id} stands in it"
        for k in hung.building.keep_outs
        if k.z0 < z1 and k.z1 > z0 and _shared(k, space) > SLIVER_MM2
    ]


def _shared(k: Prism, space: BaseGeometry) -> float:
    return float(Polygon(k.outline).intersection(space).area)


def _on_wall(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    face, listed = hung.face, hung.design.heater.clearances
    faults: list[Detail] = []
    if not (hung.s0 >= 0 and hung.s1 <= face.length_mm and face.z0 <= hung.z0 and hung.z1 <= face.z1):
        reach = (mm(hung.s0), " to ", mm(hung.s1), " of ", mm(face.length_mm))
        faults.append(phrase("the case reaches beyond its wall: ", *reach))
    s0, s1 = hung.s0 - listed.right_mm, hung.s1 + listed.left_mm
    faults += [
        f"opening {h.opening_id} lies behind or beside the case"
        for h in face.holes
        if h.s0 < s1 and h.s1 > s0 and h.z0 < hung.z1 and h.z1 > hung.z0
    ]
    return all_of(sized.rule.id, "mount", face.id, faults, "the case lies wholly on wall", sized.rule.citation)


def _listed(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Listed free space: heights as margins, the rest as boxes."""
    rule, listed, heater = sized.rule, hung.design.heater.clearances, hung.design.heater
    over, under = hung.room.ceiling_z - hung.z1, hung.z0 - hung.room.floor_z
    s0, s1 = hung.s0 - listed.right_mm, hung.s1 + listed.left_mm
    around = [hung.outline(s0, s1, near, heater.depth_mm) for near in (WALL_SLACK_MM, 0)]
    front = hung.outline(hung.s0, hung.s1, heater.depth_mm, heater.depth_mm + listed.front_mm)
    room = Polygon(hung.room.outline)
    beside = _walls_in(room, around[0])
    beside += _keep_outs_in(hung, around[1], hung.z0 - listed.bottom_mm, hung.z1 + listed.top_mm)
    ahead = _walls_in(room, front) + _keep_outs_in(hung, front, hung.room.floor_z, hung.z1)
    return (
        at_least(rule.id, "mount", "ceiling", listed.top_mm, over, "free above the case", rule.citation),
        at_least(rule.id, "mount", "floor", listed.bottom_mm, under, "free below the case", rule.citation),
        *all_of(rule.id, "mount", "sides", beside, "side, top and bottom space is free", rule.citation),
        *all_of(rule.id, "mount", "front", ahead, "front space is free", rule.citation),
    )


def _manifold(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    required, actual = MANIFOLD_DROP_MM + sized.distance_mm, hung.z0 - hung.room.floor_z
    detail = "room under the case for the small pipes to meet"
    return (at_least(sized.rule.id, "mount", "floor", required, actual, detail, sized.rule.citation),)


def _vent_rise(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Room for the vent's rise, and nothing on its line from the manifold to the first bend."""
    rule, rise, s = sized.rule, hung.design.heater.vent_rise_mm, hung.design.mount.s_mm
    plan, low, bend = hung.face.point(s), hung.z0 - MANIFOLD_DROP_MM, hung.z1 + rise
    upright = Piece((*plan, hung.z1), (*plan, bend), Surface.WALL)
    hole = opening_hit(hung.face, Piece((*plan, low), (*plan, bend), Surface.WALL), 0)
    hole = hole or opening_hit(hung.face, upright, hung.design.heater.vent.bundle_radius_mm)
    faults = [f"opening {hole} lies on the vent's line"] if hole else []
    faults += [f"keep-out {k.id} stands on the vent's line" for k in _keep_outs_on_line(hung, low, bend)]
    over = hung.room.ceiling_z - hung.z1
    detail = "height for the vent's rise above the case"
    return (
        at_least(rule.id, "mount", "ceiling", rise, over, detail, rule.citation),
        *all_of(rule.id, "mount", hung.face.id, faults, "the vent's line is free", rule.citation),
    )


def _keep_outs_on_line(hung: Hung, z0: int, z1: int) -> list[Prism]:
    """Keep-outs into which the vent port's line runs, no deeper before the wall than the case."""
    s = hung.design.mount.s_mm
    line = laid(hung.face, LineString([(s, 0), (s, hung.design.heater.depth_mm)]))
    return [
        k
        for k in hung.building.keep_outs
        if k.z0 < z1 and k.z1 > z0 and (line.crosses(Polygon(k.outline)) or line.within(Polygon(k.outline)))
    ]


_JUDGES: dict[str, Judge] = {
    "room_forbidden": mount_rooms.room_forbidden,
    "above_floor": mount_rooms.above_floor,
    "above_vehicles": mount_rooms.above_vehicles,
    "above_flood": mount_rooms.above_flood,
    "working_space": _working_space,
    "headroom": mount_rooms.headroom,
    "door": mount_rooms.door,
    "on_wall": _on_wall,
    "listed_clearance": _listed,
    "manifold": _manifold,
    "vent_rise": _vent_rise,
    "access_passage": access.passage,
    "access_opening": access.opening,
    "access_platform": access.platform,
    "access_pit": access.pit,
    "access_outlets": access.outlets,
    "advice": mount_rooms.advice,
    "record": mount_rooms.record,
    "rooms_refused": mount_rooms.refused,
    "rooms_wanted": mount_rooms.wanted,
}
