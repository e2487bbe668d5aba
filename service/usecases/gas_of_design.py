"""The whole gas system as a finished design leaves it, sized anew and judged a second time."""

from __future__ import annotations

from service.building.model import Building
from service.design import Design, JointDesign
from service.errors import CheckFailed
from service.siting.costing import renewal_units
from service.siting.gas_works import extended_of
from service.survey.model import Survey
from service.usecases.gas import gas_report_of, report_of
from service.usecases.gas_results import GasReport
from service.usecases.gas_system import Asked, System


def gas_of_design(survey: Survey, building: Building, design: Design) -> GasReport:
    """Sizes, pressures, meter and parts of the system with the heater on it.

    Raises CheckFailed where the cheapest sizes of that system, which CP-SAT confirms, cost other than the design's
    renewals, or some pipe of it cannot be.
    """
    extended = extended_of(survey, building, design)
    asked = _asked(survey, design, extended.node)
    system = System(extended.supply, survey.site.gas, survey.prices, survey.units, asked)
    least = system.sizing.units
    stated = renewal_units(design.gas, survey.gas, survey.prices)
    counted = any(p.segment.elbows or p.segment.tees for p in system.network.pipes if p.segment.id != extended.branch)
    if least is None or least > stated or (least < stated and not counted):
        raise CheckFailed(f"renewals cost {stated} money units, the cheapest sizes of the whole gas tree {least}")
    return report_of(system)


def gas_of_joint(survey: Survey, joint: JointDesign) -> GasReport:
    """As ``gas_of_design``, of the shared system with the heaters of several dwellings on it, its pipes as today."""
    old = {r.node for r in survey.gas.regulators}
    own = tuple(r.node for r in joint.supply.regulators if r.node not in old)
    option = next((o for o in survey.gas.pressure_options if o.id == joint.pressure_option), None)
    asked = Asked(option, own, is_design=True)
    return gas_report_of(joint.supply, survey.site.gas, survey.prices, survey.units, asked)


def _asked(survey: Survey, design: Design, heater_node: str) -> Asked:
    """What the design asks for besides pipe: delivery pressure, and where its line regulators are."""
    works = design.gas
    option = next((o for o in survey.gas.pressure_options if o.id == works.pressure_option), None)
    at_delivery = (survey.gas.delivery_node,) if option is not None and option.regulated_pa is not None else ()
    own = (heater_node,) if works.ahead_of_regulator else ()
    return Asked(option, (*at_delivery, *own), is_design=True)
