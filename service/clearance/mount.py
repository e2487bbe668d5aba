"""Where on the inside faces the case of a heater may not hang (meanings of the rules: rules.mounting)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from service.building.model import Building, BuiltRoom, Face
from service.clearance.access import has_door, is_reached
from service.clearance.doorways import service_areas
from service.clearance.model import FAR_MM, Zone
from service.clearance.plane import Plane, face_plane
from service.clearance.strips import gaps_within, prism_within, walls_within
from service.design import MANIFOLD_DROP_MM
from service.rules.mounting import WALL_SLACK_MM, SizedMountRule, sized_mounting
from service.rules.rulesets import rule_set
from service.survey.equipment import Draft, Heater
from service.survey.model import Enclosure, GarageKind, OpeningKind, Room, RoomUse, Survey


@dataclass(frozen=True, slots=True)
class _Case:
    """A heater in front of one face of one room; ``left`` and ``right`` of the vent port's line [mm].

    ``facts``: the room as surveyed.
    """

    building: Building
    survey: Survey
    face: Face
    room: BuiltRoom
    plane: Plane
    heater: Heater
    facts: Room | None

    @property
    def left(self) -> int:
        return self.heater.vent_dx_mm

    @property
    def right(self) -> int:
        return self.heater.width_mm - self.heater.vent_dx_mm

    def everywhere(self, object_id: str) -> _Shape:
        """The whole face."""
        return -FAR_MM, FAR_MM, -FAR_MM, FAR_MM, object_id

    def below(self, z: int, object_id: str) -> _Shape:
        """All bottoms lower than ``z``."""
        return -FAR_MM, FAR_MM, -FAR_MM, z, object_id

    def above(self, z: int, object_id: str) -> _Shape:
        """All bottoms higher than ``z``."""
        return -FAR_MM, FAR_MM, z, FAR_MM, object_id


_Shape = tuple[int, int, int, int, str]


def mount_zones(building: Building, survey: Survey, heater: Heater) -> dict[str, tuple[Zone, ...]]:
    """Forbidden zones of (s = vent port's line, z = bottom of the case, absolute), for every face id [mm].

    KeyError for an unknown rule set.
    """
    rules = mount_rules(survey, heater)
    return {face.id: face_zones(building, survey, heater, face, rules) for face in building.faces}


def mount_rules(survey: Survey, heater: Heater) -> tuple[SizedMountRule, ...]:
    """Compulsory mounting rules that hold for a heater in a room under the survey's rule set and amendments.

    KeyError for an unknown rule set.
    """
    country = rule_set(survey.site.rule_set).country
    direct = heater.draft is Draft.DIRECT
    return tuple(
        s
        for s in sized_mounting(country, survey.units, survey.site.amendments)
        if s.rule.required and s.rule.holds(False) and s.rule.applies_to(direct, heater.vapour_ignition_resistant)
    )


def face_zones(
    building: Building, survey: Survey, heater: Heater, face: Face, rules: tuple[SizedMountRule, ...]
) -> tuple[Zone, ...]:
    """Forbidden zones of one face under the heater's ``mount_rules`` [mm]."""
    return tuple(_face_zones(_case(building, survey, heater, face, building.room(face.room_id)), rules))


def _case(building: Building, survey: Survey, heater: Heater, face: Face, room: BuiltRoom) -> _Case:
    return _Case(building, survey, face, room, face_plane(face), heater, survey.room(room.id))


def _face_zones(case: _Case, rules: tuple[SizedMountRule, ...]) -> Iterator[Zone]:
    behind = _opens_only_into(case.building, case.room)
    for sized in rules:
        if sized.rule.applies_in(case.room.use, behind):
            for s0, s1, z0, z1, object_id in _SHAPES[sized.rule.relation](case, sized):
                yield Zone(case.face.id, s0, s1, z0, z1, 0, sized.rule.id, object_id, sized.rule.reading)


def _opens_only_into(building: Building, room: BuiltRoom) -> tuple[RoomUse, ...]:
    """Uses of the rooms one must pass, one behind another, to leave a room that has one way out."""
    passed, uses = {room.id}, []
    while room.opens_only_into and room.opens_only_into not in passed:
        room = building.room(room.opens_only_into)
        passed.add(room.id)
        uses.append(room.use)
    return tuple(uses)


def _room_forbidden(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    if not (sized.rule.unless == "sealed_enclosure" and case.facts and _is_sealed(case.facts.enclosure)):
        yield case.everywhere(case.room.id)


def _is_sealed(stated: Enclosure | None) -> bool:
    """Whether every fact of a dedicated enclosure is stated to hold."""
    return stated == Enclosure(True, True, True)


def _rooms_refused(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    if case.room.id in case.survey.preferences.rooms_refused:
        yield case.everywhere(case.room.id)


def _rooms_wanted(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    if case.survey.preferences.rooms_wanted and case.room.id not in case.survey.preferences.rooms_wanted:
        yield case.everywhere(case.room.id)


def _above_floor(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    yield case.below(case.room.floor_z + sized.distance_mm, case.room.id)


def _above_vehicles(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    if case.facts is not None and case.facts.garage is GarageKind.PUBLIC:
        faces = (f for f in case.building.faces if f.room_id == case.room.id)
        tops = (h.z1 for f in faces for h in f.holes if h.kind is OpeningKind.GARAGE_DOOR)
        over_door = max((top + sized.height_mm for top in tops), default=-FAR_MM)
        yield case.below(max(case.room.floor_z + sized.distance_mm, over_door), case.room.id)


def _above_flood(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    flood = case.survey.site.flood_elevation_mm
    if flood is not None:
        yield case.below(flood + sized.distance_mm, "flood")


def _reached(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    if not is_reached(sized, case.facts.access if case.facts else None, case.heater):
        yield case.everywhere(case.room.id)


def _door(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    if not has_door(sized, case.building, case.room):
        yield case.everywhere(case.room.id)


def _nothing(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    return iter(())


def _manifold(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    yield case.below(case.room.floor_z + MANIFOLD_DROP_MM + sized.distance_mm, case.room.id)


def _headroom(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    if case.room.ceiling_z - case.room.floor_z < sized.distance_mm:
        yield case.everywhere(case.room.id)


def _on_wall(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    face, height, free = case.face, case.heater.height_mm, case.heater.clearances
    yield -FAR_MM, case.right, -FAR_MM, FAR_MM, face.id
    yield face.length_mm - case.left, FAR_MM, -FAR_MM, FAR_MM, face.id
    yield case.below(face.z0, face.id)
    yield case.above(face.z1 - height, face.id)
    for h in face.holes:
        s0, s1 = h.s0 - case.left - free.left_mm, h.s1 + case.right + free.right_mm
        yield s0, s1, h.z0 - height, h.z1, h.opening_id


def _listed_clearance(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    yield from _listed_around(case)
    yield from _listed_in_front(case)


def _listed_around(case: _Case) -> Iterator[_Shape]:
    heater, free = case.heater, case.heater.clearances
    yield case.below(case.room.floor_z + free.bottom_mm, case.room.id)
    yield case.above(case.room.ceiling_z - heater.height_mm - free.top_mm, case.room.id)
    left, right = case.left + free.left_mm, case.right + free.right_mm
    for a, b in _walls(case, WALL_SLACK_MM, heater.depth_mm):
        yield a - left, b + right, -FAR_MM, FAR_MM, case.room.id
    for prism_id, z0, z1, a, b in _keep_outs(case, 0, heater.depth_mm):
        yield a - left, b + right, z0 - heater.height_mm - free.top_mm, z1 + free.bottom_mm, prism_id


def _listed_in_front(case: _Case) -> Iterator[_Shape]:
    depth, span = case.heater.depth_mm, (-2 * case.right, 2 * case.left)
    for a, b in _walls(case, depth, depth + case.heater.clearances.front_mm):
        yield (*_window(a, b, span), -FAR_MM, FAR_MM, case.room.id)
    yield from _keep_outs_in_front(case, case.heater.clearances.front_mm, span)


def _working_space(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    middle = case.left - case.right  # twice the distance from the vent port's line to the case's middle
    span = middle - sized.width_mm, middle + sized.width_mm
    for top, a, b in _walls_of_service(case, sized.distance_mm):
        yield (*_window(a, b, span), top - case.heater.height_mm, FAR_MM, case.room.id)
    yield from _keep_outs_in_front(case, sized.distance_mm, span)


def _walls_of_service(case: _Case, deep: int) -> Iterator[tuple[int, int, int]]:
    """Walls in the working space of cases whose top is over the height told: that height, s0, s1."""
    near, far = case.heater.depth_mm, case.heater.depth_mm + deep
    if case.facts is None or not case.facts.serviced_through_door:
        yield from ((-FAR_MM, a, b) for a, b in _walls(case, near, far))
        return
    for top, area in service_areas(case.building, case.room):
        yield from ((top, a, b) for a, b in gaps_within(case.plane, case.face.length_mm, area, near, far))


def _keep_outs_in_front(case: _Case, deep: int, span: tuple[int, int]) -> Iterator[_Shape]:
    for prism_id, z0, _, a, b in _keep_outs(case, case.heater.depth_mm, case.heater.depth_mm + deep):
        yield (*_window(a, b, span), z0 - case.heater.height_mm, FAR_MM, prism_id)


def _window(a: int, b: int, span: tuple[int, int]) -> tuple[int, int]:
    """Vent port's lines s for which [s + low, s + high] meets (a, b).

    The span (low, high) comes doubled, for a middle may fall on half a millimetre; whole s stay exact.
    """
    low, high = span
    return a + -high // 2, b - low // 2


def _vent_rise(case: _Case, sized: SizedMountRule) -> Iterator[_Shape]:
    rise, r = case.heater.height_mm + case.heater.vent_rise_mm, case.heater.vent.bundle_radius_mm
    yield case.above(case.room.ceiling_z - rise, case.room.id)
    for h in case.face.holes:
        yield h.s0, h.s1, h.z0 - rise, h.z1 + MANIFOLD_DROP_MM, h.opening_id
        yield h.s0 - r, h.s1 + r, h.z0 - r - rise, h.z1 + r - case.heater.height_mm, h.opening_id
    for prism_id, z0, z1, a, b in _keep_outs(case, 0, case.heater.depth_mm):
        yield a, b, z0 - rise, z1 + MANIFOLD_DROP_MM, prism_id


def _walls(case: _Case, n0: int, n1: int) -> tuple[tuple[int, int], ...]:
    return walls_within(case.plane, case.face.length_mm, case.room.outline, n0, n1)


def _keep_outs(case: _Case, n0: int, n1: int) -> Iterator[tuple[str, int, int, int, int]]:
    """Keep-outs at the room's height that stand in a strip before the face: id, z0, z1, s0, s1."""
    for prism in case.building.keep_outs:
        if prism.z0 < case.room.ceiling_z and prism.z1 > case.room.floor_z:
            for a, b in prism_within(case.plane, case.face.length_mm, prism.outline, n0, n1):
                yield prism.id, prism.z0, prism.z1, a, b


_SHAPES: dict[str, Callable[[_Case, SizedMountRule], Iterator[_Shape]]] = {
    "room_forbidden": _room_forbidden,
    "rooms_refused": _rooms_refused,
    "rooms_wanted": _rooms_wanted,
    "above_floor": _above_floor,
    "above_vehicles": _above_vehicles,
    "above_flood": _above_flood,
    "manifold": _manifold,
    "headroom": _headroom,
    "door": _door,
    "on_wall": _on_wall,
    "listed_clearance": _listed_clearance,
    "working_space": _working_space,
    "vent_rise": _vent_rise,
    "access_passage": _reached,
    "access_opening": _reached,
    "access_platform": _reached,
    "access_pit": _reached,
    "access_outlets": _reached,
    "advice": _nothing,
    "record": _nothing,
}
