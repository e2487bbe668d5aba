"""What a heater's vent may end in: a terminal in a wall, or one over a roof plane at a height of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from service.building.model import Building, Facade
from service.building.roof_model import RoofPlane
from service.clearance.model import TerminalSpec
from service.clearance.roof import rise_on
from service.routing.planes import Ints
from service.siting.tariffs import ROOF_KEY, terminal_key_of
from service.survey.equipment import Heater, VentListing
from service.survey.model import Survey
from service.trades.vent_systems import system_of

NOT_OFFERED = -(10**6)


@dataclass(frozen=True, slots=True)
class Ends:
    """What a heater's vent ends in: money units of the terminal in a wall and over a roof, and for each roof plane how
    high its opening is over the roof [mm], NOT_OFFERED where it may not end. ``walls``: how many facades there are."""

    walls: int
    wall: int
    roof: int
    rises: tuple[int, ...]

    def rise_at(self, surfaces: Ints) -> Ints:
        """Height over the roof for indices of facades (0) and roof planes [mm]."""
        every = np.array([*[0] * self.walls, *self.rises], dtype=np.int64)
        return every[surfaces] if len(surfaces) else surfaces


def ends_of(survey: Survey, building: Building, heater: Heater, spec: TerminalSpec) -> Ends:
    """Prices and heights of a heater's terminals; no roof is offered for twin pipe or without its prices."""
    items, system = survey.prices.items, heater.vent.system
    wall, over = terminal_key_of(system, False), terminal_key_of(system, True)
    offered = ROOF_KEY in items and over in items and not is_twin(heater.vent)
    found = [rise_on(survey, spec, plane) if offered else None for plane in building.roof]
    rises = tuple(NOT_OFFERED if rise is None else rise for rise in found)
    return Ends(len(building.facades), items[wall].units_each, items[over].units_each if offered else 0, rises)


def is_twin(listing: VentListing) -> bool:
    """Whether a vent has two pipes side by side, of which only the exhaust is drawn."""
    return system_of(listing).construction == "twin"


def surface_of(building: Building, index: int) -> Facade | RoofPlane:
    """Facade or, counted on, roof plane that an outlet's index names."""
    return surfaces_of(building)[index]


def surfaces_of(building: Building) -> tuple[Facade | RoofPlane, ...]:
    """Facades and roof planes in the order in which outlets count them."""
    return (*building.facades, *building.roof)
