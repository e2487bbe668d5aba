"""The inspector: every finding on a design, from parts that know nothing of how it was found."""

from __future__ import annotations

from service.building.model import Building
from service.check.air import air_findings
from service.check.condensate import condensate_findings
from service.check.demand import demand_findings
from service.check.freeze import freeze_findings
from service.check.gas import gas_findings
from service.check.intake import intake_findings
from service.check.mount import mount_findings
from service.check.outdoors import outdoor_findings
from service.check.parts import stands
from service.check.power import power_findings
from service.check.pressure import pressure_findings
from service.check.prices import price_findings
from service.check.relief import relief_findings
from service.check.routes import route_findings
from service.check.scald import scald_findings
from service.check.terminal import terminal_findings
from service.check.vent import drain_findings, vent_findings
from service.check.vent_system import vent_system_findings
from service.check.verdicts import in_order
from service.check.waiting import waiting_findings
from service.check.water import water_findings
from service.check.water_quality import water_quality_findings
from service.design import Design, Finding, Part
from service.survey.model import Survey


def findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Everything that was checked, failures first, then what is unknown, then by margin, smallest first.

    Parts that are not given are not judged. Distances are in whole millimetres and equality passes.
    Raises KeyError for an unknown rule set.
    """
    terminal, mount, cost = (design.has(part) for part in (Part.TERMINAL, Part.MOUNT, Part.COST))
    air = Part.AIR not in design.needed or design.has(Part.AIR)
    hung = outdoor_findings if design.outdoors else mount_findings
    found = (
        *(terminal_findings(survey, building, design) if terminal else ()),
        *intake_findings(survey, building, design),
        *(hung(survey, building, design) if mount else ()),
        *route_findings(survey, building, design),
        *vent_findings(survey, building, design),
        *drain_findings(design),
        *(() if design.outdoors else vent_system_findings(survey, design)),
        *condensate_findings(survey, building, design),
        *freeze_findings(survey, building, design),
        *gas_findings(survey, building, design),
        *water_findings(survey, design),
        *power_findings(survey, building, design),
        *water_quality_findings(survey, design),
        *relief_findings(survey, building, design),
        *scald_findings(survey, design),
        *pressure_findings(survey, building, design),
        *waiting_findings(survey, building, design),
        *demand_findings(survey, design),
        *(air_findings(survey, building, design) if mount and air else ()),
        *(price_findings(survey, building, design) if cost else ()),
    )
    return in_order(f for f in found if stands(design, f))
