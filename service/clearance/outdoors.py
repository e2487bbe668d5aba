"""Where on the facades a heater may not hang outdoors (meanings of the rules: rules.mounting).

A place is the flue outlet's line s and the bottom z of the case: the case reaches from s - left to s + right.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from service.building.model import Building, Facade
from service.clearance.model import FAR_MM, Zone, spec_of
from service.clearance.objects import Thing, things
from service.clearance.passage import passage_boxes
from service.clearance.plane import Plane, extent, facade_plane
from service.clearance.standing import Standing, in_strip, standing_by
from service.clearance.terminal import terminal_zones
from service.clearance.wall_area import outside
from service.design import MANIFOLD_DROP_MM
from service.rules.mounting import WALL_SLACK_MM, SizedMountRule, sized_mounting
from service.rules.rulesets import rule_set
from service.survey.equipment import Heater, OutdoorListing
from service.survey.model import Survey

PUBLIC_WAYS = frozenset({"public_walkway", "public_driveway", "shared_driveway"})
INLETS = frozenset({"gravity_inlet", "forced_inlet", "combustion_inlet"})

Shape = tuple[int, int, int, int, int, str]
"""s0, s1, z0, z1, radius2 and the object."""


@dataclass(frozen=True, slots=True)
class _Case:
    """A heater before one facade; ``around`` is what rules speak of, ``standing`` what takes up space there."""

    building: Building
    survey: Survey
    facade: Facade
    plane: Plane
    heater: Heater
    listing: OutdoorListing
    around: tuple[Thing, ...]
    standing: tuple[Standing, ...]

    @property
    def left(self) -> int:
        return self.listing.flue.dx_mm

    @property
    def right(self) -> int:
        return self.heater.width_mm - self.listing.flue.dx_mm

    def shape(self, s: tuple[int, int], z: tuple[int, int], object_id: str, wider: tuple[int, int] = (0, 0)) -> Shape:
        """Places whose case, ``wider`` by so much at its left and right, meets an open box of the facade."""
        s0, s1 = s[0] - self.right - wider[1], s[1] + self.left + wider[0]
        return s0, s1, z[0] - self.heater.height_mm, z[1], 0, object_id

    def everywhere(self) -> Shape:
        """The whole facade."""
        return -FAR_MM, FAR_MM, -FAR_MM, FAR_MM, 0, self.facade.id

    def named(self, *kinds: str) -> Iterator[Thing]:
        """Things of some kinds."""
        return (t for t in self.around if not t.kinds.isdisjoint(kinds))

    def strips(self, thing: Thing, near: int, far: int) -> list[tuple[int, int]]:
        """Stretches of the facade before which a thing lies between two distances."""
        return in_strip(self.plane, self.facade.length_mm, thing.points, near, far)


def outdoor_zones(building: Building, survey: Survey, heater: Heater) -> dict[str, tuple[Zone, ...]]:
    """Forbidden zones of (flue outlet's line, bottom of the case), for every facade id [mm]: those of the case, and
    those of the flue outlet as a terminal, lowered to the bottom.

    KeyError for an unknown rule set, ValueError for a heater without a listing for outdoors.
    """
    if heater.outdoor is None:
        raise ValueError(f"heater {heater.id} has no listing for outdoors")
    rules, around = outdoor_rules(survey, heater), things(building, survey)
    flue, up = terminal_zones(building, survey, spec_of(heater, outdoors=True)), heater.outdoor.flue.up_mm
    found = {}
    for facade in building.facades:
        standing = standing_by(building, facade, around)
        case = _Case(building, survey, facade, facade_plane(facade), heater, heater.outdoor, around, standing)
        found[facade.id] = (*_case_zones(case, rules), *(lowered(zone, up) for zone in flue[facade.id]))
    return found


def outdoor_rules(survey: Survey, heater: Heater) -> tuple[SizedMountRule, ...]:
    """Compulsory mounting rules of a heater outdoors. KeyError for an unknown rule set."""
    country, direct = rule_set(survey.site.rule_set).country, heater.outlet(outdoors=True).direct
    return tuple(
        s
        for s in sized_mounting(country, survey.units, survey.site.amendments)
        if s.rule.required and s.rule.holds(True) and s.rule.applies_to(direct, heater.vapour_ignition_resistant)
    )


def lowered(zone: Zone, by: int) -> Zone:
    """Zone of the bottom from which the outlet, ``by`` higher, lies in the zone."""
    cut = zone.within and (zone.within[0], zone.within[1], zone.within[2] - by, zone.within[3] - by)
    return replace(zone, z0=zone.z0 - by, z1=zone.z1 - by, within=cut)


def _case_zones(case: _Case, rules: tuple[SizedMountRule, ...]) -> Iterator[Zone]:
    for sized in rules:
        for s0, s1, z0, z1, radius2, object_id in _SHAPES[sized.rule.relation](case, sized):
            yield Zone(case.facade.id, s0, s1, z0, z1, radius2, sized.rule.id, object_id, sized.rule.reading)


def _listed(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    if not case.heater.outdoor_listed:
        yield case.everywhere()


def _wish(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    if not case.survey.preferences.outdoors:
        yield case.everywhere()


def _frost(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    least = case.listing.min_temperature_c
    if least is None or case.survey.site.winter_design_temperature_c < least:
        yield case.everywhere()


def _wall(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    beside = case.listing.clearances.left_mm, case.listing.clearances.right_mm
    for s0, s1, z0, z1 in outside(case.facade.spans):
        yield case.shape((s0, s1), (z0, z1), case.facade.id)
    for hole in case.facade.holes:
        yield case.shape((hole.s0, hole.s1), (hole.z0, hole.z1), hole.opening_id, beside)
    for inlet in case.named(*INLETS):
        if inlet.facade_id == case.facade.id:
            yield case.shape((inlet.s0, inlet.s1), (inlet.z0, inlet.z1), inlet.id, beside)


def _clearance(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    free, depth = case.listing.clearances, case.heater.depth_mm
    beside = free.left_mm, free.right_mm
    for x in case.standing:
        z = x.thing.z0 - free.top_mm, x.thing.z1
        for s in case.strips(x.thing, WALL_SLACK_MM if x.is_wall else 0, depth):
            yield case.shape(s, z, x.thing.id, beside)
        for s in case.strips(x.thing, depth, depth + free.front_mm):
            yield case.shape(s, (x.thing.z0, x.thing.z1), x.thing.id)


def _above(case: _Case, over_mm: int) -> Iterator[Shape]:
    """Bottoms less than ``over_mm`` over the ground and over decks below the case."""
    for step in case.facade.grade:
        s0, s1, _, _, _, _ = case.shape((step.s0, step.s1), (0, 0), "")
        yield s0, s1, -FAR_MM, step.z + over_mm, 0, "grade"
    for deck in case.named("deck_top"):
        for s in case.strips(deck, 0, case.heater.depth_mm):
            s0, s1, _, _, _, _ = case.shape(s, (0, 0), "")
            yield s0, s1, deck.z0, deck.z1 + over_mm, 0, deck.id


def _ground(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    yield from _above(case, max(sized.distance_mm, case.listing.clearances.bottom_mm))


def _snow(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    yield from _above(case, case.survey.site.snow_depth_mm + sized.distance_mm)


def _manifold(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    up = MANIFOLD_DROP_MM
    yield from _above(case, up + sized.distance_mm)
    for hole in case.facade.holes:
        yield hole.s0, hole.s1, hole.z0 + up, hole.z1 + up, 0, hole.opening_id
    for s0, s1, z0, z1 in passage_boxes(case.building, case.facade, sized.distance_mm):
        yield s0, s1, z0 + up, z1 + up, 0, case.facade.id


def _regulator(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    for t in case.named("regulator_vent"):
        e = extent(case.plane, t.points, case.heater.depth_mm)
        radius2 = sized.distance_mm**2 - e.off**2
        if radius2 > 0:
            s0, s1, z0, z1, _, object_id = case.shape((e.s0, e.s1), (t.z0, t.z1), t.id)
            yield s0, s1, z0, z1, radius2, object_id


def _way(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    for t in case.named(*PUBLIC_WAYS):
        yield from (case.shape(s, (t.z0, FAR_MM), t.id) for s in case.strips(t, 0, case.heater.depth_mm))


def _door(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    for t in case.named("door_swing"):
        yield from (case.shape(s, (t.z0, t.z1), t.id) for s in case.strips(t, 0, case.heater.depth_mm))


def _lot(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    for t in case.named("lot_line"):
        strips = case.strips(t, -WALL_SLACK_MM, case.heater.depth_mm)
        yield from (case.shape(s, (t.z0, t.z1), t.id) for s in strips)


def _working_space(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    near, far, middle = case.heater.depth_mm, case.heater.depth_mm + sized.distance_mm, case.right - case.left
    low, high = (middle - sized.width_mm) // 2, -(-(middle + sized.width_mm) // 2)
    inside = [(x.thing, x.thing.z1 if x.is_deck else FAR_MM) for x in case.standing]
    inside += [(line, FAR_MM) for line in case.named("lot_line")]
    for thing, top in inside:
        for a, b in case.strips(thing, near, far):
            yield a - high, b - low, thing.z0 - case.heater.height_mm, top, 0, thing.id


def _flood(case: _Case, sized: SizedMountRule) -> Iterator[Shape]:
    flood = case.survey.site.flood_elevation_mm
    if flood is not None:
        yield -FAR_MM, FAR_MM, -FAR_MM, flood + sized.distance_mm, 0, "flood"


_SHAPES: dict[str, Callable[[_Case, SizedMountRule], Iterator[Shape]]] = {
    "outdoors_listed": _listed,
    "outdoors_wish": _wish,
    "outdoors_frost": _frost,
    "outdoors_wall": _wall,
    "outdoors_clearance": _clearance,
    "outdoors_ground": _ground,
    "outdoors_snow": _snow,
    "outdoors_manifold": _manifold,
    "outdoors_regulator": _regulator,
    "outdoors_way": _way,
    "outdoors_door": _door,
    "outdoors_lot": _lot,
    "working_space": _working_space,
    "above_flood": _flood,
}
