"""Zones of the clearance step on demand, computed once for each kind of terminal and each heater."""

from __future__ import annotations

from dataclasses import dataclass, field

from service.building.model import Building, Face
from service.clearance.model import Zone, spec_of
from service.clearance.mount import face_zones, mount_rules
from service.clearance.outdoors import outdoor_zones
from service.clearance.roof import roof_zones
from service.clearance.terminal import terminal_zones
from service.rules.mounting import SizedMountRule
from service.siting.active import Active, TerminalKey
from service.siting.ground import Ground
from service.siting.needs import Need
from service.siting.terminals import terminal_key
from service.survey.equipment import Heater
from service.survey.model import Survey

HOLE_RULE = "vent.hole"
ByWall = dict[str, tuple[Zone, ...]]
CaseKey = tuple[str, int, int]
"""Heater, rise of its vent and radius of its pipe [mm]: all that the zones of its case depend on."""


def hole_zones(building: Building, radius_mm: int) -> ByWall:
    """Where the pipe's own hole would cut into a floor, ceiling or side wall of the room it leaves."""
    out: dict[str, list[Zone]] = {}
    for face in building.faces:
        for stretch in face.stretches:
            if stretch.facade_id is not None:
                start = stretch.facade_s0 - stretch.s0
                out.setdefault(stretch.facade_id, []).extend(_frame_of(face, stretch.facade_id, start, radius_mm))
    return {facade: tuple(zones) for facade, zones in out.items()}


def _frame_of(face: Face, facade_id: str, start: int, r: int) -> list[Zone]:
    """Strips of width ``r`` along the four edges of a face, edges included, on its facade."""
    left, right, low, high = start, start + face.length_mm, face.z0, face.z1
    strips = [
        (left - 1, left + r, low - 1, high + 1), (right - r, right + 1, low - 1, high + 1),
        (left - 1, right + 1, low - 1, low + r), (left - 1, right + 1, high - r, high + 1),
    ]  # fmt: skip
    return [Zone(facade_id, *strip, 0, HOLE_RULE, face.id) for strip in strips]


@dataclass(slots=True)
class Zones:
    """Forbidden zones of a house by heater."""

    building: Building
    survey: Survey
    _terminal: dict[tuple[TerminalKey, int], ByWall] = field(default_factory=dict)
    _mount: dict[tuple[CaseKey, str], tuple[Zone, ...]] = field(default_factory=dict)
    _rules: dict[CaseKey, tuple[SizedMountRule, ...]] = field(default_factory=dict)
    _outdoors: dict[str, ByWall] = field(default_factory=dict)

    def terminal(self, heater: Heater) -> ByWall:
        """Zones of a heater's terminal by facade and roof plane."""
        key = (terminal_key(heater), heater.vent.pipe_radius_mm)
        if key not in self._terminal:
            found = terminal_zones(self.building, self.survey, spec_of(heater))
            holes = hole_zones(self.building, heater.vent.pipe_radius_mm)
            walls = {facade: (*zones, *holes.get(facade, ())) for facade, zones in found.items()}
            self._terminal[key] = walls | roof_zones(self.building, self.survey, spec_of(heater))
        return self._terminal[key]

    def hold(self, ground: Ground, active: Active, need: Need | None) -> None:
        """Cut in at the start what is not to be found out by trying, for one heater, or for the bounds of all of them
        (None). Of a house's rules, nothing."""

    def mount(self, heater: Heater, face: Face) -> tuple[Zone, ...]:
        """Zones of a heater's case on a face."""
        case = (heater.id, heater.vent_rise_mm, heater.vent.pipe_radius_mm)
        if case not in self._rules:
            self._rules[case] = mount_rules(self.survey, heater)
        key = (case, face.id)
        if key not in self._mount:
            self._mount[key] = face_zones(self.building, self.survey, heater, face, self._rules[case])
        return self._mount[key]

    def outdoors(self, heater: Heater) -> ByWall:
        """Zones of a heater's case outdoors by facade, its flue outlet's among them."""
        if heater.id not in self._outdoors:
            self._outdoors[heater.id] = outdoor_zones(self.building, self.survey, heater)
        return self._outdoors[heater.id]

    def hang(self, need: Need, surface: int) -> tuple[Zone, ...]:
        """Zones of a case on a surface: a wall, or a facade counted on after the walls."""
        if need.outdoors:
            return self.outdoors(need.heater)[self.building.facades[surface - len(self.building.faces)].id]
        return self.mount(need.heater, self.building.faces[surface])
