"""Temperature of the cold water that comes in: measured, or by the published correlation on the air, or cautious.

T = (mean + offset) + ratio (swing / 2) sin(turn (day - start - lag) - phase), in degF and days; ratio and lag follow
from the mean.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from math import radians, sin

from service.rules.tables import table
from service.survey.site import Climate
from service.trades.fixtures import temperature_c
from service.units import Quantity, to_si

DAYS_IN_YEAR = 365
MONTH_ENDS = (31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365)
MID_MONTH = (15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349)
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


class InletSource(StrEnum):
    """How the inlet temperature is known."""

    MEASURED = "measured"
    CORRELATION = "correlation"
    UNKNOWN = "not_known"


@dataclass(frozen=True, slots=True)
class Inlet:
    """Coldest and warmest cold water of the year [degC], and the month (1 to 12) of the coldest, None where not known.

    Where only one temperature is known both are that one.
    """

    coldest_c: float
    warmest_c: float
    month: int | None
    source: InletSource
    citation: str
    known_from: str


def inlet_of(measured_c: float | None, climate: Climate | None) -> Inlet:
    """What a heater must reckon with: a measured coldest inlet, else by the climate, else the cautious default."""
    days = [] if climate is None else [mains_c(climate, day) for day in range(1, DAYS_IN_YEAR + 1)]
    if measured_c is not None:
        warmest = max([measured_c, *days])
        return Inlet(measured_c, warmest, None, InletSource.MEASURED, "measured, as the survey tells", "read")
    if climate is None:
        row, cold = table("hot_water").where(symbol="inlet_unknown"), temperature_c("inlet_unknown")
        citation = f"{row.text('standard')}: {row.text('section')}"
        return Inlet(cold, cold, None, InletSource.UNKNOWN, citation, row.text("known_from"))
    coldest = min(days)
    source = table("inlet_temperature")
    month = month_of(days.index(coldest) + 1)
    return Inlet(coldest, max(days), month, InletSource.CORRELATION, f"{source.standard}, {source.edition}", "read")


def by_month(climate: Climate) -> tuple[float, ...]:
    """Inlet temperature [degC] in the middle of each month, January first."""
    return tuple(mains_c(climate, day) for day in MID_MONTH)


def month_of(day: int) -> int:
    """Month, 1 to 12, of a day of the year from 1 to 365."""
    return next(month for month, last in enumerate(MONTH_ENDS, 1) if day <= last)


def mains_c(climate: Climate, day: int) -> float:
    """Temperature of mains water [degC] on a day of the year, 1 to 365, from the air's mean and swing; never below
    freezing. Untested for northern climates. Source: Burch and Christensen 2007 (read)."""
    mean_f = climate.mean_c * 1.8 + 32
    swing_f = climate.swing_k * 1.8
    turned = _printed("turn") * (day - _printed("start") - lag_days(mean_f))
    angle = turned + _printed("phase") * (1 if climate.is_south else -1)
    water_f = mean_f + _printed("offset") + ratio(mean_f) * swing_f / 2 * sin(radians(angle))
    return to_si(Quantity.TEMPERATURE, max(_printed("floor"), water_f), "degF")


def ratio(mean_f: float) -> float:
    """Swing of the water over that of the air, for a mean of the air [degF]."""
    return _printed("ratio") + _printed("ratio_slope") * (mean_f - _printed("base"))


def lag_days(mean_f: float) -> float:
    """Days by which the water follows the air, for a mean of the air [degF]."""
    return _printed("lag") - _printed("lag_slope") * (mean_f - _printed("base"))


@cache
def _constants() -> dict[str, float]:
    return {row.text("symbol"): row.printed("value") for row in table("inlet_temperature").rows}


def _printed(symbol: str) -> float:
    return _constants()[symbol]
