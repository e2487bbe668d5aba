"""Demand for hot water by every method, the rise over the year, and which heaters carry it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.design import Finding
from service.survey.equipment import Heater
from service.survey.hot_water_request import HotWaterRequest
from service.survey.model import DemandMethod, HotWater, UnitSystem
from service.trades import fixture_units, fixtures
from service.trades.demand import (
    Duty,
    called,
    chance_of,
    demand_by,
    duty_of,
    setpoint_of,
    uses_of,
)
from service.trades.demand_words import carries, number_needed
from service.trades.gas_loads import derated_w
from service.trades.heater_output import ROUNDING, burner_flow_m3_s, capacity_m3_s, least_rise_k
from service.trades.inlet_temperature import by_month
from service.usecases.hot_water_results import FixtureLine, HeaterLine, HotWaterReport, MonthLine, SmallestDraw
from service.usecases.hot_water_warnings import warnings_of

RULES = "demand."


def hot_water_report(request: HotWaterRequest) -> HotWaterReport:
    """Fixtures and heaters alone."""
    return report_of(request.facts, request.heaters, request.units)


def report_of(
    facts: HotWater, heaters: tuple[Heater, ...], units: UnitSystem, found: tuple[Finding, ...] = ()
) -> HotWaterReport:
    """The same of a house or of one design's heater; ``found`` are a checker's findings, of which its own are kept."""
    duty = duty_of(facts)
    smallest = smallest_draw(facts, duty)
    months = tuple(_months(facts, duty))
    report = HotWaterReport(
        duty=duty,
        altitude_m=facts.altitude_m,
        methods=tuple(demand_by(method, facts, duty.inlet.coldest_c) for method in DemandMethod),
        fixtures=tuple(_fixtures(facts, duty)),
        smallest=smallest,
        months=tuple(_month(i, at, heaters, facts) for i, at in enumerate(months, 1)),
        heaters=tuple(_heater(h, facts, duty, smallest, months) for h in heaters),
        findings=tuple(f for f in found if f.rule_id.startswith(RULES)),
        warnings=(),
    )
    return replace(report, warnings=tuple(warnings_of(report, facts, units)))


def smallest_draw(facts: HotWater, duty: Duty) -> SmallestDraw | None:
    """Least hot part of any draw; the warmer the inlet the less it is. None where nothing draws."""
    warm = duty.inlet.warmest_c
    hot = [(use.hot_m3_s, use.draw.id) for use in uses_of(facts, warm) if use.hot_m3_s]
    return SmallestDraw(min(hot)[1], min(hot)[0], warm) if hot else None


def _fixtures(facts: HotWater, duty: Duty) -> Iterator[FixtureLine]:
    for use in uses_of(facts, duty.inlet.coldest_c):
        draw = use.draw
        name = called(draw, "ipc_fixture")
        figures = tuple((f, draw.flow_m3_s <= f.flow_m3_s * ROUNDING) for f in fixtures.flow_figures(draw.kind))
        yield FixtureLine(use, None if name is None else fixture_units.hot_units(name), chance_of(draw), figures)


def _months(facts: HotWater, duty: Duty) -> Iterator[Duty]:
    """The duty in the middle of each month; none without a climate, or where a measured inlet beats it."""
    if facts.climate is None or facts.inlet_c is not None:
        return
    for cold in by_month(facts.climate):
        inlet = replace(duty.inlet, coldest_c=cold)
        yield Duty(demand_by(facts.terms.method, facts, cold), inlet, setpoint_of(facts), duty.heaters)


def _month(month: int, duty: Duty, heaters: tuple[Heater, ...], facts: HotWater) -> MonthLine:
    able = tuple(h.id for h in heaters if carries(h, duty, facts.altitude_m))
    return MonthLine(month, duty.inlet.coldest_c, duty.rise_k, duty.demand.flow_m3_s, able)


def _heater(
    heater: Heater, facts: HotWater, duty: Duty, smallest: SmallestDraw | None, months: tuple[Duty, ...]
) -> HeaterLine:
    altitude, asked, sharing = facts.altitude_m, duty.demand.flow_m3_s, duty.heaters
    least = None if smallest is None else smallest.hot_m3_s / sharing
    capacity = capacity_m3_s(heater, duty.rise_k, altitude)
    return HeaterLine(
        heater=heater,
        input_w=derated_w(heater.input_max_w, altitude),
        burner_m3_s=burner_flow_m3_s(heater, duty.rise_k, altitude) if duty.rise_k else None,
        capacity_m3_s=capacity,
        margin_m3_s=None if asked is None else capacity - asked / sharing,
        number_needed=number_needed(heater, duty, altitude),
        starts=None if least is None else least * ROUNDING >= heater.activation_flow_m3_s,
        least_rise_k=None if least is None else least_rise_k(heater, least),
        capacity_by_month_m3_s=tuple(capacity_m3_s(heater, at.rise_k, altitude) for at in months),
        sharing=sharing,
    )

