"""The plot as surveyed: ground, neighbours, ways, decks, inlets, regulators, and the rules that hold there.

See ``model`` for the units.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from service.survey.gas import GasCharacter
from service.survey.house import Opening, Point2, Point3
from service.survey.water import ReliefRule


class InletKind(StrEnum):
    """Kind of air inlet of a building or of another appliance."""

    FORCED = "forced"
    GRAVITY = "gravity"
    COMBUSTION = "combustion"


class Measuring(StrEnum):
    """How a place below and beside an opening at once is measured, where the code is silent."""

    RECTANGLE = "rectangle"
    STRING = "string"


class Figure(StrEnum):
    """Which of a rule's distances an amendment changes."""

    DISTANCE = "distance"
    BESIDE = "beside"
    BELOW = "below"
    ABOVE = "above"
    GATE = "gate"


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
    """Local change of one rule: a new distance [mm]; None switches the rule off, if it is not enforced; with a note.

    ``figure`` None changes what the rule mainly asks. ``enforce`` makes advice binding.
    """

    rule_id: str
    distance_mm: int | None
    note: str
    figure: Figure | None = None
    enforce: bool = False


@dataclass(frozen=True, slots=True)
class Climate:
    """Air of the site over the year: mean [degC], and warmest less coldest monthly mean [K]."""

    mean_c: float
    swing_k: float
    is_south: bool = False


@dataclass(frozen=True, slots=True)
class Site:
    """The plot and the rules that hold there.

    ``tight``: the house is built tight, ``air_changes_per_h``: its known infiltration [1/h]; ``relief``: the local rule
    on relief valves, ``relief_temperature_c``: a local limit on their temperature [degC]; None = not known.
    ``spare_mm``: what terminals are kept farther from everything than the rule set asks [mm].
    ``electrical_code``: the one adopted here; None = the one that goes with the rule set.
    """

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
    measuring: Measuring = Measuring.RECTANGLE
    spare_mm: int = 0
    flood_elevation_mm: int | None = None
    tight: bool | None = None
    air_changes_per_h: float | None = None
    electrical_code: str | None = None
    relief: ReliefRule | None = None
    relief_temperature_c: float | None = None
    climate: Climate | None = None

    @property
    def gas(self) -> GasCharacter:
        """The gas that is delivered here."""
        return GasCharacter(self.fuel, self.heating_value_j_m3, self.specific_gravity, self.altitude_m)
