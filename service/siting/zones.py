"""Zones of the clearance step on demand, computed once for each kind of terminal and each heater."""

from __future__ import annotations

from dataclasses import dataclass, field

from service.building.model import Building
from service.clearance.model import TerminalSpec, Zone
from service.clearance.mount import mount_zones
from service.clearance.terminal import terminal_zones
from service.siting.active import TerminalKey
from service.siting.stage import terminal_key
from service.survey.equipment import Draft, Heater
from service.survey.model import Survey

ByWall = dict[str, tuple[Zone, ...]]


def spec_of(heater: Heater) -> TerminalSpec:
    """What the place of a heater's terminal depends on."""
    return TerminalSpec(
        heater.draft is Draft.DIRECT, heater.category.value, heater.input_max_w, heater.vent.terminal_radius_mm
    )  # fmt: skip


@dataclass(slots=True)
class Zones:
    """Forbidden zones of a house by heater."""

    building: Building
    survey: Survey
    _terminal: dict[TerminalKey, ByWall] = field(default_factory=dict)
    _mount: dict[str, ByWall] = field(default_factory=dict)

    def terminal(self, heater: Heater) -> ByWall:
        """Zones of a heater's terminal by facade."""
        key = terminal_key(heater)
        if key not in self._terminal:
            self._terminal[key] = terminal_zones(self.building, self.survey, spec_of(heater))
        return self._terminal[key]

    def mount(self, heater: Heater) -> ByWall:
        """Zones of a heater's case by face."""
        if heater.id not in self._mount:
            self._mount[heater.id] = mount_zones(self.building, self.survey, heater)
        return self._mount[heater.id]
