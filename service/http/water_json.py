"""The water of a design as JSON in the caller's units."""

from __future__ import annotations

from typing import Any

from service.http.findings_json import finding_json, sorted_findings
from service.http.quantities import Quantities
from service.trades.water_index import Index, Sample
from service.trades.water_quality import Limit, SoftenerSize
from service.units import Quantity, rounded_from_si
from service.usecases.water_results import Hardness, IndexReport, SoftenerReport, WaterPart, WaterQualityReport

Json = dict[str, Any]
TOLD = (
    Quantity.HARDNESS, Quantity.HARDNESS_MASS, Quantity.CONCENTRATION, Quantity.DAILY_USE, Quantity.TEMPERATURE,
)  # fmt: skip
INDEX_DECIMALS = 3


def water_quality_json(report: WaterQualityReport, q: Quantities) -> Json:
    """The member ``water_quality`` of a design."""
    descaling = report.descaling
    return {
        "units": q.units(TOLD),
        "setpoint": q.temperature(report.setpoint_c),
        "hardness": _hardness(report.hardness, q),
        "softener": _softener(report.softener, q),
        "scale": _scale(report.scale, q),
        "descaling": {
            "months": descaling.months,
            "months_softened": report.softened.months,
            "known_from": descaling.known_from,
            "note": descaling.note,
        },
        "limits": [_limit(limit) for limit in report.limits],
        "parts": [water_part_json(p, q) for p in report.parts],
        "findings": [finding_json(f, q) for f in sorted_findings(report.findings)],
    }


def water_part_json(part: WaterPart, q: Quantities) -> Json:
    """An item for the water with its price."""
    return {
        "item": part.item,
        "quantity": part.quantity,
        "where": part.where,
        "price_key": part.price_key,
        "price": q.money_or_none(part.price_cents),
        "in_total": part.in_total,
        "citation": part.citation,
        "known_from": part.known_from,
        "note": part.note,
    }


def _hardness(hardness: Hardness, q: Quantities) -> Json:
    return {
        "value": _told(Quantity.HARDNESS, hardness.hardness_mg_l, q),
        "class": hardness.hardness_class,
        "citation": hardness.citation,
        "known_from": hardness.known_from,
    }


def _softener(softener: SoftenerReport, q: Quantities) -> Json:
    return {
        "present": softener.present,
        "advised": softener.advised,
        "bought": softener.bought,
        "advised_above": _told(Quantity.HARDNESS, softener.above_mg_l, q),
        "use_from": softener.use_from,
        "size": None if softener.size is None else _size(softener.size, q),
        "sodium_added": _told(Quantity.CONCENTRATION, softener.sodium_mg_l, q),
        "notes": list(softener.notes),
        "citation": softener.citation,
        "known_from": softener.known_from,
    }


def _size(size: SoftenerSize, q: Quantities) -> Json:
    return {
        "compensated_hardness": _told(Quantity.HARDNESS, size.compensated_mg_l, q),
        "daily_use": _told(Quantity.DAILY_USE, size.use_m3_s, q),
        "load_a_day": _told(Quantity.HARDNESS_MASS, size.load_g, q),
        "capacity": _told(Quantity.HARDNESS_MASS, size.capacity_g, q),
        "capacity_with_reserve": _told(Quantity.HARDNESS_MASS, size.reserved_g, q),
        "nominal_size": _told(Quantity.HARDNESS_MASS, size.nominal_g, q),
    }


def _scale(scale: IndexReport, q: Quantities) -> Json:
    return {
        "tendency": scale.tendency,
        "sample": None if scale.sample is None else _sample(scale.sample),
        "missing": list(scale.missing),
        "indices": [_index(i, q) for i in scale.indices],
        "citation": scale.citation,
        "known_from": scale.known_from,
    }


def _sample(sample: Sample) -> Json:
    return {"ph": sample.ph, "tds": sample.tds, "calcium_hardness": sample.calcium, "alkalinity": sample.alkalinity}


def _index(index: Index, q: Quantities) -> Json:
    return {
        "place": index.place,
        "temperature": q.temperature(index.t_c),
        "saturation_ph": round(index.saturation_ph, INDEX_DECIMALS),
        "langelier": round(index.langelier, INDEX_DECIMALS),
        "langelier_short_form": round(index.langelier_short, INDEX_DECIMALS),
        "ryznar": round(index.ryznar, INDEX_DECIMALS),
        "ryznar_class": index.ryznar_class,
    }


def _limit(limit: Limit) -> Json:
    return {
        "substance": limit.substance,
        "low": limit.low,
        "high": limit.high,
        "found": limit.found,
        "kept": limit.kept,
        "citation": limit.citation,
        "known_from": limit.known_from,
        "note": limit.note,
    }


def _told(quantity: Quantity, value: float | None, q: Quantities) -> float | None:
    """Rounded as it is told to people; None stays None."""
    return None if value is None else rounded_from_si(quantity, value, q.system)
