"""What the checker says of a design of our own: it passes, or no answer is given."""

from __future__ import annotations

from collections.abc import Sequence

from service.building.model import Building
from service.check.check import findings
from service.design import Design, Finding
from service.errors import CheckFailed
from service.survey.model import Survey
from service.usecases.checked import BROKEN


def lawful(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """All findings of a design. CheckFailed if a rule fails or stays unknown: that is our fault, never the caller's."""
    return passed(findings(survey, building, design))


def passed(found: Sequence[Finding]) -> tuple[Finding, ...]:
    """Findings of which none is broken. CheckFailed otherwise, with all that are."""
    broken = [f for f in found if f.verdict in BROKEN]
    if broken:
        raise CheckFailed("; ".join(f"{f.rule_id} {f.verdict} {f.subject} {f.object_id}: {f.detail}" for f in broken))
    return tuple(found)
