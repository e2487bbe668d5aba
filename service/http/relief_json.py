"""Relief and scald of a design as JSON in the caller's units."""

from __future__ import annotations

from typing import Any

from service.http.findings_json import finding_json, sorted_findings
from service.http.quantities import Quantities
from service.http.water_json import water_part_json
from service.trades.relief import DischargeRule, ReliefValve
from service.trades.scald import BurnTime
from service.units import Quantity, rounded_from_si
from service.usecases.relief_results import ExpansionReport, OutletReport, ReliefScaldReport, ScaldReport

Json = dict[str, Any]
TOLD = (Quantity.WATER_PRESSURE, Quantity.TEMPERATURE, Quantity.POWER)
SECOND_DECIMALS = 1


def relief_json(report: ReliefScaldReport, q: Quantities) -> Json:
    """The member ``relief_and_scald`` of a design."""
    return {
        "units": q.units(TOLD),
        "valve": {**_valve(report.valve, q), "rule_told": report.rule_told, "size": report.valve_size},
        "discharge": [_discharge(rule) for rule in report.discharge],
        "expansion": _expansion(report.expansion),
        "scald": _scald(report.scald, q),
        "parts": [water_part_json(p, q) for p in report.parts],
        "findings": [finding_json(f, q) for f in sorted_findings(report.findings)],
    }


def _valve(valve: ReliefValve, q: Quantities) -> Json:
    hottest = valve.temperature_most_c
    return {
        "local_rule": valve.local_rule.value,
        "temperature_relief": valve.temperature,
        "pressure_at_most": rounded_from_si(Quantity.WATER_PRESSURE, valve.pressure_most_pa, q.system),
        "temperature_at_most": None if hottest is None else q.temperature(hottest),
        "capacity_at_least": q.power(valve.capacity_w),
        "citation": valve.citation,
        "known_from": valve.known_from,
        "note": valve.note,
    }


def _discharge(rule: DischargeRule) -> Json:
    return {
        "rule": rule.rule_id,
        "topic": rule.topic,
        "kept": rule.kept,
        "citation": rule.citation,
        "known_from": rule.known_from,
        "note": rule.note,
    }


def _expansion(expansion: ExpansionReport) -> Json:
    return {
        "closed_system": expansion.closed,
        "tank_present": expansion.tank_present,
        "tank_bought": expansion.tank_bought,
        "citation": expansion.citation,
        "known_from": expansion.known_from,
        "note": expansion.note,
    }


def _scald(scald: ScaldReport, q: Quantities) -> Json:
    return {
        "setpoint": q.temperature(scald.setpoint_c),
        "setpoint_told": scald.told,
        "burns_adult": _burn(scald.adult),
        "burns_infant": _burn(scald.infant),
        "outlets": [_outlet(o, q) for o in scald.outlets],
        "mixing_valve": {
            "needed": scald.mixing_needed,
            "present": scald.mixing_present,
            "bought": scald.mixing_bought,
        },
        "notes": list(scald.notes),
    }


def _burn(burn: BurnTime) -> Json:
    return {"seconds": round(burn.seconds, SECOND_DECIMALS), "relation": burn.relation}


def _outlet(outlet: OutletReport, q: Quantities) -> Json:
    limit = outlet.limit
    return {
        "id": outlet.id,
        "kind": limit.outlet,
        "at_most": q.temperature(limit.at_most_c),
        "setpoint_is_over": outlet.over,
        "device": limit.device,
        "citation": limit.citation,
        "known_from": limit.known_from,
    }
