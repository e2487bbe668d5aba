"""Where a heater's vent may not end because of another's: zones of its exhaust on facades and roof planes; and where it
may not hang outdoors.

Both ways: what the rules keep this heater's exhaust from the other's intake, and the other's exhaust from this one's
intake; and bodily. Outdoors a case is its own intake, and a thing that keeps its space.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from service.building.model import Building
from service.building.roof_model import BuiltRoofOpening
from service.clearance.model import TerminalSpec, Zone, spec_of
from service.clearance.outdoor_pairs import before_ends, behind_body, body_of, case_reach, in_spaces
from service.clearance.outdoors import lowered, outdoor_zones
from service.clearance.plane import facade_plane
from service.clearance.roof import roof_zones
from service.clearance.roof_pairs import (
    StandingEnd,
    bodily_zones,
    reach_of,
    roof_inlet_zones,
    square_round,
    standing_over,
    wall_inlet_zones,
)
from service.clearance.terminal import terminal_zones
from service.design import Design, RoofTerminal, Terminal
from service.siting.holes import shifted_back
from service.survey.equipment import Draft, Heater
from service.survey.intake_listing import IntakeSide
from service.survey.model import AirInlet, InletKind, Survey
from service.survey.roof import RoofOpeningKind

APART, SPACE = "dwelling_terminals_apart", "dwelling_case_outdoors"
"""Stand for rules in zones that keep two heaters apart bodily; the checker judges by the rules themselves."""
TURNED_SLACK_MM = 4
"""What an intake is taken wider by where a plan lies askew, for its place is rounded on the way [mm]."""
End = Terminal | RoofTerminal


def intake_radius_mm(heater: Heater) -> int:
    """Radius of the terminal that air comes in by [mm]."""
    listing = heater.vent.intake
    return heater.vent.terminal_radius_mm if listing is None else listing.terminal_radius_mm


class EndsApart:
    """Zones that the ends of one heater's vent make for another's."""

    def __init__(self, survey: Survey, building: Building, name: str, design: Design) -> None:
        """``name``: what the one is called, whose vent ends as ``design`` has it."""
        site = replace(
            survey.site, air_inlets=(), regulators=(), decks=(), ways=(), neighbour_walls=(), lot_lines=(),
        )  # fmt: skip
        open_walls = tuple(replace(f, holes=()) for f in building.facades)
        self._survey = replace(survey, site=site)
        self._building = replace(building, facades=open_walls, roof_openings=(), keep_outs=())
        self._name, self._design = name, design
        self._spec = spec_of(design.heater, design.outdoors)
        self._body = body_of(self._building, name, design.heater, design.mount) if design.outdoors else None
        self._slack = TURNED_SLACK_MM if building.frame.angle_rad else 0

    def zones(self, heater: Heater, side: IntakeSide | None) -> Iterator[Zone]:
        """Zones of the centre of a heater's exhaust whose intake, if it is placed besides, is on a side."""
        yield from self._of_exhaust(heater)
        if heater.draft is Draft.DIRECT:
            yield from self._of_intake(heater, side)

    def outdoors(self, heater: Heater) -> Iterator[Zone]:
        """Zones of a heater outdoors, by the flue outlet's line and the underside: of its flue outlet and case near the
        other's intake and case, of its case near the other's exhaust, in its space, before its ends."""
        survey, building = self._with_intake()
        alone = outdoor_zones(self._building, self._survey, heater)
        for facade_id, zones in outdoor_zones(building, survey, heater).items():
            known = frozenset(alone[facade_id])
            yield from (z for z in zones if z not in known)
        there = self._standing(self._design.terminal)
        yield from wall_inlet_zones(self._building, self._survey, self._spec, there, case_reach(heater))
        yield from self._beside_case(heater)

    def _beside_case(self, heater: Heater) -> Iterator[Zone]:
        """What keeps a case outdoors from the other's bodily, or from the ends of its vent."""
        flue, up = heater.outlet(outdoors=True), heater.outdoor.flue.up_mm if heater.outdoor else 0
        spec = spec_of(heater, outdoors=True)
        yield from (lowered(z, up) for z in self._on_walls(self._bodily(spec, flue.radius_mm)))
        if self._body is not None:
            yield from in_spaces(self._building, self._survey, heater, self._body, SPACE)
            return
        for end, radius in self._ends:
            yield from before_ends(self._building, heater, self._standing(end), radius, SPACE)

    def _of_exhaust(self, heater: Heater) -> Iterator[Zone]:
        """What keeps the exhaust from the other's intake, and from its terminals bodily."""
        yield from self._near_intake(spec_of(heater))
        yield from self._bodily(spec_of(heater), heater.vent.terminal_radius_mm)

    def _of_intake(self, heater: Heater, side: IntakeSide | None) -> Iterator[Zone]:
        """What keeps the other's exhaust from the heater's own intake, as zones of the heater's exhaust."""
        radius = intake_radius_mm(heater)
        if side is None:
            yield from (*self._in_walls(radius), *self._over_roofs(heater, radius))
            return
        placed = (*self._in_walls(radius), *self._bodily(spec_of(heater), radius))
        yield from shifted_back(self._on_walls(placed), heater.vent, side)

    def _on_walls(self, zones: Iterable[Zone]) -> Iterator[Zone]:
        facades = {f.id for f in self._building.facades}
        return (z for z in zones if z.surface_id in facades)

    def _bodily(self, spec: TerminalSpec, radius: int) -> Iterator[Zone]:
        """Two terminals are not in the same place, nor one before a wall where the other's case hangs."""
        for end, own in self._ends:
            yield from bodily_zones(self._building, self._survey, spec, self._standing(end), own + radius, APART)
        if self._body is not None:
            yield from behind_body(self._building, self._body, radius, SPACE)

    @property
    def _ends(self) -> tuple[tuple[End, int], ...]:
        """Ends of the other's vent, or its flue outlet, with their radii [mm]."""
        design = self._design
        exhaust = design.terminal, design.heater.outlet(design.outdoors).radius_mm
        return (exhaust,) if design.intake is None else (exhaust, (design.intake, intake_radius_mm(design.heater)))

    def _standing(self, end: End) -> StandingEnd:
        if isinstance(end, RoofTerminal):
            return standing_over(self._building, self._name, end)
        facade, off = self._building.facade(end.facade_id), self._spec.off_wall_mm
        far = facade_plane(facade).point(end.s_mm, off) if off else None
        return StandingEnd(self._name, facade.point(end.s_mm), end.z_mm, end.z_mm, False, far)

    def _in_walls(self, radius: int) -> Iterator[Zone]:
        """Places of an intake in a wall that the other's exhaust would be too near to. How far an exhaust must be from
        an inlet depends on where one is seen from the other alone, so its zone round an inlet at its own place, turned
        upside down, is where no inlet may be. Round a corner the inlet's extent is not seen square, so more is kept
        there."""
        end, spec = self._design.terminal, self._spec
        if self._body is not None or isinstance(end, RoofTerminal):
            there, reach = self._standing(end), reach_of(radius + self._slack)
            yield from wall_inlet_zones(self._building, self._survey, spec, there, reach)
            return
        wider = replace(spec, radius_mm=spec.radius_mm + radius)
        for zone in self._on_walls(self._near(spec, *self._with_inlet(end, radius))):
            if zone.surface_id == end.facade_id:
                yield _upside_down(zone, end.z_mm)
        for zone in self._on_walls(self._near(wider, *self._with_inlet(end, radius))):
            if zone.surface_id != end.facade_id:
                yield _upside_down(zone, end.z_mm)

    def _over_roofs(self, heater: Heater, radius: int) -> Iterator[Zone]:
        """Places over roofs of a heater's intake, where its exhaust is, that the other's exhaust would be too near
        to."""
        there = self._standing(self._design.terminal)
        return roof_inlet_zones(self._building, self._survey, spec_of(heater), self._spec, there, radius)

    def _near_intake(self, spec: TerminalSpec) -> Iterator[Zone]:
        """Zones of a terminal round the other's intake, by the survey's rules."""
        return self._near(spec, *self._with_intake())

    def _near(self, spec: TerminalSpec, survey: Survey, building: Building) -> Iterator[Zone]:
        for zones in (terminal_zones(building, survey, spec) | roof_zones(building, survey, spec)).values():
            yield from (z for z in zones if z.object_id == f"intake of {self._name}")

    def _with_intake(self) -> tuple[Survey, Building]:
        """Plot and building with nothing there but what the other draws its air by, and its case if it is outdoors."""
        design = self._design
        if self._body is not None:
            survey = self._with_inlets(self._body.inlet(self._building, self._slack))
            return survey, replace(self._building, keep_outs=(self._body.prism(),))
        if design.heater.draft is not Draft.DIRECT:
            return self._survey, self._building
        return self._with_inlet(design.intake or design.terminal, intake_radius_mm(design.heater))

    def _with_inlet(self, end: End, radius: int) -> tuple[Survey, Building]:
        """The same with one inlet."""
        name = f"intake of {self._name}"
        if isinstance(end, RoofTerminal):
            opening = opening_at(self._building, name, end, radius)
            return self._survey, replace(self._building, roof_openings=(opening,))
        return self._with_inlets(inlet_at(self._building, name, end, radius, slack=True)), self._building

    def _with_inlets(self, inlet: AirInlet) -> Survey:
        return replace(self._survey, site=replace(self._survey.site, air_inlets=(inlet,)))


def inlet_at(building: Building, name: str, end: Terminal, radius: int, slack: bool = False) -> AirInlet:
    """An intake's terminal as an air inlet of the survey."""
    at = building.facade(end.facade_id).point(end.s_mm)
    placed = building.frame.to_survey(at)
    more = TURNED_SLACK_MM if slack and building.frame.to_frame(placed) != at else 0
    height = (end.z_mm - radius, end.z_mm + radius)
    return AirInlet(name, InletKind.COMBUSTION, placed, 2 * radius + more, *height)


def opening_at(building: Building, name: str, end: RoofTerminal, radius: int) -> BuiltRoofOpening:
    """An intake over a roof as what opens in it."""
    there = standing_over(building, name, end)
    square = square_round(there.at, radius)
    return BuiltRoofOpening(name, RoofOpeningKind.COMBUSTION_INLET, None, square, there.low_z, there.z)


def _upside_down(zone: Zone, z: int) -> Zone:
    box = zone.within and (*zone.within[:2], 2 * z - zone.within[3], 2 * z - zone.within[2])
    return replace(zone, z0=2 * z - zone.z1, z1=2 * z - zone.z0, within=box)
