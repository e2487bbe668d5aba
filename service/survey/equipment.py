"""Heaters and price books: data that a survey names or brings along."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from service.survey.intake_listing import IntakeListing, LengthBasis

MONEY_SCALE = 381_000
"""Money units in a cent: the least number that makes whole both a cent a foot and a cent a metre
when lengths are whole millimetres (1 cent/ft = 1250 units/mm, 1 cent/m = 381 units/mm)."""


class Draft(StrEnum):
    """Where the burner's air comes from."""

    DIRECT = "direct"
    ROOM_AIR = "room_air"


class Category(StrEnum):
    """Vent category of a positive-pressure appliance (III dry, IV wet)."""

    III = "III"
    IV = "IV"


class VentMaterial(StrEnum):
    """What the exhaust pipe of a vent is made of."""

    STAINLESS = "stainless"
    POLYPROPYLENE = "polypropylene"
    PVC = "pvc"
    CPVC = "cpvc"
    TYPE_B = "type_b"
    GALVANISED = "galvanised"


class VentConstruction(StrEnum):
    """One pipe for exhaust alone, one within the air's, or one beside it."""

    SINGLE = "single"
    CONCENTRIC = "concentric"
    TWIN = "twin"


class PortService(StrEnum):
    """What a connection of the heater is for."""

    VENT = "vent"
    GAS = "gas"
    COLD = "cold"
    HOT = "hot"
    DRAIN = "drain"
    POWER = "power"


@dataclass(frozen=True, slots=True)
class Port:
    """Connection on the case: ``dx_mm`` from the case's left edge as one faces it."""

    service: PortService
    dx_mm: int
    on_top: bool


@dataclass(frozen=True, slots=True)
class Clearances:
    """Free space the listing asks for around the case [mm]."""

    left_mm: int
    right_mm: int
    top_mm: int
    bottom_mm: int
    front_mm: int


@dataclass(frozen=True, slots=True)
class VentListing:
    """The vent system a heater is listed with.

    ``system`` is the key stem in the price book. ``fall`` is metres a metre of horizontal run;
    ``falls_to_heater`` says which way. ``terminal_radius_mm`` reaches to the terminal's outer edge.
    What a system of the survey's own is: ``material``, ``construction``, the standards it is listed to (None:
    not told) and its temperature class; a system of the table ``vent_systems`` need not tell. The flue gas
    is at most ``flue_temperature_c`` hot [degC]. ``intake`` is told of a twin-pipe vent, and of no other.
    """

    system: str
    pipe_radius_mm: int
    terminal_radius_mm: int
    max_equivalent_mm: int
    elbow_equivalent_mm: int
    max_elbows: int | None
    first_elbow_mm: int
    fall: float
    falls_to_heater: bool
    material: VentMaterial | None = None
    construction: VentConstruction | None = None
    listed_to: tuple[str, ...] | None = None
    temperature_class: str | None = None
    flue_temperature_c: float | None = None
    intake: IntakeListing | None = None

    @property
    def longest_mm(self) -> int:
        """No exhaust run is longer than this: the limit, or half of it where two pipes are added [mm]."""
        added = self.intake is not None and self.intake.length_basis is LengthBasis.COMBINED
        return self.max_equivalent_mm // 2 if added else self.max_equivalent_mm

    @property
    def bundle_radius_mm(self) -> int:
        """What the run takes up round its axis, that of the exhaust pipe, on whichever side an intake lies [mm]."""
        return self.pipe_radius_mm + (2 * self.intake.pipe_radius_mm if self.intake else 0)


NO_VENT = VentListing("", 0, 0, 0, 0, None, 0, 0.0, False)
"""Stands in a heater that is listed for outdoors only: nothing is ever routed or judged by it."""


@dataclass(frozen=True, slots=True)
class FlueOutlet:
    """Where the burnt gas leaves the case of a heater hung outdoors [mm].

    ``dx_mm`` from the case's left edge as one faces it, ``up_mm`` above its underside (as high as the case where it
    is on top), ``radius_mm`` to the outlet's outer edge. ``judged_as``: whose terminal rules hold for it, those of
    heaters that burn room air unless the listing says otherwise.
    """

    dx_mm: int
    up_mm: int
    radius_mm: int
    judged_as: Draft = Draft.ROOM_AIR


@dataclass(frozen=True, slots=True)
class OutdoorListing:
    """What a listing for outdoors says: flue outlet, free space around the case (``bottom_mm``: over the ground), what
    the outlet keeps from openings where that is more than the code asks [mm], and the outdoor temperature down to
    which it protects itself while powered [degC], None where it is not told."""

    flue: FlueOutlet
    clearances: Clearances
    openings_mm: int = 0
    min_temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class Outlet:
    """What the place of an end depends on by which burnt gas leaves: whether the rules of direct vent hold for it, its
    radius, how far before the wall it may be, and what its listing keeps from openings [mm]."""

    direct: bool
    radius_mm: int
    off_wall_mm: int = 0
    openings_mm: int = 0


@dataclass(frozen=True, slots=True)
class Heater:
    """One entry of the catalogue. Powers are [W], pressures [Pa], flows [m3/s].

    ``freeze_limit_c``: outdoor temperature down to which its own freeze protection holds, indoors and powered [degC].
    ``drain_size``: nominal size of its condensate connection. ``voltage_v`` [V], ``freeze_element_w``: what its frost
    protection draws besides ``electrical_w``; ``may_be_wired``: its listing takes wiring in place of a cord, which a
    heater with a cord of no length has not. None where not known.
    ``vent`` is the vent that is meant, ``vents`` all that it may have, the standard one first; if that is empty,
    ``vent`` is the only one.
    ``outdoor``: what its listing says of a place outdoors; ``vent`` is NO_VENT where it is listed for no other.
    """

    id: str
    name: str
    condensing: bool
    category: Category
    draft: Draft
    fuels: tuple[str, ...]
    input_min_w: float
    input_max_w: float
    efficiency: float
    width_mm: int
    height_mm: int
    depth_mm: int
    clearances: Clearances
    ports: tuple[Port, ...]
    vent: VentListing
    gas_inlet_min_pa: float
    gas_inlet_max_pa: float
    activation_flow_m3_s: float
    max_flow_m3_s: float
    pressure_loss: tuple[tuple[float, float], ...]
    electrical_w: float
    cord_length_mm: int
    outdoor_listed: bool
    vapour_ignition_resistant: bool
    price_cents: int
    freeze_limit_c: float | None = None
    drain_size: str | None = None
    voltage_v: float | None = None
    freeze_element_w: float | None = None
    may_be_wired: bool | None = None
    vents: tuple[VentListing, ...] = ()
    outdoor: OutdoorListing | None = None

    @property
    def indoors(self) -> bool:
        """Whether it may hang in a room, with a vent."""
        return self.vent != NO_VENT

    def outlet(self, outdoors: bool) -> Outlet:
        """Its flue outlet outdoors, anywhere between the wall and the case's front, or else its vent's terminal."""
        if outdoors and self.outdoor is not None:
            flue = self.outdoor.flue
            return Outlet(flue.judged_as is Draft.DIRECT, flue.radius_mm, self.depth_mm, self.outdoor.openings_mm)
        return Outlet(self.draft is Draft.DIRECT, self.vent.terminal_radius_mm)

    @property
    def power_reach_mm(self) -> int:
        """Cord taken up between its port and the point below the case where the small runs meet, but for the drop
        [mm]; a port of unknown place is as far off as the case allows."""
        ports = [p.dx_mm for p in self.ports if p.service is PortService.POWER] or [0, self.width_mm]
        return max(abs(dx - self.vent_dx_mm) for dx in ports)

    def line_dx_mm(self, outdoors: bool) -> int:
        """From the case's left edge, as one faces it, to the line that its place is told by: vent port or flue
        outlet [mm]."""
        return self.outdoor.flue.dx_mm if outdoors and self.outdoor is not None else self.vent_dx_mm

    @property
    def listings(self) -> tuple[VentListing, ...]:
        """Every vent that it is listed with, the standard one first; none if it hangs outdoors only."""
        return self.vents or ((self.vent,) if self.indoors else ())

    @property
    def vented(self) -> tuple[Heater, ...]:
        """It with each of its vents in turn, in the order of the listings."""
        return tuple(replace(self, vent=listing) for listing in self.listings)

    @property
    def label(self) -> str:
        """Its id, and the vent's system where that is not the standard one."""
        return self.id if self.vent in (NO_VENT, *self.listings[:1]) else f"{self.id} with {self.vent.system}"

    @property
    def vent_dx_mm(self) -> int:
        """Vent port from the case's left edge, seen from the front [mm]."""
        return next(p.dx_mm for p in self.ports if p.service is PortService.VENT)

    @property
    def vent_rise_mm(self) -> int:
        """From the case's top to the height at which the vent may first turn [mm].

        Holds the straight piece the listing asks for and the whole fall that the longest
        permitted horizontal run can need, so that no route ever lacks height for its slope.
        """
        return self.vent.first_elbow_mm + -(-int(self.vent.longest_mm * self.vent.fall * 1000) // 1000)


class Per(StrEnum):
    """What a price is for."""

    EACH = "each"
    METRE = "m"
    FOOT = "ft"


@dataclass(frozen=True, slots=True)
class Price:
    """One entry of a price book: whole cents an item, a metre or a foot."""

    key: str
    trade: str
    description: str
    cents: int
    per: Per

    @property
    def units_each(self) -> int:
        """Money units (see MONEY_SCALE) an item."""
        return self.cents * MONEY_SCALE

    @property
    def units_per_mm(self) -> int:
        """Money units a millimetre; exact for both feet and metres."""
        return self.cents * (1250 if self.per is Per.FOOT else 381)


@dataclass(frozen=True, slots=True)
class PriceBook:
    """Named prices. Missing keys are an error at the door, never a zero."""

    id: str
    currency: str
    items: dict[str, Price]

    def __getitem__(self, key: str) -> Price:
        return self.items[key]
