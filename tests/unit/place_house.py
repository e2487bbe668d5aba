"""An invented house of two rooms for rules that rest on stated facts; a heater tried on the first room's south wall."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from service.building.build import build
from service.check.mount import mount_findings
from service.clearance.mount import mount_zones
from service.design import Design, Finding, Mount, Terminal, Verdict
from service.survey.equipment import Heater
from service.survey.model import Access, Opening, Passage, Room, RoomUse, Survey
from tests.unit.check_house import house, site
from tests.unit.clearance_site import heater as small_heater

BEYOND = Room("beyond", RoomUse.HALL, ((0, 3_100), (4_000, 3_100), (4_000, 7_000), (0, 7_000)), False, 0, 2_700)
WHOLE_WAY = Access(762, 762, Passage(3_000, 914, 762, 610, 0), 762, 762, True, True)
SPOT, BOTTOM = 2_000, 1_000


def two_rooms(
    use: RoomUse = RoomUse.UTILITY, *, rules: str = "us-2018", beyond: RoomUse = RoomUse.HALL, deep: int = 3_000,
    openings: tuple[Opening, ...] = (), plot: dict[str, Any] | None = None, **facts: Any,
) -> Survey:  # fmt: skip
    """A room of 4 m by ``deep`` with the other one north of it; ``facts`` of the first room."""
    first = Room("here", use, ((0, 0), (4_000, 0), (4_000, deep), (0, deep)), False, 0, 2_700, **facts)
    other = replace(BEYOND, use=beyond, outline=tuple((x, y - 3_000 + deep) for x, y in BEYOND.outline))
    at = house(rooms=(first, other), openings=openings)
    return replace(at, site=site(rule_set=rules, **(plot or {})))


def found(
    at: Survey, case: Heater | None = None, bottom: int = BOTTOM, s: int = SPOT, room: str = "here"
) -> tuple[Finding, ...]:
    """Findings on the case; the zones must forbid by the same rules."""
    home, case = build(at), case or small_heater()
    face = next(f for f in home.faces if f.room_id == room and f.axis == 0 and f.start[0] < f.end[0])
    given = Design(case, Mount(face.id, s, bottom), Terminal("", 0, 0), (), False, False, (), 0)
    findings = mount_findings(at, home, given)
    closed = {z.rule_id for z in mount_zones(home, at, case)[face.id] if z.covers(s, bottom)}
    assert closed == {f.rule_id for f in findings if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)}
    return findings


def verdicts(findings: tuple[Finding, ...], rule: str) -> set[Verdict]:
    """Verdicts of one rule."""
    return {f.verdict for f in findings if f.rule_id == rule}


def broken(findings: tuple[Finding, ...]) -> set[str]:
    """Rules that failed or stay unknown."""
    return {f.rule_id for f in findings if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)}


def missing(findings: tuple[Finding, ...], rule: str) -> set[str]:
    """Facts that one rule misses."""
    return {f.missing for f in findings if f.rule_id == rule and f.missing}
