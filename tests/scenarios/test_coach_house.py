"""The coach house: the intake's own distance decides between two plain pipes and a concentric vent."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.design import Design, Terminal, Verdict
from service.survey.model import Survey
from service.usecases.check import check
from tests.property.brute_force import cheapest, lines_of
from tests.property.solving import CENT
from tests.scenarios.scenarios import expected, solved, solved_by

NAME = "coach_house"
HAND: dict[str, Any] = expected(NAME)["by_hand"]


def elsewhere() -> Survey:
    """The same house where no layer binds the intake."""
    at = solved(NAME).survey
    return replace(at, site=replace(at.site, amendments=()))


def twin_only(at: Survey) -> Survey:
    """With twin pipe alone."""
    (heater,) = at.heaters
    (twin,) = [v for v in heater.vented if v.vent.intake]
    return replace(at, heaters=(replace(twin, vents=()),))


def won(at: Survey) -> Design:
    """Its cheapest design."""
    return solved_by(at).designs[0].design


def test_concentric_wins_here_and_twin_pipe_elsewhere() -> None:
    """By the difference worked out by hand from the book's prices."""
    here, there = solved(NAME).design, won(elsewhere())
    assert here.intake is None and here.heater.label == "co-direct-199"
    assert there.intake is not None and there.heater.label == "co-direct-199 with tw_pp_3"
    assert here.total_cents - there.total_cents == pytest.approx(HAND["twin_cheaper_by"], abs=2)


def test_only_the_intake_is_unlawful_of_the_twin_pipe_here() -> None:
    """The winner of elsewhere, checked under the layer: nothing fails but the intake's distance from the regulator."""
    report = check(solved(NAME).survey, won(elsewhere()))
    failed = [f for f in report.findings if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)]
    assert {(f.rule_id, f.subject, f.required_mm) for f in failed} == {("CA-BC1", "intake", HAND["asked_mm"])}


def test_twin_pipe_alone_moves_away_and_costs_more() -> None:
    """Where it must, it keeps the distance, and is then dearer than the concentric vent."""
    far = won(twin_only(solved(NAME).survey))
    assert isinstance(far.intake, Terminal)
    assert far.total_cents > solved(NAME).design.total_cents
    found = [f for f in check(solved(NAME).survey, far).findings if f.rule_id == "CA-BC1"]
    assert [f.verdict for f in found] == [Verdict.PASS]


@pytest.mark.slow
def test_brute_force_comes_to_the_same() -> None:
    """With and without the layer, on grids that hold the answers' own lines."""
    for at in (solved(NAME).survey, elsewhere()):
        ours = won(at)
        brute = cheapest(at, lines_of(ours))
        assert brute is not None and abs(brute[0] / CENT - ours.total_cents) <= 1
        assert brute[1].heater.label == ours.heater.label
