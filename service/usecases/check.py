"""Check a design that somebody hands in, or that we are about to hand out."""

from __future__ import annotations

from service.building.build import build
from service.check.check import findings
from service.check.parts import open_parts
from service.clearance.assumed import assumptions, warnings
from service.design import Design, Part
from service.survey.model import Survey
from service.usecases.results import BROKEN, CheckReport


def check(survey: Survey, design: Design) -> CheckReport:
    """Findings on a design, whole or in part; lawful only if whole, nothing failed and nothing is unknown.

    Raises KeyError for an unknown rule set.
    """
    building = build(survey)
    found = findings(survey, building, design)
    return CheckReport(
        lawful=design.whole and not any(f.verdict in BROKEN for f in found),
        findings=found,
        building=building,
        assumptions=(
            *survey.assumptions, *building.assumptions, *assumptions(building, survey), *_vent_meant(design)
        ),
        warnings=(*survey.warnings, *building.warnings, *warnings(building, survey)),
        not_given=open_parts(design),
    )  # fmt: skip


def _vent_meant(design: Design) -> tuple[str, ...]:
    """Which of a heater's vents the rest is judged with where no run tells it."""
    if design.has(Part.VENT_RUN) or len(design.heater.listings) == 1:
        return ()
    return (f"Heater {design.heater.id} may have several vents and no vent run is given: "
            f"judged with vent system {design.heater.vent.system}.",)  # fmt: skip
