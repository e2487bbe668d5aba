"""Whether the case may hang where it does: rooms, listed clearances, working space, openings, heights.

The case is a box with its back on the wall face; every box below is a plan outline in the room and a
height range, judged with exact plan geometry against the room's outline and the keep-outs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from shapely import LineString, Polygon, box
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from service.building.model import Building, BuiltRoom, Face, Prism
from service.check.routes import face_of
from service.check.surfaces import opening_hit
from service.check.verdicts import all_of, at_least, stated
from service.design import MANIFOLD_DROP_MM, Design, Finding, Piece, Surface, Verdict
from service.rules.mounting import WALL_SLACK_MM, SizedMountRule, sized_mounting
from service.rules.rulesets import rule_set
from service.survey.equipment import Draft
from service.survey.model import RoomUse, Survey

SLIVER_MM2 = 1.0
"""Overlap no larger than this is rounding of a skew wall [mm2]."""


@dataclass(frozen=True, slots=True)
class Hung:
    """The case in place: on ``face`` from ``s0`` to ``s1``, heights ``z0`` to ``z1`` [mm]."""

    survey: Survey
    building: Building
    design: Design
    face: Face
    room: BuiltRoom
    s0: int
    s1: int
    z0: int
    z1: int

    def outline(self, s0: int, s1: int, near: int, far: int) -> BaseGeometry:
        """Plan outline of a box before the wall, from ``near`` to ``far`` off it [mm]."""
        return self.placed(box(s0, near, s1, far))

    def placed(self, shape: BaseGeometry) -> BaseGeometry:
        """Shape in (along the wall, off the wall) carried to the plan [mm]."""
        (ax, ay), (bx, by) = self.face.start, self.face.end
        length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        ux, uy = (bx - ax) / length, (by - ay) / length
        return affine_transform(shape, [ux, -uy, uy, ux, ax, ay])


Judge = Callable[[SizedMountRule, Hung], tuple[Finding, ...]]


def mount_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings of every mounting rule that the heater falls under."""
    face = face_of(building, design)
    if face is None:
        fault = f"the house has no wall face {design.mount.face_id}"
        return (stated("mount.face", "mount", design.mount.face_id, False, fault),)
    hung = _hung(survey, building, design, face)
    country = rule_set(survey.site.rule_set).country
    return tuple(
        finding
        for sized in sized_mounting(country, survey.units, survey.site.amendments)
        if _applies(sized, hung)
        for finding in _JUDGES[sized.rule.relation](sized, hung)
    )


def _hung(survey: Survey, building: Building, design: Design, face: Face) -> Hung:
    """Seen from the room s grows to the left, so the case reaches from its right edge up to its left."""
    heater, mount = design.heater, design.mount
    left = mount.s_mm + heater.vent_dx_mm
    top = mount.bottom_z_mm + heater.height_mm
    room = building.room(face.room_id)
    return Hung(survey, building, design, face, room, left - heater.width_mm, left, mount.bottom_z_mm, top)


def _applies(sized: SizedMountRule, hung: Hung) -> bool:
    heater = hung.design.heater
    if not sized.rule.applies_to(heater.draft is Draft.DIRECT, heater.vapour_ignition_resistant):
        return False
    return sized.rule.applies_in(hung.room.use, _opens_only_into(hung))


def _opens_only_into(hung: Hung) -> tuple[RoomUse, ...]:
    """Uses of the rooms through which alone the heater's room is reached, one behind another."""
    uses, seen, at = [], {hung.room.id}, hung.room.opens_only_into
    while at is not None and at not in seen:
        seen.add(at)
        room = next((r for r in hung.building.rooms if r.id == at), None)
        if room is None:
            break
        uses.append(room.use)
        at = room.opens_only_into
    return tuple(uses)


def _verdict(sized: SizedMountRule, kept: bool, missing: str) -> Verdict:
    if kept:
        return Verdict.PASS
    if not sized.rule.required or (missing and sized.rule.on_missing == "advice"):
        return Verdict.ADVICE
    return Verdict.UNKNOWN if missing else Verdict.FAIL


def _of_room(
    sized: SizedMountRule, hung: Hung, kept: bool, detail: str, required: int | None = None, actual: int | None = None
) -> tuple[Finding, ...]:
    """Finding of a rule that speaks of the room; an unknown use leaves a broken one open."""
    rule, open_use = sized.rule, bool(sized.rule.rooms) and RoomUse.UNKNOWN in (hung.room.use, *_opens_only_into(hung))
    missing = f"use of room {hung.room.id}" if open_use and not kept else ""
    verdict = _verdict(sized, kept, missing)
    return (Finding(rule.id, verdict, "mount", hung.room.id, detail, required, actual, rule.citation, missing),)


def _room_forbidden(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    return _of_room(sized, hung, False, f"no such heater in a room used as {hung.room.use}; {sized.rule.note}")


def _advice(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    rule = sized.rule
    return (Finding(rule.id, Verdict.ADVICE, "mount", hung.room.id, rule.note, citation=rule.citation),)


def _above_floor(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    height = hung.z0 - hung.room.floor_z
    detail = f"bottom of the case {height} mm over the floor"
    return _of_room(sized, hung, height >= sized.distance_mm, detail, sized.distance_mm, height)


def _headroom(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    height = hung.room.ceiling_z - hung.room.floor_z
    detail = f"{height} mm from floor to ceiling"
    return _of_room(sized, hung, height >= sized.distance_mm, detail, sized.distance_mm, height)


def _working_space(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    depth = hung.design.heater.depth_mm
    spare = sized.width_mm - (hung.s1 - hung.s0)
    ends = (hung.s0 - -(-spare // 2), hung.s1 + -(-spare // 2)) if spare > 0 else _middle(hung, sized.width_mm)
    space = hung.outline(*ends, depth, depth + sized.distance_mm)
    faults = _obstacles(hung, space, hung.room.floor_z, hung.z1)
    held = f"{sized.distance_mm} mm deep and {sized.width_mm} mm wide in front of the case is free"
    return all_of(sized.rule.id, "mount", hung.room.id, faults, held, sized.rule.citation)


def _middle(hung: Hung, width: int) -> tuple[int, int]:
    start = (hung.s0 + hung.s1 - width) // 2
    return start, start + width


def _obstacles(hung: Hung, space: BaseGeometry, z0: int, z1: int) -> list[str]:
    """What of the room's walls and keep-outs stands in a box."""
    return _walls_in(hung, space) + _keep_outs_in(hung, space, z0, z1)


def _walls_in(hung: Hung, space: BaseGeometry) -> list[str]:
    return [] if space.difference(Polygon(hung.room.outline)).area <= SLIVER_MM2 else ["reaches into a wall"]


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
    faults = []
    if not (hung.s0 >= 0 and hung.s1 <= face.length_mm and face.z0 <= hung.z0 and hung.z1 <= face.z1):
        faults.append(f"the case reaches beyond its wall: {hung.s0} to {hung.s1} of {face.length_mm} mm")
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
    beside = _walls_in(hung, around[0])
    beside += _keep_outs_in(hung, around[1], hung.z0 - listed.bottom_mm, hung.z1 + listed.top_mm)
    ahead = _obstacles(hung, front, hung.room.floor_z, hung.z1)
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
    hole = hole or opening_hit(hung.face, upright, hung.design.heater.vent.pipe_radius_mm)
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
    line = hung.placed(LineString([(s, 0), (s, hung.design.heater.depth_mm)]))
    return [
        k
        for k in hung.building.keep_outs
        if k.z0 < z1 and k.z1 > z0 and (line.crosses(Polygon(k.outline)) or line.within(Polygon(k.outline)))
    ]


def _refused(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    refused = hung.survey.preferences.rooms_refused
    told = "rooms the customer refuses: " + (", ".join(refused) or "none")
    return _of_room(sized, hung, hung.room.id not in refused, told)


def _wanted(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    wanted = hung.survey.preferences.rooms_wanted
    kept = not wanted or hung.room.id in wanted
    return _of_room(sized, hung, kept, "rooms the customer wants: " + (", ".join(wanted) or "any"))


_JUDGES: dict[str, Judge] = {
    "room_forbidden": _room_forbidden,
    "above_floor": _above_floor,
    "working_space": _working_space,
    "headroom": _headroom,
    "on_wall": _on_wall,
    "listed_clearance": _listed,
    "manifold": _manifold,
    "vent_rise": _vent_rise,
    "passage": _advice,
    "advice": _advice,
    "rooms_refused": _refused,
    "rooms_wanted": _wanted,
}
