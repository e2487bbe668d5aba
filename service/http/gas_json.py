"""A sized gas system as JSON in the caller's units."""

from __future__ import annotations

from typing import Any

from service import ENGINE, __version__
from service.building.model import Frame
from service.design import Finding
from service.http.findings_json import part_json, sorted_findings
from service.http.quantities import Quantities
from service.survey.gas_request import GasRequest
from service.units import Quantity
from service.usecases.gas_results import (
    GasReport,
    InletReport,
    MeterReport,
    MethodReport,
    SegmentReport,
    ZoneReport,
)

Json = dict[str, Any]


UNTURNED = Frame(0.0)
"""A gas system has no plan."""
TOLD = (Quantity.LENGTH, Quantity.POWER, Quantity.GAS_PRESSURE, Quantity.GAS_FLOW, Quantity.SPEED)


def gas_json(report: GasReport, request: GasRequest) -> Json:
    """Answer of the gas operation."""
    engine = {"name": ENGINE, "version": __version__, "price_book": request.prices.id}
    q = Quantities(request.units, UNTURNED, request.prices.currency)
    return {"name": request.name, **report_json(report, q), "engine": engine}


def report_json(report: GasReport, q: Quantities) -> Json:
    """A report by itself, as the gas operation tells it, or as a part of another answer."""
    return {
        "lawful": report.lawful,
        "units": q.units(TOLD),
        "method": report.method.value,
        "fittings": report.fittings,
        "diversity": report.diversity,
        "cost": q.money_or_none(report.cost_cents),
        "segments": [_segment(s, q) for s in report.segments],
        "inlets": [_inlet(i, q) for i in report.inlets],
        "zones": [_zone(z, q) for z in report.zones],
        "meter": _meter(report.meter, q),
        "methods": [_method(m, q) for m in report.methods],
        "parts": [part_json(p) for p in report.parts],
        "findings": [_finding(f, q) for f in sorted_findings(report.findings)],
        "request_to_supplier": list(report.request_to_supplier),
        "assumptions": list(report.assumptions),
        "warnings": list(report.warnings),
        "cautions": list(report.cautions),
    }


def _segment(s: SegmentReport, q: Quantities) -> Json:
    return {
        "id": s.id,
        "start": s.start,
        "end": s.end,
        "zone": s.zone,
        "action": s.action,
        "load": q.load_or_none(s.load_w),
        "flow": q.gas_flow(s.flow_m3_s),
        "length": q.length(s.length_mm),
        "length_used": q.length(s.length_used_mm) if s.length_used_mm else None,
        "present": {"material": s.material, "size": s.size_present, "capacity": q.load_or_none(s.present_capacity_w)},
        "size_needed": s.size_needed,
        "chosen": _chosen(s, q),
        "already_short": s.already_short,
        "pressure_in": q.gas_pressure_or_none(s.pressure_in_pa),
        "pressure_out": q.gas_pressure_or_none(s.pressure_out_pa),
        "speed": q.speed_or_none(s.speed_m_s),
        "speed_note": s.speed_note,
        "cost": q.money_or_none(s.cost_cents),
    }


def _chosen(s: SegmentReport, q: Quantities) -> Json | None:
    if s.size_chosen is None:
        return None
    return {
        "material": s.material_chosen,
        "size": s.size_chosen,
        "capacity": q.load_or_none(s.capacity_w),
        "source": s.source,
        "known_from": s.known_from,
    }


def _inlet(i: InletReport, q: Quantities) -> Json:
    return {
        "id": i.id,
        "kind": i.kind,
        "node": i.node,
        "input": q.load_or_none(i.input_w),
        "input_derated": q.load_or_none(i.derated_w),
        "static": q.gas_pressure_or_none(i.static_pa),
        "full_fire": q.gas_pressure_or_none(i.full_fire_pa),
        "min": q.gas_pressure_or_none(i.min_pa),
        "max": q.gas_pressure_or_none(i.max_pa),
        "limits_from": i.limits_from,
        "lawful": i.lawful,
    }


def _zone(z: ZoneReport, q: Quantities) -> Json:
    return {
        "root": z.root,
        "supply": q.gas_pressure_or_none(z.supply_pa),
        "allowable_drop": q.gas_pressure_or_none(z.drop_pa),
        "longest_run": q.length(z.longest_mm),
        "load": q.load_or_none(z.load_w),
        "behind_regulator": z.regulator,
        "hybrid": z.hybrid,
    }


def _meter(m: MeterReport, q: Quantities) -> Json:
    return {
        "connected": q.load_or_none(m.connected_w),
        "drawn": q.load_or_none(m.drawn_w),
        "capacity": q.load_or_none(m.capacity_w),
        "enough": m.enough,
        "class_needed": m.class_needed,
        "service_regulator": q.load_or_none(m.service_regulator_w),
        "service_regulator_enough": m.service_regulator_enough,
    }


def _method(m: MethodReport, q: Quantities) -> Json:
    sizes = [{"segment": name, "size_needed": size, "action": action} for name, size, action in m.sizes]
    return {
        "method": m.method.value,
        "governs": m.governs,
        "cost": q.money_or_none(m.cost_cents),
        "sizes": sizes,
        "cross_check": m.cross_check,
    }


def _finding(f: Finding, q: Quantities) -> Json:
    """A finding of gas measures no distance: its figures stand in the detail."""
    return {
        "rule": f.rule_id,
        "citation": f.citation,
        "verdict": f.verdict.value,
        "subject": f.subject,
        "object": f.object_id,
        "detail": q.told(f.detail),
        "missing": f.missing,
    }
