"""Demand and output as JSON in the caller's units."""

from __future__ import annotations

from typing import Any

from service import ENGINE, __version__
from service.http.findings_json import finding_json, sorted_findings
from service.http.gas_json import UNTURNED
from service.http.quantities import SHARE_DECIMALS, Quantities
from service.survey.hot_water_request import HotWaterRequest
from service.survey.model import UnitSystem
from service.trades.demand import Demand
from service.trades.demand_words import shortfall
from service.trades.fixtures import FlowFigure
from service.trades.inlet_temperature import MONTHS, Inlet
from service.trades.peak_demand import PeakDemand
from service.units import Quantity, rounded_from_si, unit_name
from service.usecases.cautions import LOCAL_CODE, SCALDING
from service.usecases.hot_water_results import FixtureLine, HeaterLine, HotWaterReport, MonthLine, SmallestDraw

Json = dict[str, Any]
TOLD = (Quantity.FLOW, Quantity.TEMPERATURE, Quantity.TEMPERATURE_RISE, Quantity.POWER, Quantity.WATER_PRESSURE)


def hot_water_json(report: HotWaterReport, request: HotWaterRequest) -> Json:
    """Answer of the demand operation."""
    part = hot_water_part(report, Quantities(request.units, UNTURNED, ""))
    part.pop("findings")
    return {
        "name": request.name,
        **part,
        "assumptions": list(request.assumptions),
        "warnings": [*request.warnings, *report.warnings],
        "cautions": [SCALDING, LOCAL_CODE],
        "engine": {"name": ENGINE, "version": __version__},
    }


def hot_water_part(report: HotWaterReport, q: Quantities) -> Json:
    """A report by itself; the member ``hot_water`` of a design."""
    duty, say = report.duty, _Say(q.system)
    return {
        "units": {quantity.value: unit_name(quantity, q.system) for quantity in TOLD},
        "method": duty.demand.method.value,
        "is_told": duty.demand.is_told,
        "demand": say.flow(duty.demand.flow_m3_s),
        "together": list(duty.demand.together),
        "setpoint": say.temperature(duty.setpoint_c),
        "inlet": _inlet(duty.inlet, say),
        "rise": say.rise(duty.rise_k),
        "methods": [_method(m, m.method is duty.demand.method, say) for m in report.methods],
        "months": [_month(m, say) for m in report.months],
        "fixtures": [_fixture(f, say) for f in report.fixtures],
        "smallest_draw": None if report.smallest is None else _smallest(report.smallest, say),
        "heaters": [_heater(h, report, say) for h in report.heaters],
        "findings": [finding_json(f, q) for f in sorted_findings(report.findings)],
        "warnings": list(report.warnings),
    }


class _Say:
    """Figures in one system of units; None stays None."""

    def __init__(self, system: UnitSystem) -> None:
        self.system = system

    def flow(self, m3_s: float | None) -> float | None:
        return self._told(Quantity.FLOW, m3_s)

    def temperature(self, celsius: float | None) -> float | None:
        return self._told(Quantity.TEMPERATURE, celsius)

    def rise(self, kelvin: float | None) -> float | None:
        return self._told(Quantity.TEMPERATURE_RISE, kelvin)

    def power(self, watts: float) -> float | None:
        return self._told(Quantity.POWER, watts)

    def pressure(self, pa: float | None) -> float | None:
        return self._told(Quantity.WATER_PRESSURE, pa)

    def _told(self, quantity: Quantity, value: float | None) -> float | None:
        return None if value is None else rounded_from_si(quantity, value, self.system)


def _inlet(inlet: Inlet, say: _Say) -> Json:
    return {
        "coldest": say.temperature(inlet.coldest_c),
        "warmest": say.temperature(inlet.warmest_c),
        "month": None if inlet.month is None else MONTHS[inlet.month - 1],
        "source": inlet.source.value,
        "citation": inlet.citation,
        "known_from": inlet.known_from,
    }


def _method(demand: Demand, governs: bool, say: _Say) -> Json:
    return {
        "method": demand.method.value,
        "governs": governs,
        "demand": say.flow(demand.flow_m3_s),
        "together": list(demand.together),
        "fixture_units": None if demand.units is None else round(demand.units, SHARE_DECIMALS),
        "probability": None if demand.peak is None else _peak(demand.peak, say),
        "citation": demand.citation,
        "known_from": demand.known_from,
        "missing": demand.missing,
    }


def _peak(peak: PeakDemand, say: _Say) -> Json:
    return {
        "form": peak.form.value,
        "sum": round(peak.busy, SHARE_DECIMALS),
        "idle": round(peak.idle, SHARE_DECIMALS),
        "demand_with_idle": say.flow(peak.with_idle_m3_s),
    }


def _month(month: MonthLine, say: _Say) -> Json:
    return {
        "month": MONTHS[month.month - 1],
        "inlet": say.temperature(month.inlet_c),
        "rise": say.rise(month.rise_k),
        "demand": say.flow(month.demand_m3_s),
        "carried_by": list(month.carried_by),
    }


def _fixture(line: FixtureLine, say: _Say) -> Json:
    draw, chance = line.use.draw, line.chance
    return {
        "id": draw.id,
        "kind": draw.kind,
        "count": draw.count,
        "flow": say.flow(draw.flow_m3_s),
        "flow_is_given": draw.flow_is_given,
        "use_temperature": say.temperature(line.use.use_c),
        "hot_share": round(line.use.share, SHARE_DECIMALS),
        "hot_flow": say.flow(line.use.hot_m3_s),
        "fixture_units": line.units,
        "probability_of_use": None if chance is None else chance.p,
        "probability_flow": None if chance is None else say.flow(chance.q_m3_s),
        "limits": [_limit(figure, kept, say) for figure, kept in line.figures],
    }


def _limit(figure: FlowFigure, kept: bool, say: _Say) -> Json:
    return {
        "basis": figure.basis,
        "flow": say.flow(figure.flow_m3_s),
        "pressure": say.pressure(figure.pressure_pa),
        "kept": kept,
        "citation": figure.citation,
        "known_from": figure.known_from,
    }


def _smallest(draw: SmallestDraw, say: _Say) -> Json:
    return {"fixture": draw.fixture_id, "hot_flow": say.flow(draw.hot_m3_s), "inlet": say.temperature(draw.inlet_c)}


def _heater(line: HeaterLine, report: HotWaterReport, say: _Say) -> Json:
    heater = line.heater
    return {
        "id": heater.id,
        "name": heater.name,
        "input": say.power(line.input_w),
        "efficiency": heater.efficiency,
        "burner_flow": say.flow(line.burner_m3_s),
        "max_flow": say.flow(heater.max_flow_m3_s),
        "capacity": say.flow(line.capacity_m3_s),
        "capacity_by_month": [say.flow(flow) for flow in line.capacity_by_month_m3_s],
        "carries": line.carries,
        "margin": say.flow(line.margin_m3_s),
        "in_parallel": line.number_needed,
        "shared_by": line.sharing,
        "activation_flow": say.flow(heater.activation_flow_m3_s),
        "starts": line.starts,
        "least_rise": say.rise(line.least_rise_k),
        "reason": shortfall(heater, report.duty, report.altitude_m, say.system) or "",
    }
