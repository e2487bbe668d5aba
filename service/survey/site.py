"""The plot as surveyed: ground, neighbours, ways, decks, inlets, regulators, and the rules that hold there.

See ``model`` for the units.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from service.survey.gas import GasCharacter
from service.survey.house import Opening, Point2, Point3


class InletKind(StrEnum):
    """Kind of air inlet of a building or of another appliance."""

    FORCED = "forced"
    GRAVITY = "gravity"
    COMBUSTION = "combustion"


class WayKind(StrEnum):
    """Ground that people or cars use."""

    PUBLIC_WALKWAY = "public_walkway"
    PUBLIC_DRIVEWAY = "public_driveway"
    SHARED_DRIVEWAY = "shared_driveway"
    PRIVATE_WALKWAY = "private_walkway"


@dataclass(frozen=True, slots=True)
class GradeLine:
    """Finished ground along a plan line; linear between its ends [mm]."""

    start: Point2
    end: Point2
    start_z_mm: int
    end_z_mm: int


@dataclass(frozen=True, slots=True)
class NeighbourWall:
    """Wall of another building that faces this one, with its openings."""

    id: str
    start: Point2
    end: Point2
    base_z_mm: int
    top_z_mm: int
    openings: tuple[Opening, ...] = ()


@dataclass(frozen=True, slots=True)
class Way:
    """Walkway or driveway in plan, with the height of its surface [mm]."""

    id: str
    kind: WayKind
    outline: tuple[Point2, ...]
    surface_z_mm: int


@dataclass(frozen=True, slots=True)
class Deck:
    """Deck, porch, veranda, balcony or eave beside the house [mm]."""

    id: str
    outline: tuple[Point2, ...]
    underside_z_mm: int
    top_z_mm: int
    open_sides: int | None
    is_eave: bool = False
    vented: bool | None = None


@dataclass(frozen=True, slots=True)
class AirInlet:
    """Inlet grille on an outer wall: plan point of its centre, width, height range [mm]."""

    id: str
    kind: InletKind
    at: Point2
    width_mm: int
    bottom_z_mm: int
    top_z_mm: int


@dataclass(frozen=True, slots=True)
class Regulator:
    """Gas regulator outdoors; ``at`` is its vent outlet. ``inlet_pressure_pa`` None = unknown."""

    id: str
    at: Point3
    inlet_pressure_pa: float | None = None
    with_meter: bool = True


@dataclass(frozen=True, slots=True)
class LotLine:
    """Stretch of the lot's boundary [mm]."""

    id: str
    start: Point2
    end: Point2


@dataclass(frozen=True, slots=True)
class Amendment:
    """Local change of one rule: a new distance [mm], or None to switch the rule off; with a note."""

    rule_id: str
    distance_mm: int | None
    note: str


@dataclass(frozen=True, slots=True)
class Site:
    """The plot and the rules that hold there."""

    rule_set: str
    fuel: str  # natural_gas | propane
    heating_value_j_m3: float
    specific_gravity: float
    altitude_m: float
    snow_depth_mm: int
    winter_design_temperature_c: float
    grade_z_mm: int
    grades: tuple[GradeLine, ...] = ()
    lot_lines: tuple[LotLine, ...] = ()
    neighbour_walls: tuple[NeighbourWall, ...] = ()
    ways: tuple[Way, ...] = ()
    decks: tuple[Deck, ...] = ()
    air_inlets: tuple[AirInlet, ...] = ()
    regulators: tuple[Regulator, ...] = ()
    amendments: tuple[Amendment, ...] = ()

    @property
    def gas(self) -> GasCharacter:
        """The gas that is delivered here."""
        return GasCharacter(self.fuel, self.heating_value_j_m3, self.specific_gravity, self.altitude_m)
