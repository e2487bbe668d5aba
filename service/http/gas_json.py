"""A sized gas system as JSON in the caller's units."""

from __future__ import annotations

from typing import Any

from service import ENGINE, __version__
from service.building.model import Frame
from service.design import Finding
from service.http.findings_json import sorted_findings
from service.http.quantities import QUANTITY_DECIMALS, Quantities
from service.survey.gas_request import GasRequest
from service.survey.model import UnitSystem
from service.units import Quantity, rounded_from_si, unit_name
from service.usecases.gas_results import (
    GasReport,
    InletReport,
    MeterReport,
    MethodReport,
    PartLine,
    SegmentReport,
    ZoneReport,
)

Json = dict[str, Any]


class GasQuantities(Quantities):
    """As for every answer, and what only gas has: pressures, flows, speeds."""

    def __init__(self, system: UnitSystem, currency: str) -> None:
        """A gas system has no plan, hence no turned frame."""
        super().__init__(system, Frame(0.0), currency)
        self._gas_system = system

    def gas_units(self) -> dict[str, str]:
        """Unit of each quantity that the answer may hold."""
        told = (Quantity.LENGTH, Quantity.POWER, Quantity.GAS_PRESSURE, Quantity.GAS_FLOW, Quantity.SPEED)
        return {**{q.value: unit_name(q, self._gas_system) for q in told}, "money": self.units()["money"]}

    def pressure(self, pa: float | None) -> float | None:
        """Pascals -> inches of water or kilopascals; None stays None."""
        return None if pa is None else rounded_from_si(Quantity.GAS_PRESSURE, pa, self._gas_system)

    def load(self, watts: float | None) -> float | None:
        """As ``power``, rounded as it is told to people; None stays None."""
        return None if watts is None else rounded_from_si(Quantity.POWER, watts, self._gas_system)

    def flow(self, m3_s: float) -> float:
        """Standard flow -> cubic feet or metres an hour."""
        return rounded_from_si(Quantity.GAS_FLOW, m3_s, self._gas_system)

    def speed(self, m_s: float | None) -> float | None:
        """Metres a second -> feet or metres a second; None stays None."""
        return None if m_s is None else rounded_from_si(Quantity.SPEED, m_s, self._gas_system)


def gas_json(report: GasReport, request: GasRequest) -> Json:
    """Answer of the gas operation."""
    engine = {"name": ENGINE, "version": __version__, "price_book": request.prices.id}
    q = GasQuantities(request.units, request.prices.currency)
    return {"name": request.name, **report_json(report, q), "engine": engine}


def report_json(report: GasReport, q: GasQuantities) -> Json:
    """A report by itself, as the gas operation tells it, or as a part of another answer."""
    return {
        "lawful": report.lawful,
        "units": q.gas_units(),
        "method": report.method.value,
        "fittings": report.fittings,
        "diversity": report.diversity,
        "cost": q.money_or_none(report.cost_cents),
        "segments": [_segment(s, q) for s in report.segments],
        "inlets": [_inlet(i, q) for i in report.inlets],
        "zones": [_zone(z, q) for z in report.zones],
        "meter": _meter(report.meter, q),
        "methods": [_method(m, q) for m in report.methods],
        "parts": [_part(p) for p in report.parts],
        "findings": [_finding(f) for f in sorted_findings(report.findings)],
        "request_to_supplier": list(report.request_to_supplier),
        "assumptions": list(report.assumptions),
        "warnings": list(report.warnings),
        "cautions": list(report.cautions),
    }


def _segment(s: SegmentReport, q: GasQuantities) -> Json:
    return {
        "id": s.id,
        "start": s.start,
        "end": s.end,
        "zone": s.zone,
        "action": s.action,
        "load": q.load(s.load_w),
        "flow": q.flow(s.flow_m3_s),
        "length": q.length(s.length_mm),
        "length_used": q.length(s.length_used_mm) if s.length_used_mm else None,
        "present": {"material": s.material, "size": s.size_present, "capacity": q.load(s.present_capacity_w)},
        "size_needed": s.size_needed,
        "chosen": _chosen(s, q),
        "already_short": s.already_short,
        "pressure_in": q.pressure(s.pressure_in_pa),
        "pressure_out": q.pressure(s.pressure_out_pa),
        "speed": q.speed(s.speed_m_s),
        "speed_note": s.speed_note,
        "cost": q.money_or_none(s.cost_cents),
    }


def _chosen(s: SegmentReport, q: GasQuantities) -> Json | None:
    if s.size_chosen is None:
        return None
    return {
        "material": s.material_chosen,
        "size": s.size_chosen,
        "capacity": q.load(s.capacity_w),
        "source": s.source,
        "known_from": s.known_from,
    }


def _inlet(i: InletReport, q: GasQuantities) -> Json:
    return {
        "id": i.id,
        "kind": i.kind,
        "node": i.node,
        "input": q.load(i.input_w),
        "input_derated": q.load(i.derated_w),
        "static": q.pressure(i.static_pa),
        "full_fire": q.pressure(i.full_fire_pa),
        "min": q.pressure(i.min_pa),
        "max": q.pressure(i.max_pa),
        "limits_from": i.limits_from,
        "lawful": i.lawful,
    }


def _zone(z: ZoneReport, q: GasQuantities) -> Json:
    return {
        "root": z.root,
        "supply": q.pressure(z.supply_pa),
        "allowable_drop": q.pressure(z.drop_pa),
        "longest_run": q.length(z.longest_mm),
        "load": q.load(z.load_w),
        "behind_regulator": z.regulator,
        "hybrid": z.hybrid,
    }


def _meter(m: MeterReport, q: GasQuantities) -> Json:
    return {
        "connected": q.load(m.connected_w),
        "drawn": q.load(m.drawn_w),
        "capacity": q.load(m.capacity_w),
        "enough": m.enough,
        "class_needed": m.class_needed,
        "service_regulator": q.load(m.service_regulator_w),
        "service_regulator_enough": m.service_regulator_enough,
    }


def _method(m: MethodReport, q: GasQuantities) -> Json:
    sizes = [{"segment": name, "size_needed": size, "action": action} for name, size, action in m.sizes]
    return {
        "method": m.method.value,
        "governs": m.governs,
        "cost": q.money_or_none(m.cost_cents),
        "sizes": sizes,
        "cross_check": m.cross_check,
    }


def _part(p: PartLine) -> Json:
    return {
        "item": p.item,
        "quantity": round(p.quantity, QUANTITY_DECIMALS),
        "per": p.per,
        "where": p.where,
        "citation": p.citation,
        "known_from": p.known_from,
    }


def _finding(f: Finding) -> Json:
    """A finding of gas measures no distance: its figures stand in the detail."""
    return {
        "rule": f.rule_id,
        "citation": f.citation,
        "verdict": f.verdict.value,
        "subject": f.subject,
        "object": f.object_id,
        "detail": f.detail,
        "missing": f.missing,
    }
