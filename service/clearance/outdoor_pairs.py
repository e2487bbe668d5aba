"""Where a heater may not hang outdoors, or its vent not end, because of another one if one of the two hangs outdoors.

The case outdoors counts with its small pipes, which meet below it before the wall: its *body*. It draws its air
somewhere at its case. A place outdoors is the flue outlet's line and the underside of the case, as in ``outdoors``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.building.model import Building, Facade, Prism
from service.clearance.model import FAR_MM, Zone
from service.clearance.outdoors import outdoor_rules
from service.clearance.plane import extent, facade_plane
from service.clearance.roof_pairs import Reach, StandingEnd
from service.clearance.strips import prism_within
from service.design import MANIFOLD_DROP_MM, Mount
from service.survey.equipment import Heater, OutdoorListing
from service.survey.model import AirInlet, InletKind, KeepOutKind, Survey

Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Body:
    """A case that hangs outdoors: what the heater is called, its facade, the case's ends along it and its underside
    [mm]."""

    name: str
    facade: Facade
    heater: Heater
    listing: OutdoorListing
    s: Span
    bottom: int

    @property
    def top(self) -> int:
        """Of the case [mm]."""
        return self.bottom + self.heater.height_mm

    @property
    def z(self) -> Span:
        """From where the pipes meet up to the top [mm]."""
        return self.bottom - MANIFOLD_DROP_MM, self.top

    def prism(self) -> Prism:
        """It as a thing that stands before the wall, of no storey."""
        return _before(f"case of {self.name}", self.facade, self.s, (0, self.heater.depth_mm), self.z)

    def inlet(self, building: Building, slack_mm: int) -> AirInlet:
        """Its air inlet, anywhere at its case; wider by ``slack_mm`` where its place is rounded in a turned plan."""
        placed = self.facade.point(self.s[0] + (self.s[1] - self.s[0]) // 2)
        at = building.frame.to_survey(placed)
        width = self.s[1] - self.s[0] + (slack_mm if building.frame.to_frame(at) != placed else 0)
        return AirInlet(f"intake of {self.name}", InletKind.COMBUSTION, at, width, self.bottom, self.top)

    def spaces(self, survey: Survey) -> Iterator[Prism]:
        """What its listing and the rule on working space keep free round it."""
        (s0, s1), free, deep = self.s, self.listing.clearances, self.heater.depth_mm
        beside, over = (s0 - free.left_mm, s1 + free.right_mm), (self.bottom, self.top + free.top_mm)
        yield _before("around", self.facade, beside, (0, deep), over)
        if free.front_mm:
            yield _before("front", self.facade, self.s, (deep, deep + free.front_mm), (self.bottom, self.top))
        for sized in (r for r in outdoor_rules(survey, self.heater) if r.rule.relation == "working_space"):
            half = -((s1 - s0 - sized.width_mm) // 2)
            across = s0 - half, s1 + half
            yield _before("work", self.facade, across, (deep, deep + sized.distance_mm), (-FAR_MM, self.top))


def body_of(building: Building, name: str, heater: Heater, mount: Mount) -> Body:
    """The body of a heater that hangs outdoors. KeyError for an unknown facade, ValueError for one without a listing
    for outdoors."""
    if heater.outdoor is None:
        raise ValueError(f"heater {heater.id} has no listing for outdoors")
    left = mount.s_mm - heater.outdoor.flue.dx_mm
    span = left, left + heater.width_mm
    return Body(name, building.facade(mount.facade_id), heater, heater.outdoor, span, mount.bottom_z_mm)


def case_reach(heater: Heater) -> Reach:
    """How far a case outdoors reaches from the place that it is told by."""
    left = heater.line_dx_mm(outdoors=True)
    return Reach(left, heater.width_mm - left, 0, heater.height_mm)


def body_reach(heater: Heater) -> Reach:
    """The same with its pipes below it."""
    case = case_reach(heater)
    return Reach(case.left, case.right, MANIFOLD_DROP_MM, case.up)


def before_ends(building: Building, heater: Heater, end: StandingEnd, radius_mm: int, rule_id: str) -> Iterator[Zone]:
    """Places of a heater outdoors at which its body would be nearer than ``radius_mm`` to the axis of a vent's end."""
    reach = body_reach(heater)
    for facade in building.facades:
        e = extent(facade_plane(facade), (end.at,), heater.depth_mm)
        box = e.s0 - reach.right, e.s1 + reach.left, end.low_z - reach.up, end.low_z + reach.down
        if radius_mm > e.off:
            yield Zone(facade.id, *box, radius_mm**2 - e.off**2, rule_id, end.name)


def behind_body(building: Building, body: Body, radius_mm: int, rule_id: str) -> Iterator[Zone]:
    """Places of a vent's end of some radius in a wall that would be within another's body, or too near to it."""
    for facade in building.facades:
        e = extent(facade_plane(facade), body.prism().outline)
        if radius_mm > e.off:
            yield Zone(facade.id, e.s0, e.s1, *body.z, radius_mm**2 - e.off**2, rule_id, body.name)


def in_spaces(building: Building, survey: Survey, heater: Heater, body: Body, rule_id: str) -> Iterator[Zone]:
    """Places of a heater outdoors at which its body would stand in the space of another's."""
    reach = body_reach(heater)
    for facade in building.facades:
        plane = facade_plane(facade)
        for space in body.spaces(survey):
            for a, b in prism_within(plane, facade.length_mm, space.outline, 0, heater.depth_mm):
                box = a - reach.right, b + reach.left, space.z0 - reach.up, space.z1 + reach.down
                yield Zone(facade.id, *box, 0, rule_id, body.name)


def _before(name: str, facade: Facade, s: Span, n: Span, z: Span) -> Prism:
    plane = facade_plane(facade)
    corners = (s[0], n[0]), (s[1], n[0]), (s[1], n[1]), (s[0], n[1])
    return Prism(name, KeepOutKind.OTHER, None, tuple(plane.point(*c) for c in corners), *z)
