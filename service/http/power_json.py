"""A design's power as JSON in the caller's units; volts, amperes and watts are the same in all."""

from __future__ import annotations

from math import isfinite
from typing import Any

from service.http.findings_json import finding_json, sorted_findings
from service.http.quantities import Quantities
from service.trades.circuits import Judgement, Load
from service.trades.electrical_code import cited, mark_of, topic_of
from service.units import Quantity
from service.usecases.power_results import CircuitReport, DropReport, EndReport, PowerReport, Protection

Json = dict[str, Any]
AMPERE_DECIMALS = 3
VOLT_DECIMALS = 3
SHARE_DECIMALS = 5
WATT_DECIMALS = 1


def power_json(report: PowerReport, q: Quantities) -> Json:
    """The member ``power`` of a design."""
    return {
        "units": {"length": q.units((Quantity.LENGTH,))["length"], "voltage": "V", "current": "A", "load": "W"},
        "heater": _heater(report.load, report.voltage_known),
        "option": report.option,
        "ends_at": report.end_id,
        "circuit": _circuit(report.circuit),
        "voltage_drop": _drop(report.drop, q),
        "ground_fault_protection": _protection(report.protection),
        "disconnect": {
            "by": report.disconnect.by,
            "citation": report.disconnect.citation,
            "known_from": report.disconnect.known_from,
        },
        "cord": {"length": q.length(report.cord_mm), "used": q.length_or_none(report.cord_used_mm)},
        "outlets": [_end(e, report.country, q) for e in report.ends],
        "findings": [finding_json(f, q) for f in sorted_findings(report.findings)],
    }


def _heater(load: Load, voltage_known: bool) -> Json:
    return {
        "voltage": load.voltage_v,
        "voltage_known": voltage_known,
        "running_load": round(load.running_w, WATT_DECIMALS),
        "running_current": round(load.running_a, AMPERE_DECIMALS),
        "load_with_frost_element": round(load.most_w, WATT_DECIMALS),
        "current_with_frost_element": round(load.most_a, AMPERE_DECIMALS),
        "frost_element_known": load.element_known,
    }


def _circuit(circuit: CircuitReport) -> Json:
    return {
        "new": circuit.is_new,
        "breaker": circuit.breaker_a,
        "wire": circuit.wire,
        "present_load": circuit.present_w,
        "current_after": _amperes(circuit.after_a),
        "limit": _amperes(circuit.limit_a),
        "limit_fastened_in_place": _amperes(circuit.shared_limit_a),
        "carries": circuit.fit.value,
    }


def _amperes(value: float | None) -> float | None:
    return None if value is None else round(value, AMPERE_DECIMALS)


def _drop(drop: DropReport, q: Quantities) -> Json:
    return {
        "wire": drop.wire,
        "wire_known": drop.wire_known,
        "new_cable": q.length(drop.new_mm),
        "old_cable": q.length_or_none(drop.old_mm),
        "lost": round(drop.lost_v, VOLT_DECIMALS),
        "share": round(drop.share, SHARE_DECIMALS),
        "recommended_share": drop.recommended,
        "longest_cable": q.length_or_none(drop.longest_mm if isfinite(drop.longest_mm) else None),
    }


def _protection(protection: Protection) -> Json:
    rule = protection.rule
    return {
        "code": protection.edition.id,
        "code_from": "survey" if protection.edition.is_surveyed else "rule set",
        "asked": {True: "yes", False: "no", None: "unknown"}[rule.asked],
        "why": rule.why,
        "given_by": protection.given_by,
        "citation": rule.citation,
        "known_from": rule.known_from,
    }


def _end(end: EndReport, country: str, q: Quantities) -> Json:
    return {
        "id": end.id,
        "is_panel": end.is_panel,
        "chosen": end.is_chosen,
        "distance": q.length(end.distance_mm),
        "within_cord": end.within_cord,
        "carries": end.fit.value,
        "rules": [_judgement(j, country) for j in end.judgements],
    }


def _judgement(judged: Judgement, country: str) -> Json:
    return {
        "rule": judged.rule,
        "topic": topic_of(judged.rule),
        "holds": judged.fit.value,
        "detail": judged.detail,
        "missing": list(judged.missing),
        "citation": cited(judged.rule, country),
        "known_from": mark_of(judged.rule),
    }
