"""The bungalow with no room to spare: where its heater hangs outdoors by hand, and what were it refused or colder."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.design import Service, Surface
from service.http.schemas import load_survey
from service.settings import Settings
from service.survey.model import Survey
from service.usecases.place import place
from service.usecases.results import Placement, Status
from tests.scenarios.scenarios import document, expected, solved, solved_by

NAME = "stucco_bungalow"
HAND: dict[str, Any] = expected(NAME)["by_hand"]
FT = 304.8


def varied(**changes: Any) -> Survey:
    """The bungalow with other members of its site or its wishes."""
    raw = document(NAME)
    for member in ("site", "preferences"):
        raw[member] = raw[member] | {k: v for k, v in changes.items() if k in (*raw[member], "amendments")}
    if "heaters" in changes:
        raw["heaters"] = changes["heaters"]
    return load_survey(raw, Settings())


def test_it_hangs_where_the_cold_pipe_goes_straight_in() -> None:
    """Before the cold main, at the height of the range's gas pipe, by hand from the plan's coordinates."""
    plan = solved(NAME)
    design, frame = plan.design, plan.answer.building.frame
    cold = design.route(Service.COLD)
    assert cold is not None and [p.surface for p in cold.pieces] == [Surface.OUTER_WALL] and cold.elbows == 0
    start, end = (frame.to_survey3(p) for p in (cold.pieces[0].start, cold.pieces[0].end))
    assert (end[1] / FT, end[2] / FT) == (pytest.approx(HAND["line"], abs=0.01), pytest.approx(1.0, abs=0.01))
    assert (start[0] - end[0]) / FT == pytest.approx(HAND["cold_through_wall"], abs=1e-3)
    assert (design.mount.bottom_z_mm - 300) / FT == pytest.approx(HAND["manifold"], abs=0.01)


def test_no_vent_no_air_and_one_passage_for_each_trade() -> None:
    """Nothing of the vent's trade is in the bill; the passages cost what the book says of a wall."""
    lines = {line.key: line for line in solved(NAME).design.lines}
    assert not [key for key in lines if key.startswith(("vent.", "air."))]
    passages = ("gas.wall_crossing", "water.wall_crossing", "power.wall_crossing")
    assert sum(lines[key].amount_cents for key in passages) == HAND["crossings"]
    assert lines["mount.outdoors"].quantity == 1


def test_the_answer_tells_of_frost_and_power() -> None:
    """Water freezes at 30 degF; the heater stands it while it has power."""
    found = solved(NAME).answer.designs[0]
    assert found.vent is None and found.outdoors is not None and found.outdoors.freezes
    assert any("freeze protection needs power" in w for w in solved(NAME).answer.warnings)
    assert any("GFCI" in part.item for part in found.outdoors.parts)
    assert {"freeze.outdoors", "OUT10", "OUT11"} <= {f.rule_id for f in found.outdoors.findings}


def test_where_it_does_not_freeze_nothing_is_said_of_frost() -> None:
    """At 40 degF."""
    found = place(varied(winter_design_temperature=40), Settings())
    assert found.designs[0].outdoors is not None and not found.designs[0].outdoors.freezes
    assert not any("freeze protection" in w for w in found.warnings)


def refused() -> Placement:
    """The bungalow of somebody who wants nothing outdoors."""
    return solved_by(varied(outdoors="refused"))


def test_refused_it_is_dearer_and_in_the_bath() -> None:
    """One with direct vent, for nothing that burns room air may hang there (RM1)."""
    found = refused()
    design = found.designs[0].design
    assert design.heater.id == "nc-direct-160" and found.building.face(design.mount.face_id).room_id == "bath"
    assert design.total_cents == expected(NAME)["recorded"]["refused_cents"] > solved(NAME).design.total_cents
    assert any("nc-outdoor-160 is left out" in w and "does not allow" in w for w in found.warnings)


def test_colder_than_listed_is_left_out_with_the_reason_and_costs_as_if_refused() -> None:
    """14 degF (-10 degC) are listed; 10 degF are colder."""
    found = solved_by(varied(winter_design_temperature=10))
    assert found.designs[0].design.total_cents == refused().designs[0].design.total_cents
    assert any("listed outdoors down to 14 degF, winter design temperature 10 degF" in w for w in found.warnings)
    assert solved_by(varied(winter_design_temperature=14)).designs[0].design.outdoors


def test_a_limit_that_nobody_tells_is_no_pass() -> None:
    """Without a lowest temperature of the listing it is left out, however mild the winter."""
    survey = solved(NAME).survey
    (heater,) = (h for h in survey.heaters if h.outdoor is not None)
    assert heater.outdoor is not None
    untold = replace(heater, outdoor=replace(heater.outdoor, min_temperature_c=None))
    found = solved_by(replace(survey, heaters=(untold,)))
    assert found.status is Status.INFEASIBLE and any("is not told" in w for w in found.warnings)


def test_alone_and_refused_nothing_is_lawful() -> None:
    """With the outdoor heater alone the refusal leaves no place."""
    assert solved_by(varied(outdoors="refused", heaters=["nc-outdoor-160"])).status is Status.INFEASIBLE
