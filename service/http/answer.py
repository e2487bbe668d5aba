"""Placements, clearance maps and check reports as plain JSON values in the survey's units.

Insertion order is fixed here, so the same result always gives the same bytes.
"""

from __future__ import annotations

from typing import Any

from service import ENGINE, __version__
from service.building.model import Building
from service.http.design_json import design_json
from service.http.dwellings_json import joint_json
from service.http.explain_json import explained_json
from service.http.findings_json import alarm_json, finding_json, sorted_findings
from service.http.gas_json import report_json
from service.http.here_json import deadlock_json, here_json
from service.http.hot_water_json import hot_water_part
from service.http.outdoor_json import outdoor_json
from service.http.power_json import power_json
from service.http.pressure_json import pressure_json
from service.http.quantities import SHARE_DECIMALS, Quantities
from service.http.regions_json import coverage_json, region_json, terminal_class_json
from service.http.relief_json import relief_json
from service.http.start_up_json import start_up_json
from service.http.vent_json import condensate_json, vent_json
from service.http.waiting_json import waiting_json
from service.http.water_json import water_quality_json
from service.survey.model import Survey
from service.usecases.results import BROKEN, CheckedDesign, CheckReport, ClearanceMap, Placement, SetReport

Json = dict[str, Any]


def placement_json(placement: Placement, survey: Survey) -> Json:
    """Answer of the main job: ranked designs, what was proven, what was assumed."""
    q = Quantities(survey.units, placement.building.frame, survey.prices.currency)
    proof, building = placement.proof, placement.building

    def told(design: CheckedDesign) -> Json:
        return told_design(design, building, q)

    return {
        "status": placement.status.value,
        "units": q.units(),
        "cost": q.money_or_none(proof.cost_cents),
        "weighed_waiting": q.money_or_none(proof.weighed_cents),
        "objective": q.money_or_none(proof.objective_cents),
        "bound": q.money_or_none(proof.bound_cents),
        "gap": None if proof.gap is None else round(proof.gap, SHARE_DECIMALS),
        "scope": proof.scope,
        "designs": [{"rank": rank, **told(d)} for rank, d in enumerate(placement.designs, 1)],
        "proof": {
            "rounds": proof.rounds,
            "planes": proof.planes,
            "states": proof.states,
            "cross_check": proof.cross_check,
        },
        "coverage": [coverage_json(c, placement.building, q) for c in placement.coverage],
        "assumptions": list(placement.assumptions),
        "warnings": list(placement.warnings),
        "cautions": list(placement.cautions),
        "alarms": [alarm_json(a) for a in placement.alarms],
        "what_about": [here_json(h, proof, told, q) for h in placement.what_about],
        "deadlock": None if placement.deadlock is None else deadlock_json(placement.deadlock, placement.building, q),
        "explained": None if placement.explained is None else explained_json(placement.explained, told, q),
        "dwellings": None if placement.dwellings is None else joint_json(placement.dwellings, told, q),
        "engine": engine_json(survey, proof.seed),
    }


def check_json(report: CheckReport, survey: Survey) -> Json:
    """Answer of the check operation."""
    q = Quantities(survey.units, report.building.frame, survey.prices.currency)
    return {
        "lawful": report.lawful,
        "lawful_as_far_as_given": report.lawful_as_far_as_given,
        "not_given": [{"part": part.value, "leaves_open": text} for part, text in report.not_given],
        "units": q.units(),
        "findings": [finding_json(f, q) for f in sorted_findings(report.findings)],
        "dwellings": None,
        "assumptions": list(report.assumptions),
        "warnings": list(report.warnings),
        "engine": engine_json(survey, None),
    }


def set_json(report: SetReport, survey: Survey) -> Json:
    """Answer of the check operation on a set: ``findings`` are those on all designs together."""
    q = Quantities(survey.units, report.building.frame, survey.prices.currency)
    every = [*report.findings, *(f for _, found in report.designs for f in found)]
    return {
        "lawful": report.lawful,
        "lawful_as_far_as_given": not any(f.verdict in BROKEN for f in every),
        "not_given": [],
        "units": q.units(),
        "findings": [finding_json(f, q) for f in sorted_findings(report.findings)],
        "dwellings": [
            {
                "dwelling": name,
                "lawful": not any(f.verdict in BROKEN for f in found),
                "findings": [finding_json(f, q) for f in sorted_findings(found)],
            }
            for name, found in report.designs
        ],
        "assumptions": list(report.assumptions),
        "warnings": list(report.warnings),
        "engine": engine_json(survey, None),
    }


def clearances_json(chart: ClearanceMap, survey: Survey) -> Json:
    """Answer of the clearance operation: zones that forbid and the free rest, surface by surface."""
    q = Quantities(survey.units, chart.building.frame, survey.prices.currency)
    return {
        "units": q.units(),
        "complete": chart.complete,
        "terminal_classes": [terminal_class_json(name, spec, q) for name, spec in chart.terminal_classes],
        "facades": [region_json(r, chart.building, q) for r in chart.facades],
        "walls": [region_json(r, chart.building, q) for r in chart.walls],
        "roofs": [region_json(r, chart.building, q) for r in chart.roofs],
        "assumptions": list(chart.assumptions),
        "warnings": list(chart.warnings),
        "engine": engine_json(survey, None),
    }


def told_design(checked: CheckedDesign, building: Building, q: Quantities) -> Json:
    """A design with everything that is told of it."""
    design = design_json(checked.design, building, q)
    cost = design.pop("cost")
    return {
        **design,
        "gas_system": report_json(checked.gas, q),
        "vent_system": None if checked.vent is None else vent_json(checked.vent, q),
        "condensate": None if checked.condensate is None else condensate_json(checked.condensate, q),
        "outdoors": None if checked.outdoors is None else outdoor_json(checked.outdoors, q),
        "power": power_json(checked.power, q),
        "water_quality": water_quality_json(checked.water_quality, q),
        "relief_and_scald": relief_json(checked.relief, q),
        "start_up": start_up_json(checked.start_up, q),
        "water_pressure": None if checked.pressure is None else pressure_json(checked.pressure, q),
        "waiting": None if checked.waiting is None else waiting_json(checked.waiting, q),
        "hot_water": None if checked.hot_water is None else hot_water_part(checked.hot_water, q),
        "clearances": [finding_json(f, q) for f in sorted_findings(checked.findings)],
        "cost": cost,
    }


def engine_json(survey: Survey, seed: int | None) -> Json:
    """Which service with which rules and prices answered."""
    return {
        "name": ENGINE,
        "version": __version__,
        "rule_set": survey.site.rule_set,
        "price_book": survey.prices.id,
        "seed": seed,
    }
