"""Whether the water pipes are wide enough for what the heater can draw."""

from __future__ import annotations

from collections.abc import Iterator

from service.check.verdicts import stated
from service.design import Design, Finding, Service, Verdict
from service.phrases import m_s, phrase
from service.rules.tables import table
from service.survey.model import Survey
from service.trades.water import velocity_limit_m_s, velocity_m_s
from service.trades.water_pipe import STANDARD_BRANCH, branch_bore_m
from service.units import Quantity, told

CITATION = "NSPC 10.14.1"
TABLES = "copper trade tables"
PRACTICE = "common practice"


def water_findings(survey: Survey, design: Design) -> tuple[Finding, ...]:
    """Velocity in the cold and hot pipe at the heater's greatest flow."""
    runs = (r for r in design.routes if r.service in (Service.COLD, Service.HOT) and r.pieces)
    return (*(_velocity(design, r.service, r.option) for r in runs), *_very_hot(survey, design))


def _velocity(design: Design, service: Service, size: str) -> Finding:
    bore = branch_bore_m(size)
    if bore is None:
        return stated("water.velocity", service, size, False, f"no water pipe of size {size}", CITATION)
    velocity = velocity_m_s(design.heater.max_flow_m3_s, bore)
    limit = velocity_limit_m_s(service is Service.HOT, size.rpartition(".")[0] or STANDARD_BRANCH)
    detail = phrase(m_s(velocity), " at the heater's greatest flow, ", m_s(limit), " allowed")
    cite = CITATION if _is_copper(size) else PRACTICE
    return stated("water.velocity", service, size, velocity <= limit, detail, cite)


def _very_hot(survey: Survey, design: Design) -> Iterator[Finding]:
    """Copper wears faster where water above 140 degF runs fast."""
    hot, rule = design.route(Service.HOT), table("water").constant
    setpoint = survey.water.setpoint_c
    bore = None if hot is None else branch_bore_m(hot.option)
    if hot is None or bore is None or not _is_copper(hot.option) or setpoint is None or setpoint <= rule("very_hot"):
        return
    velocity = velocity_m_s(design.heater.max_flow_m3_s, bore)
    if velocity > rule("velocity_very_hot"):
        hot_c, most = told(Quantity.TEMPERATURE, rule("very_hot"), survey.units), rule("velocity_very_hot")
        detail = phrase(m_s(velocity), f" of water above {hot_c}: ", m_s(most), " is advised")
        yield Finding("water.velocity_very_hot", Verdict.ADVICE, Service.HOT, hot.option, detail, citation=TABLES)


def _is_copper(size: str) -> bool:
    return (size.rpartition(".")[0] or STANDARD_BRANCH).startswith("copper")
