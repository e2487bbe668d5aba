"""What rules ask as JSON: findings with what was measured and is left, parts to buy, alarms to hang."""

from __future__ import annotations

from typing import Any

from service.design import Finding, Verdict
from service.http.quantities import QUANTITY_DECIMALS, Quantities
from service.usecases.alarms import Alarm
from service.usecases.gas_results import PartLine

VERIFY_WITHIN_MM = 25
"""A margin no larger than this is within what a tape and a drawing differ by: measure on site."""

_URGENCY = {Verdict.FAIL: 0, Verdict.UNKNOWN: 1, Verdict.ADVICE: 2, Verdict.PASS: 2}


def margin_mm(finding: Finding) -> int | None:
    """What is left to the limit [mm]: positive when kept, negative when broken; None without a distance.

    A rule may ask for at least or at most a distance; the verdict tells which side is the good one.
    """
    if finding.required_mm is None or finding.actual_mm is None:
        return None
    difference = finding.actual_mm - finding.required_mm
    if finding.verdict is Verdict.PASS:
        return abs(difference)
    if finding.verdict is Verdict.FAIL:
        return -abs(difference)
    return difference


def _short_mm(finding: Finding, margin: int | None) -> int | None:
    return -margin if margin is not None and finding.verdict is Verdict.FAIL else None


def sorted_findings(findings: tuple[Finding, ...]) -> list[Finding]:
    """Broken rules first, then unknown ones, then by margin, smallest first; the rest as they came."""
    return sorted(findings, key=_order)


def _order(finding: Finding) -> tuple[int, bool, int]:
    margin = margin_mm(finding)
    return _URGENCY[finding.verdict], margin is None, margin or 0


def finding_json(finding: Finding, q: Quantities) -> dict[str, Any]:
    """One rule applied to one thing."""
    margin = margin_mm(finding)
    return {
        "rule": finding.rule_id,
        "citation": finding.citation,
        "verdict": finding.verdict.value,
        "subject": finding.subject,
        "object": finding.object_id,
        "required": q.length_or_none(finding.required_mm),
        "actual": q.length_or_none(finding.actual_mm),
        "margin": q.length_or_none(margin),
        "short_by": q.length_or_none(_short_mm(finding, margin)),
        "verify_on_site": margin is not None and abs(margin) <= VERIFY_WITHIN_MM,
        "detail": q.told(finding.detail),
        "missing": finding.missing,
    }


def alarm_json(alarm: Alarm) -> dict[str, Any]:
    """One carbon monoxide alarm that is asked for."""
    return {
        "rule": alarm.rule_id,
        "what": alarm.what,
        "where": alarm.where,
        "why": alarm.why,
        "citation": alarm.citation,
        "known_from": alarm.mark,
        "designs": list(alarm.designs),
    }


def part_json(part: PartLine) -> dict[str, Any]:
    """One item with the rule that asks for it."""
    return {
        "item": part.item,
        "quantity": round(part.quantity, QUANTITY_DECIMALS),
        "per": part.per,
        "where": part.where,
        "citation": part.citation,
        "known_from": part.known_from,
    }
