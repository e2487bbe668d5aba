"""A design: the answer of siting and the subject of checking. Frame coordinates, millimetres."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import hypot

from service.phrases import Detail
from service.survey.air_provision import AirMethod as AirMethod
from service.survey.air_provision import AirOpening as AirOpening
from service.survey.air_provision import AirProvision as AirProvision
from service.survey.equipment import Draft, Heater
from service.survey.model import GasSupply, Point3, RoomUse, WaterItem

MANIFOLD_DROP_MM = 300
"""The small pipes meet on the vent port's line so far below the case; one connection each leads to the ports."""
KEEP_OUT_REACH_MM = 50
"""A keep-out nearer than this to a wall, on the room's side, blocks the pipes on it: they stand off the plaster."""
NO_EXPOSED_VENT = frozenset({RoomUse.BEDROOM, RoomUse.BATHROOM, RoomUse.TOILET, RoomUse.CLOSET})
"""Rooms whose walls carry no open vent pipe; above their ceilings it is enclosed (common practice, no source)."""


class Service(StrEnum):
    """The six runs of an installation."""

    VENT = "vent"
    GAS = "gas"
    COLD = "cold"
    HOT = "hot"
    DRAIN = "drain"
    POWER = "power"


class Surface(StrEnum):
    """What a run is fastened to; decides the surcharge for access."""

    WALL = "wall"
    WALL_FINISHED = "wall_finished"
    CEILING = "ceiling"
    CEILING_FINISHED = "ceiling_finished"
    CHASE = "chase"
    STUB = "stub"
    WALL_CROSSING = "wall_crossing"
    FLOOR_CROSSING = "floor_crossing"
    OUTER_WALL = "outer_wall"
    ROOF = "roof"


@dataclass(frozen=True, slots=True)
class Piece:
    """Straight part of a route on one surface; length is the distance of its ends."""

    start: Point3
    end: Point3
    surface: Surface

    @property
    def length_mm(self) -> int:
        """Length, rounded to the millimetre (exact along an axis) [mm]."""
        d = [b - a for a, b in zip(self.start, self.end, strict=True)]
        return round(hypot(*d))


@dataclass(frozen=True, slots=True)
class Route:
    """One run from the heater (first piece's start) to its other end (last piece's end).

    ``option`` is the vent system, the pipe size, or a way of having power; ``end_id`` names what it ends at. Gas pipe
    other than Schedule 40 steel names its material too, as in ``csst.18``. ``elbows`` counts the 90 degree turns.
    ``equivalent_mm``: length with elbow allowances (gas: and pipe upstream of the tap), ``limit_mm``: its greatest.
    """

    service: Service
    option: str
    end_id: str
    pieces: tuple[Piece, ...]
    elbows: int
    equivalent_mm: int | None = None
    limit_mm: int | None = None
    pumped: bool = False

    @property
    def length_mm(self) -> int:
        """Length of pipe, crossings included [mm]."""
        return sum(p.length_mm for p in self.pieces)


@dataclass(frozen=True, slots=True)
class Mount:
    """Where the case hangs: ``s_mm`` is the vent port's line on the face, z is absolute [mm]. Outdoors ``facade_id``
    names the facade, ``face_id`` is empty, and ``s_mm`` is the flue outlet's line."""

    face_id: str
    s_mm: int
    bottom_z_mm: int
    facade_id: str = ""


@dataclass(frozen=True, slots=True)
class Terminal:
    """Centre of the vent terminal on a facade, or of the flue outlet before it; z is absolute [mm]."""

    facade_id: str
    s_mm: int
    z_mm: int


@dataclass(frozen=True, slots=True)
class RoofTerminal:
    """Opening of a vent terminal over a roof plane, in plan at (x, y); z is absolute [mm]."""

    roof_id: str
    x_mm: int
    y_mm: int
    z_mm: int


@dataclass(frozen=True, slots=True)
class CostLine:
    """quantity x unit price = amount; quantity in items, metres or feet as the price is."""

    trade: str
    key: str
    description: str
    quantity: float
    per: str
    unit_price_cents: int
    amount_cents: int


@dataclass(frozen=True, slots=True)
class Sleeve:
    """A hole in a wall or floor that runs of one service of several heaters pass together, from its lesser end on."""

    service: Service
    surface: Surface
    start: Point3
    end: Point3


class RenewedPart(StrEnum):
    """Which part of an old gas segment is renewed."""

    WHOLE = "whole"
    BEFORE_TAP = "before_tap"
    AFTER_TAP = "after_tap"


@dataclass(frozen=True, slots=True)
class Renewal:
    """An old gas segment, or its part before or after the tap, that larger pipe takes the place of [mm]."""

    segment_id: str
    part: RenewedPart
    material: str
    size: str
    length_mm: int


@dataclass(frozen=True, slots=True)
class GasWorks:
    """What the heater's load asks of the gas system besides the branch.

    ``pressure_option``: id of the delivery pressure to ask the supplier for, None to leave it as it is.
    ``line_regulators``: how many are bought. ``ahead_of_regulator``: the branch leaves the old piping ahead
    of the line regulator at its tap, and the heater has a line regulator of its own.
    """

    renewals: tuple[Renewal, ...] = ()
    pressure_option: str | None = None
    line_regulators: int = 0
    ahead_of_regulator: bool = False
    service_regulator: bool = False


class Part(StrEnum):
    """What of a design can be handed in by itself; a run is named ``routes.`` and its service."""

    MOUNT = "mount"
    TERMINAL = "terminal"
    INTAKE = "intake"
    VENT_RUN = "routes.vent"
    GAS_RUN = "routes.gas"
    COLD_RUN = "routes.cold"
    HOT_RUN = "routes.hot"
    DRAIN_RUN = "routes.drain"
    POWER_RUN = "routes.power"
    AIR = "air_openings"
    GAS_WORKS = "gas"
    COST = "cost"

    @classmethod
    def run(cls, service: Service) -> Part:
        """The run of a service."""
        return cls(f"routes.{service}")


EVERY_PART = frozenset(Part)
NO_MOUNT, NO_TERMINAL = Mount("", 0, 0), Terminal("", 0, 0)
"""Stand in a design for what was not given; nothing is ever judged by them."""


@dataclass(frozen=True, slots=True)
class Design:
    """One installation; complete unless ``given`` lacks a part, which then nothing may be said of.

    ``air_openings``: openings to outdoors are made; ``air`` tells which, if any are needed and a caller tells it.
    ``sleeves``: holes on its runs that several heaters pay for together, so that none is in its own bill.
    ``intake``: centre of twin pipe's own intake. ``water_items`` are bought for its water. ``weighed_cents``: what its
    waiting for hot water weighs beside what is paid, None where that has no price or a caller does not tell.
    """

    heater: Heater
    mount: Mount
    terminal: Terminal | RoofTerminal
    routes: tuple[Route, ...]
    air_openings: bool
    meter_upgrade: bool
    lines: tuple[CostLine, ...]
    total_cents: int
    gas: GasWorks = GasWorks()
    given: frozenset[Part] = EVERY_PART
    cold_fitting: bool = False
    air: AirProvision | None = None
    water_items: tuple[WaterItem, ...] = ()
    weighed_cents: int | None = None
    intake: Terminal | None = None
    sleeves: tuple[Sleeve, ...] = ()

    @property
    def needed(self) -> frozenset[Part]:
        """The parts of a whole installation of this heater."""
        spared = {Part.DRAIN_RUN: not self.heater.condensing, Part.VENT_RUN: self.outdoors}
        spared[Part.AIR] = self.outdoors or self.heater.draft is Draft.DIRECT
        spared[Part.INTAKE] = self.outdoors or self.heater.vent.intake is None
        return frozenset(p for p in Part if not spared.get(p, False))

    @property
    def outdoors(self) -> bool:
        """Whether it hangs outdoors, without a vent; a heater that can hang nowhere else does."""
        return bool(self.mount.facade_id) or not self.heater.indoors

    @property
    def whole(self) -> bool:
        """Whether everything that the heater needs is given."""
        return self.needed <= self.given

    def has(self, *parts: Part) -> bool:
        """Whether all these parts are given."""
        return self.given.issuperset(parts)

    def route(self, service: Service) -> Route | None:
        """The run of one service, or None if the heater does not need it."""
        return next((r for r in self.routes if r.service is service), None)


class Verdict(StrEnum):
    """Outcome of one rule."""

    PASS = "pass"
    FAIL = "fail"
    UNKNOWN = "unknown"
    ADVICE = "advice"


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule applied to one thing. Distances in mm; None where a rule has no distance."""

    rule_id: str
    verdict: Verdict
    subject: str
    object_id: str
    detail: Detail
    required_mm: int | None = None
    actual_mm: int | None = None
    citation: str = ""
    missing: str = ""


@dataclass(frozen=True, slots=True)
class JointDesign:
    """Designs of several dwellings (by their ids) that stand beside one another with what they share done once.

    ``supply``: the shared gas system with every branch on it, its pipes as today; ``heaters``: its node of each heater,
    by dwelling. ``renewals`` of its segments; ``keys``: price keys of what the supplier changes. ``sleeves``: holes
    that several heaters' runs pass. ``pressure_option``: id of the delivery pressure to ask the supplier for.
    """

    designs: tuple[tuple[str, Design], ...]
    supply: GasSupply
    heaters: tuple[tuple[str, str], ...]
    renewals: tuple[Renewal, ...]
    keys: tuple[str, ...]
    lines: tuple[CostLine, ...]
    total_cents: int
    sleeves: tuple[Sleeve, ...] = ()
    pressure_option: str | None = None
