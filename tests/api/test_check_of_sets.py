"""A check of a set: designs for all dwellings, as an answer told them or spoiled in one thing at a time."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service import cli
from service.app import create_app
from service.design import Verdict
from service.http.answer import placement_json
from service.http.set_schema import load_set
from service.settings import Settings
from service.usecases.check_set import check_set
from tests.once import once
from tests.once import placed as placed_once
from tests.unit.joint_house import parallel

ROOT = Path(__file__).parents[2]
Json = dict[str, Any]


@pytest.fixture(scope="module")
def service() -> FlaskClient:
    """The whole service without a socket."""
    return create_app(Settings()).test_client()


def survey() -> Json:
    """The survey in metres that ships, with two heaters in it."""
    document: Json = json.loads((ROOT / "service/http/static/smoke_survey.json").read_text("utf-8"))
    return {**document, "dwellings": [{"id": "one"}, {"id": "two"}]}


@pytest.fixture(scope="module")
def placed(service: FlaskClient) -> Json:
    """The set found for it."""
    return once(("set", survey()), lambda: service.post("/v1/placements", json=survey()).get_json()["dwellings"])


@pytest.fixture
def told(placed: Json) -> Json:
    """A copy to spoil."""
    return copy.deepcopy(placed)


def checked(service: FlaskClient, told: Json) -> Json:
    """The answer of a check."""
    response = service.post("/v1/checks", json={"survey": survey(), "dwellings": told})
    answer: Json = response.get_json()
    assert response.status_code == 200, answer
    return answer


def broken(findings: list[Json]) -> set[str]:
    """Rules that failed or are unknown."""
    return {f["rule"] for f in findings if f["verdict"] in ("fail", "unknown")}


def refused(service: FlaskClient, told: object) -> set[tuple[str, str]]:
    """Pointers and codes of all faults."""
    response = service.post("/v1/checks", json={"survey": survey(), "dwellings": told})
    assert response.status_code in (400, 422), response.get_json()
    return {(e["pointer"], e["code"]) for e in response.get_json()["errors"]}


def test_a_set_goes_back_as_it_came(service: FlaskClient, placed: Json) -> None:
    """Lawful, with the very findings that the placement told, of each and of all."""
    answer = checked(service, placed)
    assert answer["lawful"] and answer["lawful_as_far_as_given"] and answer["not_given"] == []
    assert answer["findings"] == placed["findings"]
    for found, meant in zip(answer["dwellings"], placed["designs"], strict=True):
        assert (found["dwelling"], found["lawful"]) == (meant["dwelling"], True)
        assert found["findings"] == meant["clearances"]


def test_a_terminal_beside_the_others_fails_for_both(service: FlaskClient, told: Json) -> None:
    """Moved onto the other's, exhaust and intake are too near each way, and two terminals are in one place."""
    told["designs"][1]["terminal"] = told["designs"][0]["terminal"]
    answer = checked(service, told)
    assert not answer["lawful"] and "joint.terminals" in broken(answer["findings"])
    assert all(not d["lawful"] for d in answer["dwellings"])


def test_a_pipe_is_named_as_the_survey_names_it(service: FlaskClient, told: Json) -> None:
    """A tap that the answer gave a name of its own is as well told by the pipe or node that it is on."""
    for design in told["designs"]:
        gas = next(r for r in design["routes"] if r["service"] == "gas")
        gas["ends_at"] = "the pipe under its end"
    assert checked(service, told)["lawful"]


def test_what_is_shared_is_reckoned_again(service: FlaskClient, told: Json) -> None:
    """A shared bill a cent off, and a set that lacks a dwelling."""
    told["shared"]["cost"]["total"] += 0.01
    assert {"joint.total", "joint.sum"} & broken(checked(service, told)["findings"])
    del told["designs"][1]
    answer = checked(service, told)
    assert "joint.dwellings" in broken(answer["findings"]) and not answer["lawful"]


def test_a_hole_that_nobody_passes_is_not_shared(service: FlaskClient, told: Json) -> None:
    """Claimed for both, though no run of either goes through a wall there."""
    hole = {"service": "gas", "through": "wall_crossing", "start": [0, 0, 1], "end": [0.1, 0, 1]}
    told["shared"]["sleeves"] = [{**hole, "dwellings": ["one", "two"]}]
    assert "joint.sleeves" in broken(checked(service, told)["findings"])


@pytest.mark.parametrize(
    "shared",
    [
        {"renewals": [{"segment": "?", "part": "whole", "material": "csst", "size": "9", "length": 1}]},
        {"renewals": [{"segment": "trunk", "part": "before_tap", "material": "pe", "size": "x", "length": -1}] * 2},
        {"pressure_option": "nobody's", "meter_upgrade": True, "service_regulator": True},
        *(
            {"sleeves": [{"service": s, "through": t, "start": [0, 0, 0], "end": [9, 9, 9], "dwellings": ["one"]}]}
            for s, t in (("vent", "wall_crossing"), ("gas", "chase"), ("drain", "stub"), ("hot", "roof"))
        ),
    ],
)
def test_whatever_is_said_to_be_shared_is_judged(service: FlaskClient, told: Json, shared: Json) -> None:
    """Pipe that there is not, pressure that nobody offers, holes in nothing: findings, and never lawful."""
    answer = checked(service, {**told, "shared": {**told["shared"], **shared}})
    assert not answer["lawful"] and broken(answer["findings"])


def test_shared_holes_go_back_as_they_came() -> None:
    """Two heaters whose water passes two holes together: read back they are the set that was found, and lawful."""
    plan = parallel(apart=600, hole_cents=9_000)
    answer = placed_once(plan, Settings(solver_seconds=60))
    told = json.loads(json.dumps(placement_json(answer, plan)))["dwellings"]
    assert [s["dwellings"] for s in told["shared"]["sleeves"]] == [["one", "two"]] * 2
    found = load_set(told, plan, answer.building, Settings())
    assert answer.dwellings is not None and found.sleeves == answer.dwellings.joint.sleeves
    assert check_set(plan, found).lawful
    alone = {**told["shared"]["sleeves"][0], "dwellings": ["one"]}
    told["shared"]["sleeves"][0] = alone
    spoiled = check_set(plan, load_set(told, plan, answer.building, Settings()))
    assert "joint.sleeves" in {f.rule_id for f in spoiled.findings if f.verdict is Verdict.FAIL}


def test_every_fault_is_told_at_its_place(service: FlaskClient, told: Json) -> None:
    """Of both designs and of what is shared, all at once."""
    first, second = told["designs"]
    first["dwelling"] = "three"
    gas = next(i for i, r in enumerate(second["routes"]) if r["service"] == "gas")
    second["routes"][gas]["points"][-1][2] += 5.0
    del second["routes"][gas]["length"]
    first["mount"]["wall"] = "nowhere"
    told["shared"]["sleeves"] = [
        {"service": "gas", "through": "wall_crossing", "start": [0, 0, 1], "end": [0.1, 0, 1], "dwellings": ["four"]}
    ]
    found = refused(service, told)
    assert ("#/dwellings/designs/0/dwelling", "unknown_reference") in found
    assert ("#/dwellings/designs/0/mount/wall", "unknown_reference") in found
    assert (f"#/dwellings/designs/1/routes/{gas}/ends_at", "unknown_reference") in found
    assert ("#/dwellings/shared/sleeves/0/dwellings/0", "unknown_reference") in found


@pytest.mark.parametrize("value", [None, [], {}, {"designs": []}, {"designs": 3, "shared": {}}, {"designs": [7]}, "x"])
def test_anything_else_is_refused(service: FlaskClient, value: object) -> None:
    """Whatever stands there, with pointers."""
    assert all(place.startswith("#/dwellings") for place, _ in refused(service, value))


def test_a_design_of_a_set_is_whole(service: FlaskClient, told: Json) -> None:
    """One without its bill, one without its gas run, one of a pipe that there is not, one dwelling told twice."""
    first, second = told["designs"]
    del first["cost"]
    assert ("#/dwellings/designs/0", "missing") in refused(service, told)
    first["cost"] = second["cost"]
    second["dwelling"] = "one"
    gas = next(r for r in first["routes"] if r["service"] == "gas")
    i = first["routes"].index(gas)
    gas["option"] = "glass.9"
    second["routes"] = [r for r in second["routes"] if r["service"] != "gas"]
    found = refused(service, told)
    assert ("#/dwellings/designs/1/routes", "missing") in found
    assert ("#/dwellings/designs/1/dwelling", "duplicate") in found
    assert (f"#/dwellings/designs/0/routes/{i}/option", "unknown_reference") in found


def test_command_line_takes_the_answer_file(
    service: FlaskClient, placed: Json, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An answer with a set is checked as a set."""
    (tmp_path / "survey.json").write_text(json.dumps(survey()))
    (tmp_path / "answer.json").write_text(json.dumps({"designs": [], "dwellings": placed}))
    assert cli.main(["check", str(tmp_path / "survey.json"), str(tmp_path / "answer.json")]) == 0
    assert capsys.readouterr().out.startswith("LAWFUL")
