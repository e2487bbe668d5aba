"""Hardness of water: its class, when and how large a softener, how often to descale, and what else it should not hold.

Hardness is as CaCO3 [mg/L], masses of hardness [g], flows of a day [m3/s].
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from service.rules.figures import Figure, citation_of, figure_of
from service.rules.tables import Row, table
from service.survey.model import WaterSupply
from service.survey.water import WaterAnalysis

DAY_S = 86_400
SUBSTANCES = {"ph": "ph", "chloride": "chloride_mg_l", "iron": "iron_mg_l", "tds": "tds_mg_l"}
"""Substances of the table of limits and where an analysis holds them."""


@cache
def water_rule(rule: str) -> Figure:
    """Figure of a rule on the water's quality; KeyError for an unknown one."""
    return figure_of(table("water_quality").where(rule=rule))


def hardness_class(hardness_mg_l: float) -> str:
    """Soft, moderately hard (over 60), hard (over 120) or very hard (over 180 mg/L). Source: USGS (read)."""
    return next(row.text("class") for row in table("hardness_classes").rows if _reaches(row, hardness_mg_l))


def softener_is_advised(hardness_mg_l: float) -> bool:
    """Whether the water is harder than 8 gpg, 137 mg/L. Source: common practice."""
    return hardness_mg_l > water_rule("softener_above").value


def compensated_mg_l(hardness_mg_l: float, iron_mg_l: float | None, allowance_mg_l: float | None = None) -> float:
    """Hardness that a softener is sized by: ``allowance_mg_l`` more for each mg/L of iron, 3 gpg where none is given
    (common practice; sheets that were read say 2, 3 and 5); iron that is not known counts as none."""
    allowance = water_rule("iron_hardness").value if allowance_mg_l is None else allowance_mg_l
    return hardness_mg_l + allowance * (iron_mg_l or 0.0)


@dataclass(frozen=True, slots=True)
class SoftenerSize:
    """What a softener must take: ``load_g`` a day, ``capacity_g`` between regenerations, ``reserved_g`` the same with
    a reserve, ``nominal_g`` the next size that is sold, None beyond the largest."""

    compensated_mg_l: float
    use_m3_s: float
    load_g: float
    capacity_g: float
    reserved_g: float
    nominal_g: float | None


def softener_size(hardness_mg_l: float, iron_mg_l: float | None, use_m3_s: float) -> SoftenerSize:
    """Size for a house's use of water [m3/s, mean of a day]: use x compensated hardness a day, a week between
    regenerations (sizing sheets, read), 20 % of reserve beside it (common practice)."""
    hardness = compensated_mg_l(hardness_mg_l, iron_mg_l)
    load = use_m3_s * DAY_S * hardness
    capacity = load * water_rule("days_between").value
    sizes = (row.si("capacity") for row in table("softener_sizes").rows)
    return SoftenerSize(
        hardness, use_m3_s, load, capacity, capacity / (1 - water_rule("reserve").value),
        next((size for size in sizes if size >= capacity * (1 - 1e-9)), None),
    )  # fmt: skip


def use_m3_s(people: int) -> float:
    """Water that so many people use, mean of a day [m3/s]: 75 gal each. Source: softener sizing sheets (read)."""
    return people * water_rule("use_per_person").value


def people_of(bedrooms: int) -> int:
    """People taken to live in a house: its bedrooms and one. Source: ASHRAE 62.2 (memory)."""
    return bedrooms + round(water_rule("people_beyond_bedrooms").value)


def sodium_added_mg_l(hardness_mg_l: float) -> float:
    """Sodium [mg/L] that softening adds: 7.864 mg/L for each gpg. Source: chemistry of the exchange (computed)."""
    return hardness_mg_l * water_rule("sodium_added").value


@dataclass(frozen=True, slots=True)
class Descaling:
    """How often the heater is flushed with weak acid."""

    months: int
    known_from: str
    note: str


def descaling(hardness_mg_l: float | None) -> Descaling:
    """Interval by hardness: yearly up to 7 gpg, half-yearly up to 11, every 3 months above and where the hardness is
    not known. Source: common practice; the heater's instructions govern."""
    rows = table("descaling").rows
    row = rows[-1] if hardness_mg_l is None else next(r for r in rows if _reaches(r, hardness_mg_l))
    return Descaling(row.integer("months"), row.text("known_from"), row.text("note"))


@dataclass(frozen=True, slots=True)
class Limit:
    """Range of a substance (pH, or mg/L), what was found, and whether it is kept; None where it is not known."""

    substance: str
    low: float | None
    high: float
    found: float | None
    kept: bool | None
    citation: str
    known_from: str
    note: str


def limits(analysis: WaterAnalysis | None, country: str) -> tuple[Limit, ...]:
    """Limits on pH, chloride, iron and dissolved solids in a country. Source: 40 CFR 143.3; Guidelines for Canadian
    Drinking Water Quality (memory). None binds a house."""
    return tuple(_limits(analysis or WaterAnalysis(), country))


def _limits(analysis: WaterAnalysis, country: str) -> Iterator[Limit]:
    for row in (r for r in table("water_limits").rows if r.text("country") == country):
        found: float | None = getattr(analysis, SUBSTANCES[row.text("substance")])
        low = None if row.cells["low"] is None else row.si("low")
        high = row.si("high")
        kept = None if found is None else (low or 0.0) <= found <= high
        cite = citation_of(row.text("standard"), row.text("section"))
        yield Limit(row.text("substance"), low, high, found, kept, cite, row.text("known_from"), row.text("note"))


def setpoint_c(water: WaterSupply) -> float:
    """Setpoint of the heater [degC]: the survey's, else 120 degF as heaters are delivered (common practice)."""
    return water_rule("setpoint").value if water.setpoint_c is None else water.setpoint_c


def _reaches(row: Row, hardness_mg_l: float) -> bool:
    """Whether a class or band holds a hardness; equality stays in the softer one."""
    return row.cells["up_to"] is None or hardness_mg_l <= row.si("up_to") * (1 + 1e-9)
