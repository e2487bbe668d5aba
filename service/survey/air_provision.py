"""What gives a heater combustion air: the method, and what is made for it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class AirMethod(StrEnum):
    """How a heater that burns room air gets it."""

    STANDARD = "standard_volume"
    INFILTRATION = "known_infiltration"
    GRILLES = "transfer_grilles"
    TWO_OPENINGS = "two_openings"
    ONE_OPENING = "one_opening"
    HORIZONTAL_DUCTS = "horizontal_ducts"
    VERTICAL_DUCTS = "vertical_ducts"
    COMBINED = "combined"
    MECHANICAL = "mechanical"


@dataclass(frozen=True, slots=True)
class AirOpening:
    """An opening to be made, in whole millimetres squared: its free area, and what a louvre of metal or of wood must
    measure for it where its maker tells no free area; ``where`` in words."""

    free_mm2: int
    gross_metal_mm2: int
    gross_wood_mm2: int
    where: str = ""


@dataclass(frozen=True, slots=True)
class AirProvision:
    """What gives a heater its combustion air.

    ``rooms`` are those whose volume is counted, the heater's first. ``through`` are the adjoining rooms that grilles
    open into, or that a duct passes. ``counted_m3`` and ``asked_m3`` are volumes [m3], asked by the room's own method,
    None where none applies or a caller does not tell; ``supply_m3_s`` is what a fan brings [m3/s].
    """

    method: AirMethod
    rooms: tuple[str, ...] = ()
    openings: tuple[AirOpening, ...] = ()
    through: tuple[str, ...] = ()
    counted_m3: float | None = None
    asked_m3: float | None = None
    supply_m3_s: float = 0.0
    citation: str = ""
