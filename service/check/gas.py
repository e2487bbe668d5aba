"""Whether the gas system carries the heater: fuel, meter, pressures, every pipe, the works, the drawn run.

The piping is walked here anew; only the physics of pipe and its tables are shared.
"""

from __future__ import annotations

from service.building.model import Building
from service.check.gas_inlets import inlet_findings
from service.check.gas_offers import renewal_findings, supply_findings
from service.check.gas_routes import run_findings
from service.check.gas_sizes import size_findings
from service.check.gas_works import remade
from service.check.verdicts import stated
from service.design import Design, Finding, Part, Route, Service
from service.survey.model import Survey

PRACTICE = "common practice, listed instructions"
EXISTING = "IFGC 401.4"


def gas_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Everything found on the gas system as the design leaves it; of a design that tells no works, the run alone."""
    route = design.route(Service.GAS)
    drawn = _of_run(survey, building, design, route) if route is not None and route.pieces else ()
    supply = supply_findings(survey.gas, design) if design.has(Part.GAS_WORKS) else ()
    return (_fuel(survey, design), *supply, *drawn)


def _fuel(survey: Survey, design: Design) -> Finding:
    fuel, taken = survey.site.fuel, design.heater.fuels
    detail = f"{fuel} supplied, {', '.join(taken)} taken"
    return stated("gas.fuel", "gas", design.heater.id, fuel in taken, detail, PRACTICE)


def _of_run(survey: Survey, building: Building, design: Design, route: Route) -> tuple[Finding, ...]:
    """What hangs on the drawn run: the run itself, renewals, pipe sizes, pressures."""
    if not design.has(Part.GAS_WORKS):
        return run_findings(survey, building, design, route)
    system = remade(survey, building, design, route)
    branch = system.tree.branch()
    told = (
        *run_findings(survey, building, design, route),
        *renewal_findings(survey.gas, design, system.tap),
    )
    if branch is None:
        detail = f"{route.end_id} does not hang on the point of delivery"
        return (*told, stated("gas.tap", "gas", route.end_id, False, detail, EXISTING))
    return (
        *told,
        *size_findings(survey, route, system, branch),
        *inlet_findings(survey, design, system),
    )
