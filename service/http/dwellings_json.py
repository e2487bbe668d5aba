"""Designs of several dwellings together, as JSON."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from service.design import Sleeve
from service.http.design_json import cost_json, renewal_json
from service.http.explain_json import explained_json
from service.http.findings_json import finding_json, sorted_findings
from service.http.gas_json import report_json
from service.http.quantities import Quantities
from service.usecases.results import CheckedDesign, JointAnswer

Json = dict[str, Any]


def joint_json(answer: JointAnswer, design: Callable[[CheckedDesign], Json], q: Quantities) -> Json:
    """Designs in the order of the survey, what they share, and what was found on them together; ``design`` writes
    one."""
    joint = answer.joint
    return {
        "designs": [{"dwelling": name, **design(checked)} for name, checked in answer.designs],
        "shared": {
            "renewals": [renewal_json(r, q) for r in joint.renewals],
            "meter_upgrade": "gas.meter_upgrade" in joint.keys,
            "service_regulator": "gas.service_regulator" in joint.keys,
            "pressure_option": joint.pressure_option,
            "branches": [_branch_json(name, node, answer, q) for name, node in joint.heaters],
            "sleeves": [_sleeve_json(s, answer, q) for s in joint.sleeves],
            "gas_system": report_json(answer.gas, q),
            "cost": cost_json(joint.lines, joint.total_cents, None, q),
        },
        "findings": [finding_json(f, q) for f in sorted_findings(answer.findings)],
        "explained": [
            {"dwelling": told.dwelling, "as_in_set": told.as_in_set, **explained_json(told.explained, design, q)}
            for told in answer.explained
        ],
    }


def _sleeve_json(sleeve: Sleeve, answer: JointAnswer, q: Quantities) -> Json:
    """A hole that runs of several heaters pass, made and paid for once."""
    passing = [name for name, design in answer.joint.designs if sleeve in design.sleeves]
    return {
        "service": sleeve.service.value,
        "through": sleeve.surface.value,
        "start": q.point(sleeve.start),
        "end": q.point(sleeve.end),
        "dwellings": passing,
    }


def _branch_json(dwelling: str, node: str, answer: JointAnswer, q: Quantities) -> Json:
    """Where a heater's branch leaves the shared system: a node of the survey, or a new one between parts of a pipe."""
    pipe = next(s for s in answer.joint.supply.segments if s.end == node)
    into = next((s.id for s in answer.joint.supply.segments if s.end == pipe.start), None)
    return {"dwelling": dwelling, "leaves_at": pipe.start, "after": into, "length": q.length(pipe.length_mm)}
