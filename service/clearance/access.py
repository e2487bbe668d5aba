"""Whether a heater's room can be reached and worked in, as far as facts that the survey states go."""

from __future__ import annotations

from collections.abc import Callable

from service.building.model import Building, BuiltRoom
from service.rules.mounting import SizedMountRule
from service.survey.equipment import Heater
from service.survey.model import Access, OpeningKind

_DOORS = (OpeningKind.DOOR, OpeningKind.GARAGE_DOOR)


def is_reached(sized: SizedMountRule, access: Access | None, heater: Heater) -> bool:
    """Whether an access rule is kept; a fact that is not given keeps nothing. KeyError for another relation."""
    return access is not None and _KEPT[sized.rule.relation](sized, access, heater)


def has_door(sized: SizedMountRule, building: Building, room: BuiltRoom) -> bool:
    """Whether some door of the room is as wide and as high over its floor as the rule asks."""
    holes = (h for f in building.faces if f.room_id == room.id for h in f.holes if h.kind in _DOORS)
    return any(
        h.s1 - h.s0 >= sized.width_mm and h.z1 - room.floor_z >= sized.height_mm and h.z0 <= room.floor_z for h in holes
    )


def _passage(sized: SizedMountRule, access: Access, heater: Heater) -> bool:
    way = access.passage
    if sized.rule.unless == "removable_through_opening" and access.removable_through_opening:
        return True
    if not (_least(way.width_mm, sized.width_mm) and _least(way.height_mm, sized.height_mm)):
        return False
    if sized.floor_mm and not _least(way.floor_width_mm, sized.floor_mm):
        return False
    is_high = bool(sized.high_mm) and _least(way.height_mm, sized.high_mm)
    return is_high or _most(way.length_mm, sized.distance_mm)


def _opening(sized: SizedMountRule, access: Access, heater: Heater) -> bool:
    if access.opening_width_mm is None or access.opening_height_mm is None:
        return False
    small, large = sorted((access.opening_width_mm, access.opening_height_mm))
    asked = sorted((sized.width_mm, sized.height_mm))
    case = sorted((heater.width_mm, heater.height_mm, heater.depth_mm))
    return small >= max(asked[0], case[0]) and large >= max(asked[1], case[1])


def _platform(sized: SizedMountRule, access: Access, heater: Heater) -> bool:
    return _least(access.platform_depth_mm, sized.distance_mm) and _least(access.platform_width_mm, sized.width_mm)


def _pit(sized: SizedMountRule, access: Access, heater: Heater) -> bool:
    below = access.passage.below_grade_mm
    is_shallow = _most(below, sized.distance_mm)
    return is_shallow or (below is not None and _least(access.passage.lining_above_grade_mm, sized.height_mm))


def _outlets(sized: SizedMountRule, access: Access, heater: Heater) -> bool:
    return access.light is True and access.receptacle is True


def _least(given: int | None, asked: int) -> bool:
    return given is not None and given >= asked


def _most(given: int | None, limit: int) -> bool:
    return given is not None and given <= limit


_KEPT: dict[str, Callable[[SizedMountRule, Access, Heater], bool]] = {
    "access_passage": _passage,
    "access_opening": _opening,
    "access_platform": _platform,
    "access_pit": _pit,
    "access_outlets": _outlets,
}
