"""A design's vent and condensate as JSON in the caller's units."""

from __future__ import annotations

from typing import Any

from service.http.findings_json import finding_json, part_json, sorted_findings
from service.http.quantities import Quantities
from service.trades.condensate import CondensateRule
from service.trades.vent_systems import CategoryFacts, VentSystem
from service.units import Quantity
from service.usecases.condensate_report import flow_unit, hourly
from service.usecases.vent_results import (
    ColdReport,
    CondensateReport,
    FittingLine,
    IntakeReport,
    LegReport,
    LengthReport,
    SlopeReport,
    SnowReport,
    VentReport,
)

Json = dict[str, Any]
TOLD = (Quantity.LENGTH, Quantity.TEMPERATURE)
FLOW_DECIMALS = 3
FALL_DECIMALS = 6


def vent_json(report: VentReport, q: Quantities) -> Json:
    """The member ``vent_system`` of a design."""
    return {
        "units": q.units(TOLD),
        "category": _category(report.category),
        "system": _system(report.system, q),
        "equivalent_length": _length(report.length, q),
        "slope": _slope(report.slope, q),
        "snow": None if report.snow is None else _snow(report.snow, q),
        "intake": None if report.intake is None else _intake(report.intake, q),
        "cold_climate": _cold(report.cold, q),
        "legs": [_leg(leg, q) for leg in report.legs],
        "parts": [part_json(p) for p in report.parts],
        "findings": [finding_json(f, q) for f in sorted_findings(report.findings)],
        "warnings": list(report.warnings),
    }


def condensate_json(report: CondensateReport, q: Quantities) -> Json:
    """The member ``condensate`` of a design."""
    return {
        "units": {"length": q.units()["length"], "flow": flow_unit(q.system)},
        "flow": round(hourly(report.flow_m3_s, q.system), FLOW_DECIMALS),
        "flow_at_most": round(hourly(report.cap_m3_s, q.system), FLOW_DECIMALS),
        "ph": {"low": report.ph_low, "high": report.ph_high},
        "line_size": report.line_size,
        "connection_size": report.connection_size,
        "fall": round(report.fall, FALL_DECIMALS),
        "level_length": q.length(report.level_mm),
        "drop": q.length_or_none(report.drop_mm),
        "pumped": report.pumped,
        "neutraliser": report.neutraliser,
        "parts": [part_json(p) for p in report.parts],
        "rules": [_rule(r) for r in report.rules],
        "findings": [finding_json(f, q) for f in sorted_findings(report.findings)],
    }


def _category(facts: CategoryFacts) -> Json:
    return {
        "category": facts.category,
        "pressure": facts.pressure,
        "condensate": facts.condensate,
        "citation": facts.citation,
        "known_from": facts.known_from,
        "note": facts.note,
    }


def _system(system: VentSystem, q: Quantities) -> Json:
    return {
        "id": system.id,
        "name": system.name,
        "in_table": system.is_in_table,
        "material": system.material,
        "construction": system.construction,
        "inner_diameter": q.length_or_none(system.inner_mm),
        "outer_diameter": q.length_or_none(system.outer_mm),
        "listed_to": None if system.listed_to is None else list(system.listed_to),
        "temperature_class": system.temperature_class,
    }


def _length(length: LengthReport, q: Quantities) -> Json:
    return {
        "pipe": q.length(length.length_mm),
        "fittings": [_fitting(f, q) for f in length.fittings],
        "total": q.length(length.equivalent_mm),
        "limit": q.length(length.limit_mm),
        "elbows": length.elbows,
        "max_elbows": length.max_elbows,
        "counts": length.counts,
    }


def _intake(intake: IntakeReport, q: Quantities) -> Json:
    return {
        "pipe": q.length(intake.length_mm),
        "elbows": intake.elbows,
        "side": intake.side,
        "apart": q.length(intake.apart_mm),
        "least_apart": q.length(intake.least_apart_mm),
        "length_basis": intake.length_basis,
    }


def _fitting(line: FittingLine, q: Quantities) -> Json:
    return {
        "fitting": line.fitting,
        "quantity": line.quantity,
        "each": q.length(line.each_mm),
        "total": q.length(line.total_mm),
        "by_friction": q.length_or_none(line.by_friction_mm),
        "note": line.note,
    }


def _slope(slope: SlopeReport, q: Quantities) -> Json:
    return {
        "fall": round(slope.fall, FALL_DECIMALS),
        "falls_to": slope.falls_to,
        "level_length": q.length(slope.level_mm),
        "drop": q.length(slope.drop_mm),
        "known_from": slope.known_from,
        "note": slope.note,
    }


def _snow(snow: SnowReport, q: Quantities) -> Json:
    return {
        "depth": q.length(snow.depth_mm),
        "required": q.length(snow.required_mm),
        "actual": q.length(snow.actual_mm),
        "rule": snow.rule_id,
        "citation": snow.citation,
    }


def _cold(cold: ColdReport, q: Quantities) -> Json:
    return {
        "winter_design_temperature": q.temperature(cold.winter_c),
        "fitting_below": q.temperature(cold.below_c),
        "needed": cold.needed,
        "included": cold.included,
        "price": q.money_or_none(cold.price_cents),
        "known_from": cold.known_from,
    }


def _leg(leg: LegReport, q: Quantities) -> Json:
    return {
        "upright": leg.upright,
        "length": q.length(leg.length_mm),
        "supports_apart": q.length(leg.apart_mm),
        "supports_between": leg.supports_between,
    }


def _rule(rule: CondensateRule) -> Json:
    return {
        "rule": rule.id,
        "topic": rule.topic,
        "citation": rule.citation,
        "known_from": rule.known_from,
        "note": rule.note,
    }
