"""A price on waiting: what the intake asks of the survey, what the checker says of a design, what a report tells."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.design import Verdict
from service.errors import InvalidRequest
from service.http.schemas import load_survey
from service.settings import Settings
from service.usecases.check import check
from service.usecases.waiting_report import waiting_report
from service.usecases.waiting_results import WaitingReport
from tests.scenarios.scenarios import document, solved

NAME = "far_bath_bungalow"


def faults(**water: Any) -> set[tuple[str, str]]:
    """Faults of the plan with other facts of its water."""
    raw = document(NAME)
    raw["water"] = {**raw["water"], **water}
    with pytest.raises(InvalidRequest) as refused:
        load_survey(raw, Settings())
    return {(f.pointer, f.code) for f in refused.value.faults}


def report(**changes: Any) -> WaitingReport:
    """The waits of the plan's design with other water."""
    plan = solved(NAME)
    survey = replace(plan.survey, water=replace(plan.survey.water, **changes))
    found = waiting_report(survey, plan.answer.building, plan.design)
    assert found is not None
    return found


def test_a_price_needs_fixtures_and_known_pipe() -> None:
    """Without them no wait could be told, and one left out would be free."""
    assert faults(fixtures=[]) == {("#/preferences/waiting_cents_per_second", "missing_fact")}
    line = {**document(NAME)["water"]["hot"][0], "material": "lead"}
    assert faults(hot=[line]) == {("#/water/hot/0/size", "missing_fact")}
    still = {**document(NAME)["water"]["fixtures"][0], "flow": 0}
    assert faults(fixtures=[still]) == {("#/water/fixtures/0/flow", "missing_fact")}


@pytest.mark.parametrize(("more", "verdict"), [(0, Verdict.PASS), (1, Verdict.PASS), (3, Verdict.FAIL)])
def test_checker_weighs_again(more: int, verdict: Verdict) -> None:
    """A cent of rounding is let pass, three are not."""
    plan = solved(NAME)
    told = replace(plan.design, weighed_cents=round((plan.design.weighed_cents or 0) + more))
    found = [f for f in check(plan.survey, told).findings if f.rule_id == "waiting.weighed"]
    assert [f.verdict for f in found] == [verdict]


def test_checker_takes_no_weight_where_there_is_no_price() -> None:
    """And says nothing where a design tells no weight."""
    plan = solved("slab_house")
    weighed = check(plan.survey, replace(plan.design, weighed_cents=100)).findings
    assert [f.verdict for f in weighed if f.rule_id == "waiting.weighed"] == [Verdict.FAIL]
    plain = check(plan.survey, plan.design).findings
    assert not [f for f in plain if f.rule_id == "waiting.weighed"]


def test_unknown_pipe_has_no_wait() -> None:
    """The fact is named; no mean is made of the rest."""
    water = solved(NAME).survey.water
    found = report(hot=tuple(replace(w, size="odd") for w in water.hot))
    assert {f.missing for f in found.fixtures} == {"bore of hot-main"} and found.mean_s is None
    assert all(f.wait is None and not f.limits for f in found.fixtures)


def test_trickle_that_lights_no_burner_is_told() -> None:
    """0.3 gpm does not start a heater that starts at 0.5 (common practice)."""
    water = solved(NAME).survey.water
    small = replace(water.fixtures[0], flow_m3_s=0.3 * 3.785411784e-3 / 60)
    found = report(fixtures=(small,))
    assert not found.fixtures[0].lights_burner and "does not light the burner" in found.warnings[0]


def test_lines_that_do_not_touch_are_told() -> None:
    """The narrow row house's kitchen line is drawn apart from the main: 0.9 m."""
    plan = solved("row_house_narrow")
    found = waiting_report(plan.survey, plan.answer.building, plan.design)
    assert found is not None and any("0.9 m" in text for text in found.assumptions)


def test_loop_is_priced_as_information() -> None:
    """Pump 640.00 and half-inch pipe at 8.00 a foot, from the farthest supply back to the heater; not in the bill."""
    loop = report().loop
    assert loop is not None and loop.fixture == "kitchen-sink" and loop.price_cents is not None
    assert loop.price_cents == pytest.approx(64_000 + 800 * loop.return_mm / 304.8, abs=1)
    assert not any("recirculation" in line.key for line in solved(NAME).design.lines)
