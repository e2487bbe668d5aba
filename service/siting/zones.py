"""Zones of the clearance step on demand, computed once for each kind of terminal and each heater."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from service.building.model import Building, Face
from service.clearance.model import TerminalSpec, Zone, intake_spec_of, spec_of
from service.clearance.mount import face_zones, mount_rules
from service.clearance.outdoors import outdoor_zones
from service.clearance.roof import roof_zones
from service.clearance.terminal import Surroundings, terminal_zones
from service.rules.mounting import SizedMountRule
from service.siting.active import Active, TerminalKey
from service.siting.ground import Ground, ground_of
from service.siting.holes import hole_zones, shifted_back
from service.siting.lifts import Rules
from service.siting.needs import Need
from service.siting.terminals import terminal_key
from service.survey.equipment import Heater
from service.survey.intake_listing import IntakeSide
from service.survey.model import Survey

ByWall = dict[str, tuple[Zone, ...]]
CaseKey = tuple[str, int, int]
"""Heater, rise of its vent and radius of its pipe [mm]: all that the zones of its case depend on."""


@dataclass(slots=True)
class Zones:
    """Forbidden zones of a house by heater."""

    building: Building
    survey: Survey
    _terminal: dict[tuple[TerminalKey, int], ByWall] = field(default_factory=dict)
    _specs: dict[TerminalSpec, ByWall] = field(default_factory=dict)
    _mount: dict[tuple[CaseKey, str], tuple[Zone, ...]] = field(default_factory=dict)
    _rules: dict[CaseKey, tuple[SizedMountRule, ...]] = field(default_factory=dict)
    _outdoors: dict[str, ByWall] = field(default_factory=dict)
    _around: Surroundings | None = None

    @property
    def whole(self) -> Building:
        """The house with all of its rooms."""
        return self.building

    def of(self, survey: Survey, building: Building) -> Zones:
        """The zones of another survey, or another house, seen as this one is."""
        return Zones(building, survey)

    def ground(self, survey: Survey, building: Building, lifted: Rules = frozenset()) -> Ground:
        """What a search takes from a survey of a house that is seen as this one is, some limits ``lifted``."""
        return ground_of(survey, building, lifted)

    def terminal(self, heater: Heater, side: IntakeSide | None = None) -> ByWall:
        """Zones of the centre of a heater's terminal by facade and roof plane, with those of its intake on a side."""
        key = (terminal_key(heater, side), heater.vent.bundle_radius_mm)
        if key not in self._terminal:
            groups = [*self._measured(spec_of(heater)).values()]
            if side is not None:
                intake = self._measured(intake_spec_of(heater)).values()
                groups += [tuple(shifted_back(zones, heater.vent, side)) for zones in intake]
            groups.append(tuple(hole_zones(self.building, heater.vent, side)))
            walls = _by_facade(self.building, (zone for group in groups for zone in group))
            self._terminal[key] = walls | roof_zones(self.building, self.survey, spec_of(heater))
        return self._terminal[key]

    def hold(self, ground: Ground, active: Active, need: Need | None) -> None:
        """Cut in at the start what is not to be found out by trying, for one heater, or for the bounds of all of them
        (None). Of a house's rules, nothing."""

    def of_intakes(self, spec: TerminalSpec) -> ByWall:
        """Zones of a class of intakes by facade."""
        return self._measured(spec)

    def _measured(self, spec: TerminalSpec) -> ByWall:
        """Zones of the rule set, computed once for each kind of terminal."""
        if spec not in self._specs:
            self._around = self._around or Surroundings(self.building, self.survey)
            self._specs[spec] = terminal_zones(self.building, self.survey, spec, self._around)
        return self._specs[spec]

    def mount(self, heater: Heater, face: Face) -> tuple[Zone, ...]:
        """Zones of a heater's case on a face."""
        case = (heater.id, heater.vent_rise_mm, heater.vent.bundle_radius_mm)
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


def _by_facade(building: Building, zones: Iterable[Zone]) -> ByWall:
    out: dict[str, list[Zone]] = {facade.id: [] for facade in building.facades}
    for zone in zones:
        out[zone.surface_id].append(zone)
    return {facade: tuple(group) for facade, group in out.items()}
