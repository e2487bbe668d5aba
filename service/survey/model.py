"""What a surveyor hands in, in SI: lengths in whole millimetres, everything else in SI floats.

Plan points are (x, y) in the survey's own axes; heights are absolute z in the same datum as the
storeys' floors. Angles never occur. Nothing here knows JSON, units or rules.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from service.survey.equipment import Heater, PriceBook

Point2 = tuple[int, int]
Point3 = tuple[int, int, int]


class UnitSystem(StrEnum):
    """System of measure in which the caller speaks and is answered."""

    US = "us"
    SI = "si"


class RoomUse(StrEnum):
    """What a room is for, as far as a rule asks."""

    BEDROOM = "bedroom"
    BATHROOM = "bathroom"
    TOILET = "toilet"
    CLOSET = "closet"
    LIVING = "living"
    KITCHEN = "kitchen"
    HALL = "hall"
    STAIR = "stair"
    UTILITY = "utility"
    LAUNDRY = "laundry"
    MECHANICAL = "mechanical"
    STORAGE = "storage"
    OFFICE = "office"
    BASEMENT = "basement"
    GARAGE = "garage"
    ATTIC = "attic"
    CRAWL_SPACE = "crawl_space"
    UNKNOWN = "unknown"


class OpeningKind(StrEnum):
    """Kind of hole in a wall."""

    WINDOW = "window"
    DOOR = "door"
    GARAGE_DOOR = "garage_door"


class WallKind(StrEnum):
    """What lies behind a wall."""

    EXTERIOR = "exterior"
    INTERIOR = "interior"
    PARTY = "party"


class KeepOutKind(StrEnum):
    """Thing in a room that neither heater nor pipe may pass through."""

    DUCT = "duct"
    BEAM = "beam"
    STAIR = "stair"
    CUPBOARD = "cupboard"
    PANEL = "panel"
    CHIMNEY = "chimney"
    FIXTURE = "fixture"
    OTHER = "other"


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
class Opening:
    """Window or door between two plan points on a wall line [mm]."""

    id: str
    kind: OpeningKind
    start: Point2
    end: Point2
    sill_z_mm: int
    head_z_mm: int
    operable: bool | None = None
    swings_out: bool | None = None


@dataclass(frozen=True, slots=True)
class Wall:
    """Facts about a stretch of wall that outlines do not tell; matched to room edges by place."""

    id: str
    start: Point2
    end: Point2
    kind: WallKind | None
    thickness_mm: int | None


@dataclass(frozen=True, slots=True)
class Room:
    """Room outline (counter-clockwise, not closed, at the inner wall face or the centre line)."""

    id: str
    use: RoomUse
    outline: tuple[Point2, ...]
    finished: bool
    floor_z_mm: int
    ceiling_z_mm: int
    opens_only_into: str | None = None


@dataclass(frozen=True, slots=True)
class KeepOut:
    """Prism that blocks: plan outline and height range [mm]."""

    id: str
    kind: KeepOutKind
    outline: tuple[Point2, ...]
    base_z_mm: int
    top_z_mm: int


@dataclass(frozen=True, slots=True)
class Chase:
    """Vertical shaft through floors that pipes and vents may use [mm]."""

    id: str
    outline: tuple[Point2, ...]
    base_z_mm: int
    top_z_mm: int


@dataclass(frozen=True, slots=True)
class Storey:
    """One level of the house."""

    id: str
    floor_z_mm: int
    ceiling_z_mm: int
    rooms: tuple[Room, ...]
    openings: tuple[Opening, ...]
    walls: tuple[Wall, ...] = ()
    keep_outs: tuple[KeepOut, ...] = ()


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


@dataclass(frozen=True, slots=True)
class GasNode:
    """Joint, outlet or end of the existing gas piping [mm]."""

    id: str
    at: Point3


@dataclass(frozen=True, slots=True)
class GasSegment:
    """Existing pipe from ``start`` node (towards the meter) to ``end`` node."""

    id: str
    start: str
    end: str
    material: str
    size: str
    length_mm: int


@dataclass(frozen=True, slots=True)
class Appliance:
    """Existing gas appliance at a node of the piping."""

    id: str
    kind: str
    input_w: float
    direct_vent: bool | None
    room: str | None
    node: str


@dataclass(frozen=True, slots=True)
class GasSupply:
    """Point of delivery (also the root node's place) and what hangs on it."""

    delivery_node: str
    pressure_pa: float
    meter_capacity_w: float
    allowable_drop_pa: float
    nodes: tuple[GasNode, ...]
    segments: tuple[GasSegment, ...] = ()
    appliances: tuple[Appliance, ...] = ()
    free_outlets: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WaterLine:
    """Existing water pipe as a polyline that may be tapped anywhere along it [mm]."""

    id: str
    points: tuple[Point3, ...]
    size: str
    material: str


@dataclass(frozen=True, slots=True)
class Fixture:
    """Hot-water fixture with its draw [m3/s]."""

    id: str
    kind: str
    at: Point3
    flow_m3_s: float


@dataclass(frozen=True, slots=True)
class WaterSupply:
    """Cold and hot lines of the house and what is known of the water."""

    cold: tuple[WaterLine, ...]
    hot: tuple[WaterLine, ...]
    static_pressure_pa: float | None = None
    hardness_mg_l: float | None = None
    fixtures: tuple[Fixture, ...] = ()
    softener: bool | None = None


@dataclass(frozen=True, slots=True)
class Drain:
    """Place where condensate may be led [mm]."""

    id: str
    at: Point3


@dataclass(frozen=True, slots=True)
class Receptacle:
    """Existing outlet or panel from which a circuit can be led [mm]."""

    id: str
    at: Point3
    is_panel: bool = False


@dataclass(frozen=True, slots=True)
class Preferences:
    """What the customer wants; empty means no wish."""

    rooms_refused: tuple[str, ...] = ()
    rooms_wanted: tuple[str, ...] = ()
    alternatives: int = 1
    solver_seconds: float | None = None


@dataclass(frozen=True, slots=True)
class Survey:
    """Everything known at the site, ready to be built upon."""

    name: str
    units: UnitSystem
    site: Site
    storeys: tuple[Storey, ...]
    gas: GasSupply
    water: WaterSupply
    heaters: tuple[Heater, ...]
    prices: PriceBook
    chases: tuple[Chase, ...] = ()
    drains: tuple[Drain, ...] = ()
    receptacles: tuple[Receptacle, ...] = ()
    preferences: Preferences = field(default_factory=Preferences)
    assumptions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
