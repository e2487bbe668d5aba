"""Where a heater's vent may not end because of another's: zones of its exhaust on facades and roof planes.

Both ways: what the rules keep this heater's exhaust from the other's intake, and the other's exhaust from this one's
intake; and bodily.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from service.building.model import Building
from service.building.roof_model import BuiltRoofOpening
from service.clearance.model import TerminalSpec, Zone, spec_of
from service.clearance.roof import roof_zones
from service.clearance.roof_pairs import (
    Standing,
    bodily_zones,
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

APART = "dwelling_terminals_apart"
"""Stands for a rule in zones that keep two terminals apart bodily; the checker judges by the rules themselves."""
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

    def zones(self, heater: Heater, side: IntakeSide | None) -> Iterator[Zone]:
        """Zones of the centre of a heater's exhaust whose intake, if it is placed besides, is on a side."""
        yield from self._of_exhaust(heater)
        if heater.draft is Draft.DIRECT:
            yield from self._of_intake(heater, side)

    def _of_exhaust(self, heater: Heater) -> Iterator[Zone]:
        """What keeps the exhaust from the other's intake, and from its terminals bodily."""
        own, end = self._design.heater, self._design.intake or self._design.terminal
        if own.draft is Draft.DIRECT:
            yield from self._near_intake(spec_of(heater), end, intake_radius_mm(own))
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
        """Two terminals are not in the same place."""
        design = self._design
        ends: list[tuple[End, int]] = [(design.terminal, design.heater.vent.terminal_radius_mm)]
        ends += [] if design.intake is None else [(design.intake, intake_radius_mm(design.heater))]
        for end, own in ends:
            yield from bodily_zones(self._building, self._survey, spec, self._standing(end), own + radius, APART)

    def _standing(self, end: End) -> Standing:
        if isinstance(end, RoofTerminal):
            return standing_over(self._building, self._name, end)
        return Standing(self._name, self._building.facade(end.facade_id).point(end.s_mm), end.z_mm, end.z_mm, False)

    def _in_walls(self, radius: int) -> Iterator[Zone]:
        """Places of an intake in a wall that the other's exhaust would be too near to. How far an exhaust must be from
        an inlet depends on where one is seen from the other alone, so its zone round an inlet at its own place, turned
        upside down, is where no inlet may be. Round a corner the inlet's extent is not seen square, so more is kept
        there."""
        end, spec = self._design.terminal, spec_of(self._design.heater)
        if isinstance(end, RoofTerminal):
            slack = TURNED_SLACK_MM if self._building.frame.angle_rad else 0
            there = self._standing(end)
            yield from wall_inlet_zones(self._building, self._survey, spec, there, radius + slack)
            return
        wider = replace(spec, radius_mm=spec.radius_mm + radius)
        for zone in self._on_walls(self._near_intake(spec, end, radius)):
            if zone.surface_id == end.facade_id:
                yield _upside_down(zone, end.z_mm)
        for zone in self._on_walls(self._near_intake(wider, end, radius)):
            if zone.surface_id != end.facade_id:
                yield _upside_down(zone, end.z_mm)

    def _over_roofs(self, heater: Heater, radius: int) -> Iterator[Zone]:
        """Places over roofs of a heater's intake, where its exhaust is, that the other's exhaust would be too near
        to."""
        exhaust, there = spec_of(self._design.heater), self._standing(self._design.terminal)
        return roof_inlet_zones(self._building, self._survey, spec_of(heater), exhaust, there, radius)

    def _near_intake(self, spec: TerminalSpec, end: End, radius: int) -> Iterator[Zone]:
        """Zones of a terminal round one inlet, by the survey's rules."""
        survey, building, name = self._survey, self._building, f"intake of {self._name}"
        if isinstance(end, RoofTerminal):
            building = replace(building, roof_openings=(opening_at(building, name, end, radius),))
        else:
            inlet = inlet_at(building, name, end, radius, slack=True)
            survey = replace(survey, site=replace(survey.site, air_inlets=(inlet,)))
        for zones in (terminal_zones(building, survey, spec) | roof_zones(building, survey, spec)).values():
            yield from (z for z in zones if z.object_id == name)


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
