"""A design's water pressure as JSON in the caller's units."""

from __future__ import annotations

from typing import Any

from service.http.findings_json import part_json
from service.http.quantities import Quantities
from service.units import Quantity, rounded_from_si
from service.usecases.pressure_results import FixturePressure, PressureReport, PressureStep

Json = dict[str, Any]


def pressure_json(report: PressureReport, q: Quantities) -> Json:
    """The member ``water_pressure`` of a design."""
    return {
        "units": q.units((Quantity.LENGTH, Quantity.FLOW, Quantity.WATER_PRESSURE)),
        "static": _pa_or_none(report.static_pa, q),
        "static_limit": _pa(report.limit_pa, q),
        "reducing_valve_needed": report.valve_needed,
        "supply": _pa_or_none(report.supply_pa, q),
        "main_flow": _flow_or_none(report.main_m3_s, q),
        "hot_flow": _flow_or_none(report.hot_m3_s, q),
        "chain": [_step(step, q) for step in report.steps],
        "fixtures": [_residual(f, q) for f in report.fixtures],
        "worst": report.worst,
        "missing": list(report.missing),
        "parts": [part_json(p) for p in report.parts],
        "assumptions": list(report.assumptions),
        "warnings": list(report.warnings),
    }


def _pa(value: float, q: Quantities) -> float:
    return rounded_from_si(Quantity.WATER_PRESSURE, value, q.system)


def _pa_or_none(value: float | None, q: Quantities) -> float | None:
    return None if value is None else _pa(value, q)


def _flow_or_none(value: float | None, q: Quantities) -> float | None:
    return None if value is None else rounded_from_si(Quantity.FLOW, value, q.system)


def _step(step: PressureStep, q: Quantities) -> Json:
    return {
        "what": step.what,
        "length": q.length_or_none(step.length_mm),
        "flow": _flow_or_none(step.flow_m3_s, q),
        "loss": _pa(step.loss_pa, q),
        "loss_by_hazen_williams": _pa_or_none(step.hazen_williams_pa, q),
    }


def _residual(f: FixturePressure, q: Quantities) -> Json:
    return {
        "fixture": f.fixture,
        "residual": _pa(f.residual_pa, q),
        "least": _pa(f.least_pa, q),
        "to_spare": _pa(f.residual_pa - f.least_pa, q),
        "citation": f.citation,
        "known_from": f.known_from,
    }
