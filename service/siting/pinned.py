"""A search held to places that the survey asks about: zones that forbid all places but those."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.building.model import Face
from service.clearance.model import Zone
from service.clearance.pins import EVERYWHERE, Pin, mount_pin, terminal_pin
from service.siting.active import Active, OnWall, on_surface
from service.siting.ground import Ground
from service.siting.needs import Need, with_leaders
from service.siting.roof import surfaces_of
from service.siting.terminals import sides_of, terminal_key
from service.siting.zones import ByWall, Zones
from service.survey.equipment import Heater
from service.survey.intake_listing import IntakeSide
from service.survey.model import Question

ASKED = "asked_elsewhere"
"""Stands for a rule in the zones that hold a search to a place; no design is ever judged by it."""


class PinnedZones(Zones):
    """The zones of a house, and all places but those that one question asks about."""

    def __init__(self, zones: Zones, question: Question) -> None:
        """Share what ``zones`` has computed already."""
        super().__init__(zones.building, zones.survey)
        self._all = zones
        self.mounted = None if question.mount is None else mount_pin(zones.building, question.mount)
        self.ended = None if question.terminal is None else terminal_pin(zones.building, question.terminal)

    def terminal(self, heater: Heater, side: IntakeSide | None = None) -> ByWall:
        """Zones of a heater's terminal by facade and roof plane."""
        every = self._all.terminal(heater, side)
        return {facade: (*_kept(self.ended, facade), *zones) for facade, zones in every.items()}

    def mount(self, heater: Heater, face: Face) -> tuple[Zone, ...]:
        """Zones of a heater's case on a face."""
        return (*_kept(self.mounted, face.id, to_vent_line(heater)), *self._all.mount(heater, face))

    def hold(self, ground: Ground, active: Active, need: Need | None) -> None:
        """Close all other places. For bounds any height of a case will do, for their lattice may lack the one asked."""
        mounted = self.mounted
        if mounted is not None and need is None:
            mounted = replace(mounted, z_mm=None)
        for n in ground.needs if need is None else (need,):
            for wall in ground.sheets.walls:
                kept = _kept(mounted, wall.face.id, to_vent_line(n.heater))
                active.add_mount(n.key, wall.index, kept, (0, 0), OnWall(wall))
            self._hold_end(ground, active, n.heater)

    def _hold_end(self, ground: Ground, active: Active, heater: Heater) -> None:
        for i, surface in enumerate(surfaces_of(self.building)):
            on = on_surface(self.building, ground.sheets, i)
            for side in sides_of(heater.vent):
                active.add_terminal(terminal_key(heater, side), i, _kept(self.ended, surface.id), (0, 0), on)


def indoors(ground: Ground) -> Ground:
    """What a search is given without heaters outdoors: questions ask about rooms and the terminals of vents."""
    return replace(ground, needs=with_leaders(tuple(n for n in ground.needs if not n.outdoors), ground.survey))


def to_vent_line(heater: Heater) -> int:
    """From the case's middle to the vent port's line, along the face [mm]."""
    return heater.width_mm // 2 - heater.vent_dx_mm


def _kept(pin: Pin | None, surface_id: str, shift: int = 0) -> Iterator[Zone]:
    if pin is None:
        return
    boxes = pin.boxes(shift) if pin.surface_id == surface_id else EVERYWHERE
    yield from (Zone(surface_id, *box, 0, ASKED, "asked") for box in boxes)
