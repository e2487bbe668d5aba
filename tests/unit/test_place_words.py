"""What an answer says of itself: its scope, what was not judged, and why nothing is lawful."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from service.building.build import build
from service.design import Design, Mount, Terminal
from service.http.answer import placement_json
from service.settings import Settings
from service.siting.air_plan import AirPlan
from service.siting.ground import ground_of
from service.siting.outcome import Outcome
from service.siting.scope import scope_of
from service.siting.search import search
from service.siting.zones import Zones
from service.summary import placement_text
from service.survey.model import Survey
from service.usecases.not_judged import NOT_JUDGED, not_judged
from service.usecases.place import place
from service.usecases.reasons import reasons
from service.usecases.results import Coverage, Status
from tests.unit.survey_documents import Document, load, sample, smallest


def outcome(designs: int, cost: float | None, bound: float, cut_off: bool = False) -> Outcome:
    """How a search might end."""
    heater = load(smallest()).heaters[0]
    design = Design(heater, Mount("f", 0, 0), Terminal("F1", 0, 0), (), False, False, (), 0)
    return Outcome(designs=[design] * designs, cost_units=cost, bound_units=bound, cut_off=cut_off)


@pytest.mark.parametrize(
    ("ended", "claim"),
    [
        (outcome(1, 500.0, 500.0), "Least cost over "),
        (outcome(1, 500.0, 400.0, cut_off=True), "Best found, not proven least, over "),
        (outcome(0, None, float("inf")), "No lawful design among "),
        (outcome(0, None, 400.0, cut_off=True), "Not decided: "),
    ],
)
def test_scope_claims_no_more_than_was_found(ended: Outcome, claim: str) -> None:
    """Least, found, none or not decided."""
    survey = load(smallest())
    assert scope_of(ground_of(survey, build(survey)), ended).startswith(claim)


def test_what_is_not_judged_is_always_said() -> None:
    """And every fact given in vain is named."""
    (standing,) = not_judged(load(smallest()))
    assert standing.startswith(NOT_JUDGED) and "the heater's size against the demand" in standing
    (standing,) = not_judged(load(sample()))
    assert standing.startswith(NOT_JUDGED) and "the heater's size" not in standing
    silent = sample()
    del silent["water"]["fixtures"], silent["water"]["demand"]
    assert "site.climate" in not_judged(load(silent))[1]


def starved(document: Document) -> None:
    """Less pressure than any heater of the catalogue takes."""
    document["gas"]["pressure"] = 3


def undrained(document: Document) -> None:
    """A heater that condenses, and nowhere to lead it."""
    document["heaters"], document["drains"] = ["co-direct-199"], []


@pytest.mark.usefixtures("no_ways_out")
@pytest.mark.parametrize(("change", "words"), [(starved, "no gas pressure to be had"), (undrained, "names no drain")])
def test_heaters_left_out_are_told_in_the_summary(change: Callable[[Document], Any], words: str) -> None:
    """Infeasible for other reasons than clearances: the reasons come first among the warnings."""
    document = sample()
    change(document)
    survey = load(document)
    answer = place(survey, Settings())
    assert answer.status is Status.INFEASIBLE
    assert words in answer.warnings[0]
    assert any(w.startswith(NOT_JUDGED) for w in answer.warnings)
    text = placement_text(placement_json(answer, survey))
    for heater in survey.heaters:
        assert f"Heater {heater.id} is left out: " in text
    assert "No lawful design among" in text


TRUNK = "g1"


def stuck(survey: Survey) -> Survey:
    """A trunk of a kind that nobody knows, which cannot be renewed."""
    segments = tuple(replace(s, material="lead", fixed=s.id == TRUNK) for s in survey.gas.segments)
    return replace(survey, gas=replace(survey.gas, segments=segments))


def test_reasons_beyond_distances() -> None:
    """Rooms closed by wishes; air that no room has; a trunk that cannot be renewed; free surfaces that do not help."""
    document = sample()
    document["heaters"] = ["nc-room-199", "nc-direct-120"]
    document["preferences"] = {"rooms_wanted": ["utility"]}
    survey = load(document)
    building = build(survey)
    free = [
        Coverage("F1", "facade", "nc-direct-120, nc-direct-160", 9, 5, ()),
        Coverage("w", "wall", "nc-direct-120", 9, 5, ()),
    ]
    told = reasons(ground_of(survey, building), free)
    assert "kitchen" in told[0] and "utility" not in told[0]
    assert [t for t in told if t.startswith("Heater")] == [t for t in told if "nc-direct-120: walls and facades" in t]
    bare = AirPlan(survey, replace(building, faces=()))
    assert any(
        "nc-room-199: no room has air enough" in t for t in reasons(replace(ground_of(survey, building), air=bare), ())
    )
    short = reasons(ground_of(stuck(survey), building), ())
    assert any(f"gas reaches it from nowhere: no size that may be had carries the load of {TRUNK}" in t for t in short)


def test_a_house_short_of_gas_is_not_searched_in_vain() -> None:
    """Where gas reaches no heater the search ends with nothing, and the reason above is why."""
    survey = stuck(load(sample()))
    building = build(survey)
    ended = search(ground_of(survey, building), Zones(building, survey), 1, time.monotonic() + 10)
    assert (ended.designs, ended.cut_off) == ([], False)
