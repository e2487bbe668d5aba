"""The main job: a survey in, the cheapest lawful designs out, proven and checked."""

from __future__ import annotations

import time
from collections.abc import Iterator

from service.building.build import build
from service.building.model import Building
from service.clearance.assumed import assumptions, warnings
from service.deadline import KEPT_S, OutOfTime, deadline_in, ending_when, search_end, seconds_left
from service.design import Design
from service.errors import CheckFailed
from service.phrases import text
from service.progress import step
from service.settings import Settings
from service.siting.ground import Ground, ground_of
from service.siting.master import SEED
from service.siting.outcome import Outcome
from service.siting.scope import scope_of
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.model import Survey, UnitSystem
from service.usecases.alarms import alarm_caution, alarms
from service.usecases.cautions import CAUTIONS
from service.usecases.clearances import (
    facade_coverage,
    outdoor_cases,
    outdoor_name,
    roof_coverage,
    terminal_classes,
    vented,
    wall_coverage,
)
from service.usecases.condensate_report import condensate_report
from service.usecases.deadlock import deadlock
from service.usecases.dwellings import place_together
from service.usecases.explain import explained
from service.usecases.gas_of_design import gas_of_design
from service.usecases.hot_water import report_of
from service.usecases.inspector import Inspector
from service.usecases.lawful import lawful
from service.usecases.money import cents_below
from service.usecases.not_judged import not_judged
from service.usecases.outdoor_report import outdoor_report
from service.usecases.power_report import power_report
from service.usecases.pressure_report import pressure_report
from service.usecases.reasons import reasons
from service.usecases.relief_report import relief_report
from service.usecases.results import BROKEN, CheckedDesign, Coverage, HereAnswer, Placement, Proof, Status
from service.usecases.start_up import start_up_sheet
from service.usecases.start_up_results import Subject
from service.usecases.status import status_of
from service.usecases.vent_report import vent_report
from service.usecases.waiting_report import waiting_report
from service.usecases.water_quality_report import water_quality_report
from service.usecases.what_about import what_about

CHECK_SPARE = 2.0
"""A further design is checked where so many times as long is left as the longest check took: it is written, too."""
CUT_OFF = "The search was ended by its limit before it was complete: fewer alternatives, or none, were looked for."
NO_COVERAGE = "Time was up before it was known how much of each wall and facade the rules forbid."


def place(survey: Survey, settings: Settings) -> Placement:
    """Cheapest lawful designs, ranked, each on a mounting wall of its own; one for each dwelling, if there are any.

    Raises CheckFailed if the independent checker refuses a design: that is our fault, never the caller's.
    """
    seconds = min(survey.preferences.solver_seconds or settings.solver_seconds, settings.solver_seconds)
    end = deadline_in(seconds)
    if survey.dwellings:
        return place_together(survey, search_end(end, seconds, KEPT_S * len(survey.dwellings)), INSPECTOR)
    ground, taken_s = _model_of(survey)
    building, deadline = ground.building, search_end(end, seconds, taken_s)
    zones = Zones(building, survey)
    outcome = search(ground, zones, min(survey.preferences.alternatives, settings.alternatives), deadline)
    status = status_of(outcome)
    designs = tuple(_checked_by(end, survey, building, outcome))
    nothing = status is Status.INFEASIBLE
    asked = alarms(survey, building, [d.design for d in designs])
    coverage = _coverage_by(deadline, survey, building, zones) if nothing and ground.needs else ()
    return Placement(
        status=status,
        designs=designs,
        proof=_proof(ground, outcome, status),
        coverage=coverage or (),
        building=building,
        assumptions=(
            *survey.assumptions, *building.assumptions, *ground.assumptions, *assumptions(building, survey)
        ),
        warnings=(
            *ground.left_out, *(reasons(ground, coverage or ()) if nothing else ()),
            *_cut_off(outcome, designs, coverage),
            *_gas_warnings(designs[:1], survey.units), *(w for d in designs[:1] for w in _own_warnings(d)),
            *(w for d in designs[:1] if d.hot_water for w in d.hot_water.warnings),
            *survey.warnings, *building.warnings, *warnings(building, survey), *not_judged(survey),
        ),
        cautions=(*CAUTIONS, *alarm_caution(asked)),
        alarms=asked,
        what_about=_asked(ground, zones, designs, deadline),
        deadlock=deadlock(ground, zones, seconds_left(deadline), INSPECTOR) if nothing else None,
        explained=explained(ground, zones, outcome, deadline, INSPECTOR),
    )  # fmt: skip


def _model_of(survey: Survey) -> tuple[Ground, float]:
    """What a search sees of the house, and what it took to make it [s]."""
    began = time.monotonic()
    ground = ground_of(survey, build(survey))
    return ground, time.monotonic() - began


def _asked(ground: Ground, zones: Zones, designs: tuple[CheckedDesign, ...], deadline: float) -> tuple[HereAnswer, ...]:
    """Answers about the places that the survey names, in what is left of the time for each."""
    best, asked = next(iter(designs), None), ground.survey.what_about
    return tuple(what_about(q, ground, zones, best, seconds_left(deadline), INSPECTOR) for q in asked)


def checked(survey: Survey, building: Building, design: Design) -> CheckedDesign:
    """The design with its findings, gas system, vent, condensate and water. Raises CheckFailed if any rule fails or
    stays unknown, or the gas system can be had for less."""
    step("checking what was found")
    found = lawful(survey, building, design)
    vent = None if design.outdoors else vent_report(survey, design, found)
    whole = Subject(
        survey, building, design, gas_of_design(survey, building, design), vent,
        condensate_report(survey, design, found), power_report(survey, building, design, found),
        relief_report(survey, design, found), waiting_report(survey, building, design),
    )  # fmt: skip
    facts = survey.hot_water
    return CheckedDesign(
        design=design,
        findings=found,
        gas=whole.gas,
        vent=whole.vent,
        condensate=whole.condensate,
        power=whole.power,
        water_quality=water_quality_report(survey, design, found),
        relief=whole.relief,
        start_up=start_up_sheet(whole),
        waiting=whole.waiting,
        hot_water=None if facts is None else report_of(facts, (design.heater,), survey.units, found),
        pressure=pressure_report(survey, building, design),
        outdoors=outdoor_report(survey, design, found),
    )


INSPECTOR = Inspector(checked)
"""Judges designs of a house with one heater."""


def _checked_by(end: float, survey: Survey, building: Building, outcome: Outcome) -> Iterator[CheckedDesign]:
    """The designs of a search, checked: the first whatever the time, each further one if there is time for that."""
    longest = 0.0
    for design in outcome.designs:
        began = time.monotonic()
        if longest and began + CHECK_SPARE * longest > end:
            return
        yield checked(survey, building, design)
        longest = max(longest, time.monotonic() - began)


def _cut_off(
    outcome: Outcome, checked_ones: tuple[CheckedDesign, ...], coverage: tuple[Coverage, ...] | None
) -> tuple[str, ...]:
    fewer = outcome.cut_off or len(checked_ones) < len(outcome.designs)
    return ((CUT_OFF,) if fewer else ()) + ((NO_COVERAGE,) if coverage is None else ())


def _gas_warnings(first: tuple[CheckedDesign, ...], units: UnitSystem) -> tuple[str, ...]:
    """What of the house's own gas system is not shown to be lawful; no place of the heater would mend it."""
    broken = (f for d in first for f in d.gas.findings if f.verdict in BROKEN)
    return tuple(f"Gas system, {f.subject} {f.object_id}: {f.verdict.value}: {text(f.detail, units)}." for f in broken)


def _own_warnings(design: CheckedDesign) -> tuple[str, ...]:
    """Of the vent, or of hanging outdoors."""
    told = (report.warnings for report in (design.vent, design.outdoors) if report is not None)
    return tuple(w for warnings in told for w in warnings)


def _proof(ground: Ground, outcome: Outcome, status: Status) -> Proof:
    cost = outcome.designs[0].total_cents if outcome.designs else None
    weighed = outcome.designs[0].weighed_cents if outcome.designs else None
    sought = None if cost is None else cost + (weighed or 0)
    proven = status is Status.OPTIMAL
    bound = sought if proven else cents_below(outcome.bound_units)
    return Proof(
        cost_cents=cost,
        bound_cents=bound,
        gap=None if sought is None or bound is None else (sought - bound) / sought,
        scope=scope_of(ground, outcome),
        rounds=outcome.rounds,
        planes=outcome.planes,
        states=outcome.states,
        cross_check=_second_opinion(outcome),
        seed=SEED,
        weighed_cents=weighed,
    )


def _second_opinion(outcome: Outcome) -> str:
    check = outcome.check
    if check is None or outcome.cost_units is None:
        return "not run: no proven design"
    if not check.agrees(outcome.cost_units):
        raise CheckFailed(f"CP-SAT ended {check.status} at {check.cost_units}, the tables at {outcome.cost_units}")
    return f"CP-SAT {check.status} at the same cost over {check.columns} columns"


def _coverage_by(deadline: float, survey: Survey, building: Building, zones: Zones) -> tuple[Coverage, ...] | None:
    """How much the rules take of all surfaces, None if time is up before that is known."""
    try:
        with ending_when(lambda: not seconds_left(deadline)):
            return _coverage(survey, building, zones)
    except OutOfTime:
        return None


def _coverage(survey: Survey, building: Building, zones: Zones) -> tuple[Coverage, ...]:
    """How much of every facade, wall and roof plane the rules take, for each class of terminal and each heater."""
    every = vented(survey.heaters)
    by_label = {h.label: h for h in every}
    facades: list[Coverage] = []
    roofs: list[Coverage] = []
    for name, spec in terminal_classes(survey.heaters):
        heater = by_label.get(name.split(", ")[0])
        found = zones.of_intakes(spec) if heater is None else zones.terminal(heater)
        facades += facade_coverage(building, found, name)
        roofs += () if heater is None else roof_coverage(building, found, name, spec.radius_mm)
    outside = [c for h in outdoor_cases(survey) for c in facade_coverage(building, zones.outdoors(h), outdoor_name(h))]
    mounts = {h.label: {f.id: zones.mount(h, f) for f in building.faces} for h in every}
    walls = [c for heater, by_face in mounts.items() for c in wall_coverage(building, by_face, heater)]
    return (*facades, *outside, *walls, *roofs)
