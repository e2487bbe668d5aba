"""By how much the distances are kept that the rule set asks of a terminal."""

from __future__ import annotations

from collections.abc import Iterable

from service.design import Finding, Verdict
from service.rules.rule import Subject
from service.rules.rulesets import rule_set
from service.survey.model import Survey

OF_TERMINALS = (Subject.TERMINAL, Subject.INTAKE)
WHOLE = "on_wall"
"""That a terminal lies wholly on the wall is no distance to anything."""


def margin_mm(survey: Survey, findings: Iterable[Finding]) -> int | None:
    """The least by which a distance is kept that the rule set asks of vent terminal, intake or flue outlet [mm]; None
    if none is measured. Distances of the case in its room, heights over a roof and limits of runs are not among them.
    """
    rules = {r.id for r in rule_set(survey.site.rule_set).rules if r.subject in OF_TERMINALS and r.relation != WHOLE}
    kept = (f for f in findings if f.rule_id in rules and f.verdict is Verdict.PASS)
    margins = [f.actual_mm - f.required_mm for f in kept if f.actual_mm is not None and f.required_mm is not None]
    return min(margins, default=None)
