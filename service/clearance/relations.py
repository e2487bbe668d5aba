"""Each relation of the rule tables as zones of a terminal's centre on a facade (meanings: rules.rulesets)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from service.building.model import Facade
from service.clearance.model import FAR_MM, Zone
from service.clearance.objects import Thing
from service.clearance.plane import Extent, Plane, half_chord, near_outline
from service.rules.rulesets import SizedRule


@dataclass(frozen=True, slots=True)
class Sight:
    """A thing as the ruler of one facade sees it. ``same_plane``: it lies in that facade itself."""

    thing: Thing
    extent: Extent
    same_plane: bool


@dataclass(frozen=True, slots=True)
class Wall:
    """The facade a terminal may be on, with its ruler, the terminal's radius and how far before the wall it may be."""

    facade: Facade
    plane: Plane
    radius_mm: int
    off_wall_mm: int = 0


def zones_of(wall: Wall, sized: SizedRule, sight: Sight) -> Iterator[Zone]:
    """Zones in which the rule forbids the terminal's centre because of the thing."""
    reading = "" if sight.same_plane and sized.rule.relation == "radial" else sized.reading
    for s0, s1, z0, z1, radius2 in _SHAPES[sized.rule.relation](wall, sized, sight):
        zone = Zone(wall.facade.id, s0, s1, z0, z1, radius2, sized.rule.id, sight.thing.id, reading)
        yield _rounded(zone, wall, sized, sight) if sized.string_mm else zone


def _rounded(zone: Zone, wall: Wall, sized: SizedRule, sight: Sight) -> Zone:
    """What the string leaves of a rectangle's zone: the places that are near the thing itself as well."""
    e, t, reach = sight.extent, sight.thing, sized.string_mm + wall.radius_mm
    box = zone.s0, zone.s1, zone.z0, zone.z1
    return replace(zone, s0=e.s0, s1=e.s1, z0=t.z0, z1=t.z1, radius2=reach * reach - e.off * e.off, within=box)


Shape = tuple[int, int, int, int, int]


def _radial(wall: Wall, sized: SizedRule, sight: Sight) -> Iterator[Shape]:
    e, t = sight.extent, sight.thing
    reach = sized.distance_mm + wall.radius_mm
    radius2 = reach * reach - e.off * e.off
    if radius2 > 0:
        yield e.s0, e.s1, t.z0, t.z1, radius2


def _beside(sight: Sight, reach: int, z0: int, z1: int) -> Iterator[Shape]:
    """Box of the places less than ``reach`` from the thing in plan, between two heights."""
    chord = half_chord(reach, sight.extent.off)
    if chord:
        yield sight.extent.s0 - chord, sight.extent.s1 + chord, z0, z1, 0


def _horizontal(wall: Wall, sized: SizedRule, sight: Sight) -> Iterator[Shape]:
    yield from _beside(sight, sized.distance_mm + wall.radius_mm, -FAR_MM, FAR_MM)


def _beside_below_above(wall: Wall, sized: SizedRule, sight: Sight) -> Iterator[Shape]:
    t, r = sight.thing, wall.radius_mm
    yield from _beside(sight, sized.beside_mm + r, t.z0 - sized.below_mm - r, t.z1 + sized.above_mm + r)


def _above_inlet_within(wall: Wall, sized: SizedRule, sight: Sight) -> Iterator[Shape]:
    r = wall.radius_mm
    yield from _beside(sight, sized.gate_mm + r, -FAR_MM, sight.thing.z1 + sized.distance_mm + r)


def _facing(wall: Wall, sized: SizedRule, sight: Sight) -> Iterator[Shape]:
    t, r = sight.thing, wall.radius_mm
    if sight.extent.ahead and not sight.same_plane:
        yield from _beside(sight, sized.distance_mm + r, t.z0 - sized.below_mm - r, t.z1 + sized.above_mm + r)


def _door_swing(wall: Wall, sized: SizedRule, sight: Sight) -> Iterator[Shape]:
    t, r = sight.thing, wall.radius_mm
    yield from _beside(sight, sized.distance_mm + r, t.z0 - r, t.z1 + r)


def _column(wall: Wall, sized: SizedRule, sight: Sight) -> Iterator[Shape]:
    t, r = sight.thing, wall.radius_mm
    yield from _beside(sight, sized.gate_mm + r, t.z0 - r, t.z1 + sized.above_mm + r)


def _over_area(wall: Wall, sized: SizedRule, sight: Sight, z0: int, z1: int) -> Iterator[Shape]:
    """Boxes of the places less than the gate from the thing's outline, between two heights."""
    for s0, s1 in near_outline(wall.plane, sight.thing.points, sized.gate_mm + wall.radius_mm, wall.off_wall_mm):
        yield s0, s1, z0, z1, 0


def _above_level(wall: Wall, sized: SizedRule, sight: Sight) -> Iterator[Shape]:
    t, r = sight.thing, wall.radius_mm
    level = t.z1 + sized.distance_mm + r
    if t.kinds & {"grade", "snow"} and t.facade_id == wall.facade.id:
        yield t.s0 - r, t.s1 + r, -FAR_MM, level, 0
        return
    bottom = t.z0 - r if t.kinds & {"deck_top", "snow"} else -FAR_MM
    yield from _over_area(wall, sized, sight, bottom, level)


def _not_over(wall: Wall, sized: SizedRule, sight: Sight) -> Iterator[Shape]:
    t, r = sight.thing, wall.radius_mm
    if len(t.points) > 2:
        yield from _over_area(wall, sized, sight, t.z1 - r, FAR_MM)
    else:
        yield from _beside(sight, sized.gate_mm + r, t.z1 - r, FAR_MM)


def _under_open(wall: Wall, sized: SizedRule, sight: Sight) -> Iterator[Shape]:
    t, r = sight.thing, wall.radius_mm
    is_open = t.open_sides is not None and t.open_sides >= (sized.rule.open_sides_min or 0)
    bottom = t.z0 - sized.distance_mm - r if is_open else -FAR_MM
    yield from _over_area(wall, sized, sight, bottom, t.z0 + r)


_SHAPES: dict[str, Callable[[Wall, SizedRule, Sight], Iterator[Shape]]] = {
    "radial": _radial,
    "horizontal": _horizontal,
    "beside_below_above": _beside_below_above,
    "above_inlet_within": _above_inlet_within,
    "facing": _facing,
    "door_swing": _door_swing,
    "column": _column,
    "above_level": _above_level,
    "not_over": _not_over,
    "under_open": _under_open,
}
