"""Water pressure with a finished design: from the supply to the fixture that has least to spare."""

from __future__ import annotations

from collections.abc import Iterator

from service.building.model import Building
from service.building.pressure import pressure_of
from service.design import Design, Route, Service
from service.rules.tables import table
from service.survey.model import Survey, WaterItem, WaterSupply
from service.trades.friction import hazen_williams_pa_m, roughness_c
from service.trades.house_pressure import (
    CONNECTION_MM,
    FixtureNeed,
    HousePressure,
    missing_facts,
    needs_valve,
    supply_pa,
    with_bought,
)
from service.trades.water_fittings import branch_fittings
from service.trades.water_flow import exchanger_pa, least_pressure
from service.trades.water_pipe import STANDARD_BRANCH, branch_bore_m
from service.units import Quantity, told
from service.usecases.gas_results import PartLine
from service.usecases.pressure_results import FixturePressure, PressureReport, PressureStep

ASSUMPTIONS = (
    "All fixtures run at once; cold draws besides their own are not counted.",
    "Static pressure is that where the supply enters: at the lowest of the first points of the cold lines.",
    "Fittings of old pipe make it half as long again (common practice); copper of a type not told is taken as type K.",
    "Cold pipe is reckoned at 40 degF (4.4 degC), hot pipe at 120 degF (48.9 degC), by Darcy-Weisbach.",
)


def pressure_report(survey: Survey, building: Building, design: Design) -> PressureReport | None:
    """Pressures of a design; None for one that lacks a water run to a line of the survey."""
    cold, hot = design.route(Service.COLD), design.route(Service.HOT)
    if cold is None or hot is None or not _on_lines(survey.water, cold, hot):
        return None
    pressure, water = pressure_of(survey, building, design.heater), with_bought(survey.water, design.water_items)
    needs = pressure.needs(hot.end_id, hot.pieces[-1].end) if pressure else ()
    before = tuple(_before_tap(pressure, (cold, hot), water)) if pressure else ()
    left = (supply_pa(water) or 0.0) - sum(step.loss_pa for step in before)
    worst = max(needs, key=lambda n: n.pa) if needs else None
    return PressureReport(
        static_pa=water.static_pressure_pa,
        limit_pa=table("water_pressure").constant("static_most"),
        supply_pa=supply_pa(water),
        valve_needed=needs_valve(water),
        main_m3_s=None if pressure is None else pressure.main_m3_s,
        hot_m3_s=None if pressure is None else pressure.hot_m3_s,
        steps=(*before, *_behind_tap(worst)) if worst else (),
        fixtures=tuple(_fixture(n, left) for n in needs),
        worst=worst.hanging.fixture.id if worst else None,
        missing=(*missing_facts(water), *([] if design.heater.pressure_loss else ["loss of pressure in the heater"])),
        parts=tuple(_parts(water)),
        assumptions=ASSUMPTIONS,
        warnings=tuple(_warnings(survey, WaterItem.SOFTENER in design.water_items)),
    )


def _on_lines(water: WaterSupply, cold: Route, hot: Route) -> bool:
    named = cold.end_id in {w.id for w in water.cold} and hot.end_id in {w.id for w in water.hot}
    return named and bool(cold.pieces and hot.pieces) and all(branch_bore_m(r.option) for r in (cold, hot))


def _before_tap(pressure: HousePressure, runs: tuple[Route, Route], water: WaterSupply) -> Iterator[PressureStep]:
    """What is lost between the supply and the tap on the hot pipe, whatever the fixture."""
    cold, hot = runs
    old = pressure.cold_pa(cold.end_id, cold.pieces[-1].end)
    yield PressureStep("old cold pipe to the tap", None, pressure.main_m3_s, old, None)
    yield _branch(pressure, cold)
    lost = exchanger_pa(pressure.heater, pressure.hot_m3_s)
    yield PressureStep("heater", None, pressure.hot_m3_s, lost, None)
    yield _branch(pressure, hot)


def _branch(pressure: HousePressure, route: Route) -> PressureStep:
    fittings, bore = branch_fittings(route.option), branch_bore_m(route.option)
    assert bore is not None
    is_hot = route.service is Service.HOT
    length = route.length_mm + CONNECTION_MM + fittings.standing_mm + route.elbows * fittings.elbow_mm
    lost = pressure.branch_pa(route.option, is_hot, route.length_mm, route.elbows)
    coefficient = roughness_c(route.option.rpartition(".")[0] or STANDARD_BRANCH)
    beside = hazen_williams_pa_m(pressure.hot_m3_s, bore, coefficient) * length / 1000
    return PressureStep(f"{route.service.value} branch, {route.option}", length, pressure.hot_m3_s, lost, beside)


def _behind_tap(need: FixtureNeed) -> Iterator[PressureStep]:
    fixture = need.hanging.fixture
    yield PressureStep("old hot pipe from the tap", None, None, need.old_pa, None)
    yield PressureStep(f"supply of {fixture.id}", need.hanging.stub_mm, fixture.flow_m3_s, need.stub_pa, None)
    yield PressureStep(f"rise to {fixture.id}", None, None, need.rise_pa, None)


def _fixture(need: FixtureNeed, left_pa: float) -> FixturePressure:
    least, fixture = least_pressure(need.hanging.fixture), need.hanging.fixture
    residual = left_pa - need.old_pa - need.stub_pa - need.rise_pa
    return FixturePressure(fixture.id, residual, least.pa, least.citation, least.known_from)


def _parts(water: WaterSupply) -> Iterator[PartLine]:
    if needs_valve(water):
        rule = table("water_pressure").where(symbol="static_most")
        for item in ("pressure reducing valve", "strainer ahead of the reducing valve"):
            yield PartLine(item, 1, "each", "where the supply enters", rule.text("section"), rule.text("known_from"))


def _warnings(survey: Survey, softener: bool) -> Iterator[str]:
    water, value = survey.water, table("water_pressure").constant
    if needs_valve(water):
        most, setting = (told(Quantity.WATER_PRESSURE, value(s), survey.units) for s in ("static_most", "valve_set"))
        yield f"More than {most} gets into the house: a reducing valve is to be put in, taken as set to {setting}."
    static = water.static_pressure_pa
    if static is not None and static < value("static_least"):
        least = told(Quantity.WATER_PRESSURE, value("static_least"), survey.units)
        yield f"Static water pressure is below the {least} that the IRC asks for at a building (P2903.3)."
    if softener:
        taken = told(Quantity.WATER_PRESSURE, value("softener"), survey.units)
        yield f"The softener that is bought is taken to cost {taken} of pressure, the most that is usual."
