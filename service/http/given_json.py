"""What is told of a design that was handed in for its sheets, in the form of a placement's answer."""

from __future__ import annotations

from typing import Any

from service.design import Design, Part
from service.http.answer import engine_json, told_design
from service.http.design_json import design_json
from service.http.findings_json import finding_json, sorted_findings
from service.http.quantities import Quantities
from service.survey.model import Survey
from service.usecases.cautions import CAUTIONS
from service.usecases.pictured import Described
from service.usecases.results import CheckReport

Json = dict[str, Any]


def given_json(survey: Survey, design: Design, report: CheckReport, described: Described) -> Json:
    """Verdict, the design with whatever is told of it, and findings; nothing is proven of its cost."""
    q = Quantities(survey.units, report.building.frame, survey.prices.currency)
    priced = design.has(Part.COST)
    return {
        "status": _status(report),
        "units": q.units(),
        "cost": q.money(design.total_cents) if priced else None,
        "bound": None,
        "gap": None,
        "scope": "",
        "designs": [{"rank": 1, **_design(design, report, described, q)}],
        "not_given": [{"part": part.value, "leaves_open": text} for part, text in report.not_given],
        "assumptions": list(report.assumptions),
        "warnings": [*([described.why] if described.why else []), *report.warnings],
        "cautions": list(CAUTIONS),
        "alarms": [],
        "engine": engine_json(survey, None),
    }


def _status(report: CheckReport) -> str:
    if report.lawful:
        return "lawful"
    return "lawful_as_far_as_given" if report.lawful_as_far_as_given else "not_lawful"


def _design(design: Design, report: CheckReport, described: Described, q: Quantities) -> Json:
    if described.checked is not None:
        return told_design(described.checked, report.building, q)
    found = [finding_json(f, q) for f in sorted_findings(report.findings)]
    return {**design_json(design, report.building, q), "clearances": found}
