"""Searches that time cuts off: what was found is lawful, its bound holds, and nothing is claimed that is not known."""

from __future__ import annotations

import time
from itertools import count

import pytest

from service.app import real_operations
from service.building.build import build
from service.deadline import OutOfTime, asked_at, deadline_in, ending_when, look, search_end
from service.http.exchange import placement
from service.http.json_writer import json_bytes
from service.settings import Settings
from service.siting import zones as zones_module
from service.siting.ground import ground_of
from service.siting.outcome import Outcome
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.model import Survey
from service.usecases import changes, deadlock, sureness
from service.usecases import place as place_module
from service.usecases.place import INSPECTOR
from tests.once import once
from tests.scenarios.scenarios import document, solved, with_designs

EVERYTHING = {"different": 2, "trade_offs": ["waiting", "margin"], "sureness": True, "certificate": True}


def cut_off(name: str, looks: int) -> Outcome:
    """The search for a sample plan when its clock has been looked at so many times."""
    survey = solved(name).survey
    building = build(survey)
    ticks = count()
    return search(ground_of(survey, building), Zones(building, survey), 1, looks, lambda: next(ticks))


@pytest.mark.parametrize("looks", [0, 1, 5, 20, 50, 200])
@pytest.mark.parametrize("name", ["row_house_narrow", "mountain_hut"])
def test_whenever_it_is_cut_off_bound_and_design_hold_the_proven_cost(name: str, looks: int) -> None:
    """The proof of the whole search is that of the design that brute force and checker confirm elsewhere."""
    proven, outcome = once(("never cut off", name), lambda: cut_off(name, 10**9)), cut_off(name, looks)
    assert proven.cost_units is not None and not proven.cut_off
    assert outcome.bound_units <= proven.cost_units
    assert outcome.cost_units is None or outcome.cost_units >= proven.cost_units
    if not outcome.designs:
        assert outcome.cut_off
    elif outcome.cost_units == outcome.bound_units:
        assert outcome.cost_units == proven.cost_units


def test_somewhere_between_no_time_and_enough_a_design_comes_back_unproven() -> None:
    """The best so far with its gap, not nothing."""
    found = (cut_off("mountain_hut", looks) for looks in range(20, 400, 40))
    assert any(o.cut_off and o.designs and o.bound_units < (o.cost_units or 0) for o in found)


@pytest.mark.parametrize("name", with_designs()[::4])
def test_no_time_at_all_is_answered_as_unknown(name: str) -> None:
    """With everything asked for: each part says that it does not know; nothing is claimed infeasible."""
    body = json_bytes(document(name) | {"explain": EVERYTHING})
    answer = placement(body, Settings(solver_seconds=1e-9), real_operations())
    assert (answer["status"], answer["designs"], answer["cost"], answer["gap"]) == ("unknown", [], None, None)
    assert answer["deadlock"] is None
    assert all(a["status"] == "unknown" for a in answer["what_about"])


def test_where_nothing_is_lawful_no_time_claims_nothing() -> None:
    """Not even that nothing is lawful."""
    body = json_bytes(document("no_lawful_place"))
    assert placement(body, Settings(solver_seconds=1e-9), real_operations())["status"] == "unknown"


def test_once_time_is_up_no_way_out_is_sought(monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither is a changed house made, nor is every surface gone through; what is not known is told so."""
    plan = solved("no_lawful_place")
    ground, zones = ground_of(plan.survey, plan.answer.building), Zones(plan.answer.building, plan.survey)
    monkeypatch.setattr(changes, "build", lambda survey: pytest.fail("a house was made"))
    opened, untried = changes.changes(ground, zones, time.monotonic() - 1, INSPECTOR)
    assert opened == () and untried and all(told.startswith("Not tried") for told in untried)
    late = deadlock._Untangling(ground, zones, time.monotonic() - 1, INSPECTOR)
    assert late._candidates() == [] and deadlock.CUT_OFF in late.open_ends
    early = deadlock._Untangling(ground, zones, time.monotonic() + 600, INSPECTOR)
    assert early._candidates() and deadlock.CUT_OFF not in early.open_ends


def test_time_counts_from_when_the_caller_asked() -> None:
    """Not from when the work began; without a caller, from now."""
    with asked_at(1000.0):
        assert deadline_in(5) == 1005.0
    assert deadline_in(5) > time.monotonic()


@pytest.mark.parametrize("seconds", [1e-9, 0.05, 1, 10, 60])
def test_time_is_kept_for_what_comes_after_the_search(seconds: float) -> None:
    """Some, more of it for a house that took longer to read, never more than half."""
    ends = [search_end(seconds, seconds, taken) for taken in (0.0, 0.01, 0.1, 100)]
    assert ends == sorted(ends, reverse=True) and seconds / 2 <= ends[-1] <= ends[0] < seconds
    assert search_end(60, 60, 0.1) == pytest.approx(search_end(60, 60) - 0.1)


@pytest.mark.parametrize(("left_s", "told"), [(-1.0, 1), (60.0, 3)])
def test_further_designs_are_checked_while_there_is_time(
    monkeypatch: pytest.MonkeyPatch, left_s: float, told: int
) -> None:
    """The first one whatever the time: without its check there is no answer."""
    plan = solved("mountain_hut")
    monkeypatch.setattr(place_module, "checked", lambda survey, building, design: time.sleep(0.01) or design)
    outcome = Outcome(designs=[plan.design] * 3)
    end = time.monotonic() + left_s
    assert len(list(place_module._checked_by(end, plan.survey, plan.answer.building, outcome))) == told


def test_once_time_is_up_no_house_is_made_for_another_price_or_fact(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each would take as long as reading the house did; what is not looked for is not known."""
    plan = solved("row_house_narrow")
    ground, zones = ground_of(plan.survey, plan.answer.building), Zones(plan.answer.building, plan.survey)
    outcome = search(ground, zones, 1, float("inf"))
    made: list[Survey] = []
    monkeypatch.setattr(zones_module, "ground_of", lambda survey, building, lifted: made.append(survey))
    monkeypatch.setattr(sureness, "build", made.append)
    found = sureness.sureness(ground, zones, outcome, -1.0, INSPECTOR)
    assert made == [] and not found.complete and found.why == sureness.CUT_OFF
    assert found.prices and not any(r.high.known for r in found.prices if not r.everywhere)


def test_looking_ends_work_only_where_somebody_watches_the_time() -> None:
    """Inner watchers before outer ones."""
    look()
    with ending_when(lambda: False):
        look()
        with ending_when(lambda: True), pytest.raises(OutOfTime):
            look()
        look()


def test_a_survey_may_ask_for_less_time_than_the_server_gives() -> None:
    """And gets it: a thousandth of a second is no time here."""
    survey = document("mountain_hut")
    survey["preferences"] = survey.get("preferences", {}) | {"solver_seconds": 0.001}
    found = placement(json_bytes(survey), Settings(solver_seconds=60), real_operations())
    assert found["status"] == "unknown"
