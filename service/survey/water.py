"""What was told of the water and of its relief, and what may be bought for it. See ``model`` for the units."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class WaterItem(StrEnum):
    """Thing that may be bought for the water of a heater, once."""

    SOFTENER = "softener"
    EXPANSION_TANK = "expansion_tank"
    MIXING_VALVE = "mixing_valve"
    DRAIN_PAN = "drain_pan"

    @property
    def price_key(self) -> str:
        """Its key in a price book, which may lack it."""
        return f"water.{self}"


@dataclass(frozen=True, slots=True)
class WaterAnalysis:
    """Analysis of the water that reaches the heater [mg/L]; calcium and alkalinity as CaCO3, iron and chloride as
    such. ``temperature_c``: of the cold water [degC]. None where not told."""

    ph: float | None = None
    tds_mg_l: float | None = None
    calcium_mg_l: float | None = None
    alkalinity_mg_l: float | None = None
    chloride_mg_l: float | None = None
    iron_mg_l: float | None = None
    temperature_c: float | None = None


class ReliefRule(StrEnum):
    """What relief the local rule asks of a heater without a tank."""

    PRESSURE = "pressure"
    TEMPERATURE_AND_PRESSURE = "temperature_and_pressure"
    BY_LISTING = "by_listing"


class DischargeEnd(StrEnum):
    """Where the discharge pipe of a relief valve ends; ``drainage``: joined to it without an air gap."""

    FLOOR = "floor"
    PAN = "pan"
    RECEPTOR = "waste_receptor"
    OUTDOORS = "outdoors"
    DRAINAGE = "drainage"


@dataclass(frozen=True, slots=True)
class Discharge:
    """Discharge pipe of a relief valve, there or planned: nominal ``size`` [in], height of its end over floor or rim
    [mm], and what else a rule asks of it. None where not told."""

    end: DischargeEnd | None = None
    size: str | None = None
    end_height_mm: int | None = None
    air_gap_in_room: bool | None = None
    serves_one: bool | None = None
    harmless: bool | None = None
    visible_end: bool | None = None
    trapped: bool | None = None
    falls: bool | None = None
    threaded_end: bool | None = None
    valves_or_tees: bool | None = None
    listed_material: bool | None = None
    insert_fittings: bool | None = None
    end_fastened: bool | None = None
