"""The house as surveyed: storeys with rooms, openings, walls and keep-outs; chases. See ``model`` for the units."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from service.survey.joined import Joined
from service.survey.rooms import Access, Enclosure, GarageKind

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
    PLENUM = "plenum"
    HAZARDOUS = "hazardous"
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
    """Room outline (counter-clockwise, not closed, at the inner wall face or the centre line).

    ``enclosure``: it is kept for the heater alone. ``garage``: whose, None = not known. ``serviced_through_door``:
    a closet whose doors stand open while someone works in the room before it, the one that it opens only into.
    ``joined``: rooms that share its air for good. ``exhaust_m3_s``: what fans take out of it [m3/s],
    ``under_roof``: nothing but the roof lies over it; None = not known.
    """

    id: str
    use: RoomUse
    outline: tuple[Point2, ...]
    finished: bool
    floor_z_mm: int
    ceiling_z_mm: int
    opens_only_into: str | None = None
    enclosure: Enclosure | None = None
    garage: GarageKind | None = None
    access: Access | None = None
    serviced_through_door: bool = False
    joined: tuple[Joined, ...] = ()
    exhaust_m3_s: float | None = None
    under_roof: bool | None = None


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
