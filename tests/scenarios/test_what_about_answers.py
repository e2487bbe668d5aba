"""Questions about places where waiting is priced, and where no heater can be had."""

from __future__ import annotations

from typing import Any

import pytest

from service.here_summary import here_lines
from service.http.answer import placement_json
from service.http.schemas import load_survey
from service.settings import Settings
from service.usecases.place import place
from tests.scenarios.scenarios import MM_PER, document, solved

Json = dict[str, Any]


def answered(name: str, question: Json) -> Json:
    """The whole answer to a sample plan that asks one question."""
    survey = load_survey({**document(name), "what_about": [question]}, Settings())
    return placement_json(place(survey, Settings(solver_seconds=60)), survey)


def test_with_a_price_on_waiting_the_best_here_is_best_by_both() -> None:
    """Asked about the place that wins while waiting costs nothing: less is paid there, but cost and weighed waiting
    together are more than in the best design, by just what both say."""
    raw = document("far_bath_bungalow")
    free = load_survey({**raw, "preferences": {**raw["preferences"], "waiting_cents_per_second": 0}}, Settings())
    found = place(free, Settings(solver_seconds=60))
    design, building = found.designs[0].design, found.building
    face = building.face(design.mount.face_id)
    middle = face.point(design.mount.s_mm + design.heater.vent_dx_mm - design.heater.width_mm // 2)
    at = [v / MM_PER[free.units] for v in building.frame.to_survey(middle)]
    answer = answered("far_bath_bungalow", {"mount": {"room": face.room_id, "at": at}})
    (here,) = answer["what_about"]
    cost = here["design"]["cost"]
    assert here["status"] == "optimal"
    assert here["extra_cost"] == pytest.approx(cost["total"] - answer["cost"])
    assert here["extra_objective"] == pytest.approx(cost["total"] + cost["weighed_waiting"] - answer["objective"])
    assert here["extra_objective"] > 0 > here["extra_cost"]
    told = " ".join(here_lines(answer))
    assert f"{here['extra_cost']:+,.2f}" in told and f"{here['extra_objective']:+,.2f} with the waiting weighed" in told


def test_where_no_heater_can_be_had_a_question_says_so() -> None:
    """All heaters are too small for two baths: nothing is wrong with the place itself."""
    survey = solved("large_house_two_baths").survey
    room = survey.storeys[0].rooms[0]
    at = [v / MM_PER[survey.units] for v in room.outline[0]]
    (here,) = answered("large_house_two_baths", {"mount": {"room": room.id, "at": at}})["what_about"]
    assert (here["status"], here["design"], here["refused"]) == ("infeasible", None, [])
    assert "No heater" in here["why"]
