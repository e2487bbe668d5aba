"""Whether water lays down scale or dissolves it: Langelier and Ryznar indices. Concentrations [mg/L], the pH held."""

from __future__ import annotations

from dataclasses import dataclass
from math import log10, sqrt

from service.rules.tables import table
from service.survey.model import WaterSupply
from service.trades.water_quality import water_rule

FORM = "Standard Methods 2330 B / ASTM D3739"
COLD, SKIN = "cold water", "exchanger's skin"
NEEDED = {"ph": "pH", "tds_mg_l": "tds", "calcium_mg_l": "calcium_hardness", "alkalinity_mg_l": "alkalinity"}
"""What an index needs of an analysis, and what the survey calls it."""


@dataclass(frozen=True, slots=True)
class Sample:
    """What the indices are made of: pH, dissolved solids, calcium and alkalinity as CaCO3 [mg/L], all above zero."""

    ph: float
    tds: float
    calcium: float
    alkalinity: float


def sample_of(water: WaterSupply) -> tuple[Sample | None, tuple[str, ...]]:
    """The sample of an analysis, or None and what is missing; where calcium is not told all hardness counts as such,
    the worst case for scale."""
    analysis = water.analysis
    found = {field: getattr(analysis, field, None) for field in NEEDED}
    if found["calcium_mg_l"] is None:
        found["calcium_mg_l"] = water.hardness_mg_l
    missing = tuple(NEEDED[field] for field, value in found.items() if not value)
    return (None if missing else Sample(*found.values())), missing  # type: ignore[arg-type]  # none is None here


def saturation_ph(sample: Sample, t_c: float) -> float:
    """pH at which the water neither forms nor dissolves calcite at a temperature [degC], full form:
    pK2 - pKs + p[Ca] + p[HCO3] + 5 pfm. Valid from 0 to 90 degC and to about 1,000 mg/L of dissolved solids.
    Source: Standard Methods 2330 B; Plummer and Busenberg 1982 (read)."""
    calcium = -log10(sample.calcium / _value("calcium_molar"))
    alkalinity = -log10(sample.alkalinity / _value("alkalinity_molar"))
    kelvin = t_c + _value("kelvin")
    return -log_k2(kelvin) + log_ks(kelvin) + calcium + alkalinity + 5 * _activity(sample.tds, kelvin)


def short_saturation_ph(sample: Sample, t_c: float) -> float:
    """The same by the short form (9.3 + A + B) - (C + D), a cross-check: up to 0.25 off in cold water.
    Source: worked example (read)."""
    a = (log10(sample.tds) - 1) * _value("short_tds")
    b = _value("short_temperature") * log10(t_c + _value("short_kelvin")) + _value("short_temperature_base")
    return _value("short_base") + a + b - (log10(sample.calcium) - _value("short_calcium")) - log10(sample.alkalinity)


def log_k2(kelvin: float) -> float:
    """log10 of the second dissociation constant of carbonic acid at a temperature [K]."""
    return (
        _value("k2_constant") + _value("k2_linear") * kelvin + _value("k2_inverse") / kelvin
        + _value("k2_log") * log10(kelvin) + _value("k2_inverse_square") / kelvin**2
    )  # fmt: skip


def log_ks(kelvin: float) -> float:
    """log10 of the solubility product of calcite at a temperature [K]."""
    return (
        _value("ks_constant") + _value("ks_linear") * kelvin + _value("ks_inverse") / kelvin
        + _value("ks_log") * log10(kelvin)
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Index:
    """Both indices at one temperature [degC]: pHs, Langelier pH - pHs (and by the short form), Ryznar 2 pHs - pH."""

    place: str
    t_c: float
    saturation_ph: float
    langelier: float
    langelier_short: float
    ryznar: float
    ryznar_class: str


def index_at(sample: Sample, place: str, t_c: float) -> Index:
    """Both indices at a temperature [degC]."""
    saturated = saturation_ph(sample, t_c)
    ryznar = 2 * saturated - sample.ph
    return Index(
        place, t_c, saturated, sample.ph - saturated, sample.ph - short_saturation_ph(sample, t_c), ryznar,
        ryznar_class(ryznar),
    )  # fmt: skip


def indices(sample: Sample, setpoint_c: float, cold_c: float | None) -> tuple[Index, ...]:
    """Indices from the coldest to the hottest water: cold (where its temperature is told), at the setpoint, and at the
    skin of the heat exchanger, 20 to 40 degF hotter (common practice); none beyond what the formula holds for."""
    places = [(COLD, cold_c)] if cold_c is not None else []
    places += [("setpoint", setpoint_c)]
    places += [(f"{SKIN}, {k}", setpoint_c + water_rule(f"skin_{k}").value) for k in ("low", "high")]
    return tuple(index_at(sample, place, t) for place, t in places if t is not None and t <= _value("hottest"))


def tendency(found: tuple[Index, ...]) -> str | None:
    """scaling, corrosive or balanced: scale by the hottest index, corrosion by the coldest, each beyond 0.5
    (common practice). None where neither is seen but an end of the range is not known; then nothing is balanced.
    ValueError without an index."""
    if not found:
        raise ValueError("no index")
    action = water_rule("scale_action").value
    if found[-1].langelier > action:
        return "scaling"
    if found[0].langelier < -action:
        return "corrosive"
    return None if unknown_ends(found) else "balanced"


def unknown_ends(found: tuple[Index, ...]) -> tuple[str, ...]:
    """Of the coldest and the hottest water, what no index is of."""
    places = {i.place for i in found}
    return tuple(place for place in (COLD, f"{SKIN}, high") if place not in places)


def ryznar_class(ryznar: float) -> str:
    """Forms scale below 6, little of either up to 7, corrosive above. Source: memory."""
    scale, little, corrosive = (row.text("class") for row in table("ryznar_classes").rows)
    below, up_to = (row.printed("up_to") for row in table("ryznar_classes").rows[:2])
    return scale if ryznar < below else little if ryznar <= up_to else corrosive


def _activity(tds: float, kelvin: float) -> float:
    """Activity term pfm of a single charge: A (sqrt I / (1 + sqrt I) - 0.3 I)."""
    strength = _value("ionic_strength") * tds
    dielectric = _value("dielectric_1") / (kelvin + _value("dielectric_2")) - _value("dielectric_3")
    factor: float = _value("debye") * (dielectric * kelvin) ** -1.5
    root = sqrt(strength)
    return factor * (root / (1 + root) - _value("davies") * strength)


def _value(symbol: str) -> float:
    return table("water_index").constant(symbol)
