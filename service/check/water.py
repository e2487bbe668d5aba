"""Whether the water pipes are wide enough for what the heater can draw."""

from __future__ import annotations

from service.check.verdicts import stated
from service.design import Design, Finding, Service
from service.trades.water import velocity_limit_m_s, velocity_m_s
from service.trades.water_pipe import STANDARD_BRANCH, branch_bore_m

CITATION = "NSPC 10.14.1"


def water_findings(design: Design) -> tuple[Finding, ...]:
    """Velocity in the cold and hot pipe at the heater's greatest flow."""
    return tuple(
        _velocity(design, r.service, r.option)
        for r in design.routes
        if r.service in (Service.COLD, Service.HOT) and r.pieces
    )


def _velocity(design: Design, service: Service, size: str) -> Finding:
    bore = branch_bore_m(size)
    if bore is None:
        return stated("water.velocity", service, size, False, f"no water pipe of size {size}", CITATION)
    velocity = velocity_m_s(design.heater.max_flow_m3_s, bore)
    limit = velocity_limit_m_s(service is Service.HOT, size.rpartition(".")[0] or STANDARD_BRANCH)
    detail = f"{velocity:.2f} m/s at the heater's greatest flow, {limit:.2f} m/s allowed"
    return stated("water.velocity", service, size, velocity <= limit, detail, CITATION)
