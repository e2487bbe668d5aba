"""Each plan's own claim, put to the checker: what would be broken at the spot that looked better."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.building.build import build
from service.building.model import Building
from service.check.terminal import terminal_findings
from service.design import Design, Finding, Mount, Terminal
from service.http.schemas import load_survey
from service.settings import Settings
from service.survey.equipment import Heater
from service.survey.model import Amendment, Survey
from service.usecases.check import BROKEN, check
from tests.property.depth import DEPTH
from tests.scenarios.scenarios import (
    MM_PER,
    NAMES,
    document,
    expected,
    room_of,
    side_of,
    solved,
    solved_by,
    terminal_at,
)

TERMINALS = [(name, claim) for name in NAMES for claim in expected(name).get("terminal_fails", [])]
MOUNTS = [(name, claim) for name in NAMES for claim in expected(name).get("mount_fails", [])]
GRID_MM, ASIDE_MM = 250 if DEPTH > 1 else 400, 250


def _named(found: tuple[Finding, ...]) -> set[tuple[str, str]]:
    """What refuses a design: rules broken, and rules that would be if what is unknown turns out badly."""
    return {(f.rule_id, f.object_id) for f in found if f.verdict in BROKEN}


@pytest.mark.parametrize(("name", "claim"), TERMINALS, ids=[f"{n}-{c['rule']}-{c['object']}" for n, c in TERMINALS])
def test_terminal_that_looked_better_breaks_the_named_rule(name: str, claim: dict[str, str]) -> None:
    """The winning design with its terminal moved to the spot of the story fails by that rule and thing."""
    plan = solved(name)
    there = terminal_at(plan.survey, claim["at"], claim["side"])  # type: ignore[arg-type]
    report = check(plan.survey, replace(plan.design, terminal=there))
    assert (claim["rule"], claim["object"]) in _named(report.findings)
    assert (claim["rule"], claim["object"]) not in _named(check(plan.survey, plan.design).findings)


@pytest.mark.parametrize(("name", "claim"), MOUNTS, ids=[f"{n}-{c['rule']}-{c['room']}" for n, c in MOUNTS])
def test_room_that_looked_better_breaks_the_named_rule(name: str, claim: dict[str, str]) -> None:
    """The winning heater hung in the middle of a wall of the story's room fails by the named rule."""
    plan = solved(name)
    building = plan.answer.building
    face = next(f for f in building.faces if f.room_id == claim["room"])
    height = round(float(claim["above_floor"]) * MM_PER[plan.survey.units])
    there = Mount(face.id, face.length_mm // 2, building.room(claim["room"]).floor_z + height)
    report = check(plan.survey, replace(plan.design, mount=there))
    assert claim["rule"] in {rule for rule, _ in _named(report.findings)}


def test_old_spot_would_win_were_it_lawful() -> None:
    """With the rules of the story switched off the old room wins and costs less; judged by the real rules
    that design fails by them."""
    plan = solved("old_spot_unlawful")
    off = tuple(Amendment(rule, None, "for the test") for rule in plan.expected["old_spot"]["rules_off"])
    lax = replace(plan.survey, site=replace(plan.survey.site, amendments=off))
    answer = solved_by(lax)
    cheaper = answer.designs[0].design
    assert answer.status == "optimal"
    assert room_of(answer.building, cheaper) == plan.expected["old_spot"]["room"]
    assert cheaper.total_cents < plan.design.total_cents
    broken = {rule for rule, _ in _named(check(plan.survey, cheaper).findings)}
    assert broken and broken <= set(plan.expected["old_spot"]["rules_off"])


def test_what_about_the_old_spot() -> None:
    """The plan asks about its old spot: a vent there breaks just the rules of the story, each by some distance, and a
    heater on the old wall must send its vent elsewhere, at a price."""
    plan = solved("old_spot_unlawful")
    vent, wall = plan.answer.what_about
    broken = [f for refusal in vent.refused for f in refusal.broken]
    assert vent.status == "infeasible"
    offered = {h.label for heater in plan.survey.heaters for h in heater.vented}
    assert {h for refusal in vent.refused for h in refusal.heaters} == offered
    assert {f.rule_id for f in broken} <= set(plan.expected["old_spot"]["rules_off"])
    assert all(f.required_mm and f.actual_mm is not None and f.actual_mm < f.required_mm for f in broken)
    assert wall.design is not None
    assert room_of(plan.answer.building, wall.design.design) == "utility"
    asked = terminal_at(plan.survey, [-0.6, 20, 6], "west")
    assert abs(wall.design.design.terminal.s_mm - asked.s_mm) > ASIDE_MM
    assert wall.design.design.total_cents - plan.design.total_cents == sum(c for _, c in wall.extra_by_trade) > 0


def test_nothing_lawful_is_told_facade_by_facade() -> None:
    """Every facade is wholly taken for every terminal, and the rules of the story alone take all of theirs."""
    plan = solved("no_lawful_place")
    building = plan.answer.building
    assert plan.answer.designs == ()
    facades = [c for c in plan.answer.coverage if c.kind == "facade" and "(intake)" not in c.applies_to]
    assert {c.surface_id for c in facades} == {f.id for f in building.facades}
    for c in facades:
        assert c.free_mm2 == 0
        rule = plan.expected["blocking"][side_of(building, building.facade(c.surface_id))]
        assert dict(c.by_rule)[rule] == pytest.approx(c.total_mm2, rel=1e-6)
    assert any(c.kind == "wall" and c.free_mm2 > 0 for c in plan.answer.coverage)


def test_nothing_lawful_by_trying_all_of_it() -> None:
    """On a grid over both facades the independent checker refuses every terminal of every heater."""
    survey = load_survey(document("no_lawful_place"), Settings())
    building = build(survey)
    for heater in {(h.draft, h.category, h.input_max_w): h for h in survey.heaters}.values():
        lawful = [t for t in _grid(building) if not _named(_judged(survey, building, heater, t))]
        assert lawful == [], heater.id


def _grid(building: Building) -> list[Terminal]:
    return [
        Terminal(f.id, s, z)
        for f in building.facades
        for s in range(0, f.length_mm + 1, GRID_MM)
        for z in range(min(p[2] for p in f.spans), max(p[3] for p in f.spans) + 1, GRID_MM)
    ]


def _judged(survey: Survey, building: Building, heater: Heater, terminal: Terminal) -> tuple[Finding, ...]:
    mount = Mount(building.faces[0].id, 0, 0)
    return tuple(terminal_findings(survey, building, Design(heater, mount, terminal, (), False, False, (), 0)))


def test_garage_heater_is_guarded_and_off_the_floor() -> None:
    """The flat's heater hangs at least 18 in over the garage floor (IRC M1307.3, read) behind a priced post."""
    plan = solved("garage_apartment")
    floor = plan.answer.building.room("garage").floor_z
    assert plan.design.mount.bottom_z_mm - floor >= 18 * 25.4
    assert "mount.garage_guard" in {line.key for line in plan.design.lines}
