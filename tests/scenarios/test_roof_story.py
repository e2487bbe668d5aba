"""The flat whose vent has only the roof, and a house in which wall and roof compete for it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.design import Design, RoofTerminal, Service, Surface
from service.http.schemas import load_survey
from service.settings import Settings
from service.survey.model import Survey
from service.survey.roof import Roof
from service.usecases.check import BROKEN, check
from service.usecases.place import place
from tests.property.solving import solved as searched
from tests.scenarios.scenarios import document, solved, solved_by

FLAT, SLAB = "top_floor_flat", "slab_house"
PATIENT = Settings(solver_seconds=60)
"""That nothing at all is lawful takes longer to prove."""
DEAR_CENTS, CHEAP_CENTS = 46_000, 1_000


def over_roof(design: Design) -> RoofTerminal:
    """The terminal of a design whose vent ends over the roof."""
    assert isinstance(design.terminal, RoofTerminal)
    return design.terminal


def passed_for(survey: Survey, cents: int) -> Survey:
    """The survey with another price of passing the roof."""
    items = survey.prices.items
    penetration = replace(items["vent.roof_penetration"], cents=cents)
    return replace(survey, prices=replace(survey.prices, items=items | {"vent.roof_penetration": penetration}))


def test_the_strip_between_roof_window_and_ridge_vent() -> None:
    """Reasoning of the plan in millimetres: the terminal keeps 980 from roof window (y = 3200) and ridge vent
    (y = 5350), 2519 from both fire walls (x = 0 and 7000); its opening is over 755 of roof and snow."""
    plan = solved(FLAT)
    at = over_roof(plan.design)
    x, y = plan.answer.building.frame.to_survey((at.x_mm, at.y_mm))
    assert 4180 <= y <= 4370 and 2519 <= x <= 4481
    roof_z = 8800 + (y + 500) * 7 / 12
    assert 755 <= at.z_mm - roof_z <= 755 + 80 * 7 / 12 + 2  # the upper side of a terminal of 80 mm radius, rounded up
    vent = plan.design.route(Service.VENT)
    assert vent is not None and vent.pieces[-1].surface is Surface.ROOF and vent.pieces[-1].end[2] == at.z_mm


@pytest.mark.usefixtures("no_ways_out")
def test_without_the_roof_nothing_is_lawful() -> None:
    """The same flat with nothing told of its roof has no lawful place, and the answer says what may open one."""
    answer = place(replace(solved(FLAT).survey, roof=None), PATIENT)
    assert answer.status == "infeasible"
    assert any("tells nothing of the roof" in w for w in answer.warnings)


def test_under_another_dwelling_nothing_is_lawful() -> None:
    """Rooms that more than the roof lies over are not left upwards."""
    survey = solved(FLAT).survey
    storeys = tuple(replace(s, rooms=tuple(replace(r, under_roof=False) for r in s.rooms)) for s in survey.storeys)
    assert searched(replace(survey, storeys=storeys)).designs == []
    closed = check(replace(survey, storeys=storeys), solved(FLAT).design)
    assert {f.rule_id for f in closed.findings if f.verdict in BROKEN} == {"route.end"}


def test_nearer_to_the_fire_wall_other_heights_are_asked() -> None:
    """2 m from a fire wall whose top is at 12.8 m: 2 ft over all within 10 ft (IFGC 503.6.5, memory), which the design
    moved there does not reach."""
    plan = solved(FLAT)
    at = over_roof(plan.design)
    report = check(plan.survey, replace(plan.design, terminal=replace(at, x_mm=2000)))
    broken = {(f.rule_id, f.object_id) for f in report.findings if f.verdict in BROKEN}
    assert ("ROOF-PARTS", "parapet-west") in broken
    assert any(f.rule_id == "ROOF-WALL" and f.actual_mm == 2000 - 80 for f in report.findings)


def test_wall_and_roof_compete_on_cost() -> None:
    """In a house where both are lawful the wall wins at the book's price of passing the roof, the roof when that is
    cheap; each is the cheaper of the two as if it were alone."""
    survey = replace(load_survey(document(SLAB), Settings()), roof=Roof())
    wall_alone = solved(SLAB).design.total_cents
    dear, cheap = (solved_by(passed_for(survey, cents)).designs[0].design for cents in (DEAR_CENTS, CHEAP_CENTS))
    assert not isinstance(dear.terminal, RoofTerminal) and dear.total_cents == wall_alone
    assert isinstance(cheap.terminal, RoofTerminal) and cheap.total_cents < wall_alone
    closed = passed_for(survey, CHEAP_CENTS)
    prices = closed.prices.items
    shut = {"vent.outer_wall": replace(prices["vent.outer_wall"], cents=10**7)}
    walls_shut = replace(closed.prices, items=prices | shut)
    assert place(replace(closed, prices=walls_shut), Settings()).designs[0].design.total_cents == cheap.total_cents
    line = next(x for x in cheap.lines if x.key == "vent.roof_penetration")
    assert (line.quantity, line.amount_cents) == (1, CHEAP_CENTS)
