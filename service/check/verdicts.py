"""How measurements become findings, and the order in which they are told."""

from __future__ import annotations

from collections.abc import Iterable

from service.design import Finding, Verdict
from service.phrases import Detail

GEOMETRY = "geometry of the survey"
"""Cited where no rule book speaks: the run must exist as drawn."""

_URGENCY = {Verdict.FAIL: 0, Verdict.UNKNOWN: 1, Verdict.ADVICE: 2, Verdict.PASS: 2}


def stated(
    rule_id: str, subject: str, object_id: str, holds: bool, detail: Detail, citation: str = GEOMETRY
) -> Finding:
    """Finding of a rule without a distance."""
    return Finding(rule_id, Verdict.PASS if holds else Verdict.FAIL, subject, object_id, detail, citation=citation)


def all_of(
    rule_id: str, subject: str, object_id: str, faults: Iterable[Detail], held: Detail, citation: str = GEOMETRY
) -> tuple[Finding, ...]:
    """One failure for each fault, or one pass saying what was held."""
    failed = tuple(stated(rule_id, subject, object_id, False, f, citation) for f in faults)
    return failed or (stated(rule_id, subject, object_id, True, held, citation),)


def at_least(
    rule_id: str, subject: str, object_id: str, required_mm: int, actual_mm: int, detail: Detail,
    citation: str = GEOMETRY,
) -> Finding:  # fmt: skip
    """Finding of a lower limit in whole millimetres; equality passes."""
    verdict = Verdict.PASS if actual_mm >= required_mm else Verdict.FAIL
    return Finding(rule_id, verdict, subject, object_id, detail, required_mm, actual_mm, citation)


def at_most(
    rule_id: str, subject: str, object_id: str, limit_mm: int, actual_mm: int, detail: Detail, citation: str = GEOMETRY
) -> Finding:
    """Finding of an upper limit in whole millimetres; equality passes."""
    verdict = Verdict.PASS if actual_mm <= limit_mm else Verdict.FAIL
    return Finding(rule_id, verdict, subject, object_id, detail, limit_mm, actual_mm, citation)


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Failures first, then what is unknown, then by margin, smallest first; ties by rule and object."""
    return tuple(sorted(findings, key=_order))


def _order(f: Finding) -> tuple[int, bool, int, str, str, str, str]:
    margin = _margin_mm(f)
    return _URGENCY[f.verdict], margin is None, margin or 0, f.rule_id, f.subject, f.object_id, str(f.detail)


def _margin_mm(f: Finding) -> int | None:
    if f.required_mm is None or f.actual_mm is None:
        return None
    gap = abs(f.actual_mm - f.required_mm)
    return -gap if f.verdict is Verdict.FAIL else gap
