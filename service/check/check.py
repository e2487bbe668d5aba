"""The inspector: every finding on a design, from parts that know nothing of how it was found."""

from __future__ import annotations

from service.building.model import Building
from service.check.air import air_findings
from service.check.gas import gas_findings
from service.check.mount import mount_findings
from service.check.prices import price_findings
from service.check.routes import route_findings
from service.check.terminal import terminal_findings
from service.check.vent import drain_findings, vent_findings
from service.check.verdicts import in_order
from service.check.water import water_findings
from service.design import Design, Finding
from service.survey.model import Survey


def findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Everything that was checked, failures first, then what is unknown, then by margin, smallest first.

    Distances are in whole millimetres and equality passes. Raises KeyError for an unknown rule set.
    """
    return in_order(
        (
            *terminal_findings(survey, building, design),
            *mount_findings(survey, building, design),
            *route_findings(survey, building, design),
            *vent_findings(building, design),
            *drain_findings(design),
            *gas_findings(survey, building, design),
            *water_findings(design),
            *air_findings(survey, building, design),
            *price_findings(survey, building, design),
        )
    )
