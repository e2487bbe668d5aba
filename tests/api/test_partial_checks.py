"""Checks of designs given in part: only a terminal, only a mount, some runs. What is left out is not judged."""

from __future__ import annotations

import json
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service import cli
from service.app import create_app
from service.rules.catalogue import heaters
from service.settings import Settings
from tests.api.fakes import sample

ROOT = Path(__file__).parents[2]
RUNS = ("vent", "gas", "cold", "hot", "power")
HEATER = heaters()["co-direct-120"]


@pytest.fixture(scope="module")
def service() -> FlaskClient:
    """The whole service without a socket."""
    return create_app(Settings()).test_client()


def survey() -> dict[str, Any]:
    """The survey in metres that ships."""
    document: dict[str, Any] = json.loads((ROOT / "service/http/static/smoke_survey.json").read_text("utf-8"))
    return document


@pytest.fixture(scope="module")
def placed(service: FlaskClient) -> dict[str, Any]:
    """The cheapest design of it."""
    design: dict[str, Any] = service.post("/v1/placements", json=survey()).get_json()["designs"][0]
    return design


def checked(service: FlaskClient, design: dict[str, Any], at: dict[str, Any] | None = None) -> dict[str, Any]:
    """The answer of a check."""
    response = service.post("/v1/checks", json={"survey": at or survey(), "design": design})
    answer: dict[str, Any] = response.get_json()
    assert response.status_code == 200, answer
    return answer


def parts(design: dict[str, Any], *names: str) -> dict[str, Any]:
    """The heater and the named members."""
    return {"heater": {"id": design["heater"]["id"]}, **{name: design[name] for name in names}}


def subjects(answer: dict[str, Any]) -> set[str]:
    """What the findings are about."""
    return {f["subject"] for f in answer["findings"]}


def told(answer: dict[str, Any]) -> set[tuple[str, str, str, str]]:
    """Which rule was applied to what, and how it ended."""
    return {(f["rule"], f["subject"], f["object"], f["verdict"]) for f in answer["findings"]}


def left_out(answer: dict[str, Any]) -> set[str]:
    """Parts that were not given."""
    assert all(p["leaves_open"] for p in answer["not_given"])
    return {p["part"] for p in answer["not_given"]}


def test_a_whole_design_leaves_nothing_open(service: FlaskClient, placed: dict[str, Any]) -> None:
    """As it was placed: lawful, and lawful as far as given."""
    answer = checked(service, placed)
    assert (answer["lawful"], answer["lawful_as_far_as_given"], answer["not_given"]) == (True, True, [])
    assert {f["short_by"] for f in answer["findings"]} == {None}


def test_only_a_terminal(service: FlaskClient, placed: dict[str, Any]) -> None:
    """Every clearance of it is judged as in the whole design; nothing is lawful by itself."""
    whole, alone = checked(service, placed), checked(service, parts(placed, "terminal"))
    assert (alone["lawful"], alone["lawful_as_far_as_given"]) == (False, True)
    clearances = [f for f in whole["findings"] if f["subject"] == "terminal"]
    assert [f for f in alone["findings"] if f["subject"] == "terminal"] == clearances != []
    assert subjects(alone) <= {"terminal", "gas", "vent", "freeze"}
    assert {f["rule"] for f in alone["findings"] if f["subject"] == "gas"} == {"gas.fuel"}
    assert told(alone) <= told(whole), "what is not of the terminal is of the heater alone"
    assert {"mount", "routes.vent", "routes.gas", "gas", "cost"} <= left_out(alone)
    assert "terminal" not in left_out(alone)


def test_only_a_mount(service: FlaskClient, placed: dict[str, Any]) -> None:
    """Rooms, clearances and working space, as in the whole design."""
    whole, alone = checked(service, placed), checked(service, parts(placed, "mount"))
    assert (alone["lawful"], alone["lawful_as_far_as_given"]) == (False, True)
    assert [f for f in alone["findings"] if f["subject"] == "mount"] == [
        f for f in whole["findings"] if f["subject"] == "mount"
    ]
    assert "terminal" not in subjects(alone)
    assert "mount" not in left_out(alone)


@pytest.mark.parametrize("count", range(len(RUNS)))
@pytest.mark.parametrize("also", [(), ("mount",), ("mount", "terminal"), ("gas", "meter_upgrade")])
def test_any_runs_are_judged_alone(
    service: FlaskClient, placed: dict[str, Any], count: int, also: tuple[str, ...]
) -> None:
    """No subset of a lawful design shows a fault, and every finding on it is one of the whole design's."""
    whole = told(checked(service, placed))
    for chosen in combinations([r for r in placed["routes"] if r["service"] in RUNS], count + 1):
        answer = checked(service, parts(placed, "cold_fitting", *also) | {"routes": list(chosen)})
        assert answer["lawful_as_far_as_given"] and not answer["lawful"]
        assert told(answer) <= whole
        runs = {p.removeprefix("routes.") for p in left_out(answer) if p.startswith("routes.")}
        assert runs.isdisjoint(r["service"] for r in chosen)


def test_a_failure_says_how_much_is_missing_in_the_callers_unit(service: FlaskClient, placed: dict[str, Any]) -> None:
    """A terminal 0.1 m over the ground: 12 in are asked of its lowest point (memory, the set's row A)."""
    low = {**placed["terminal"]}
    height = low.pop("height_above_grade")
    for again in ("point", "side", "from_end"):
        low.pop(again)
    low["z"] += 0.1 - height
    answer = checked(service, parts(placed) | {"terminal": low})
    (grade,) = [f for f in answer["findings"] if f["rule"] == "US21-A"]
    assert (grade["verdict"], answer["lawful_as_far_as_given"]) == ("fail", False)
    assert grade["required"] == pytest.approx(0.305)
    assert grade["short_by"] == pytest.approx(grade["required"] - grade["actual"]) == -grade["margin"]


def test_short_by_is_told_in_feet_too(service: FlaskClient) -> None:
    """A terminal whose centre is at the ground's level, in a survey in feet: 305 mm and its radius are missing."""
    at = sample()
    facade = service.post("/v1/clearances", json=at).get_json()["facades"][0]["surface"]
    ground = {"value": -8, "unit": "in"}
    design = {"heater": {"id": HEATER.id}, "terminal": {"facade": facade, "distance_along": 8, "z": ground}}
    answer = checked(service, design, {**at, "heaters": [HEATER.id]})
    (grade,) = [f for f in answer["findings"] if f["rule"] == "US21-A"]
    assert grade["short_by"] == pytest.approx((305 + HEATER.vent.terminal_radius_mm) / 304.8, abs=1e-3)
    assert answer["units"]["length"] == "ft"


def test_an_unknown_fact_is_named(service: FlaskClient, placed: dict[str, Any]) -> None:
    """A window beside the terminal of which nobody knows whether it opens: unknown, with the fact that is missing."""
    at = survey()
    x, y = placed["terminal"]["point"]
    wall = {"id": "next door", "start": [x - 0.3, y], "end": [x + 0.3, y]}
    window = {"id": "pane", "kind": "window", "from": wall["start"], "to": wall["end"], "sill": 0.5, "head": 2.9}
    at["site"]["neighbour_walls"] = [{**wall, "base": 0, "top": 3, "openings": [window]}]
    answer = checked(service, parts(placed, "terminal"), at)
    found = [f for f in answer["findings"] if f["object"] == "pane" and f["verdict"] == "unknown"]
    assert found and all("pane" in f["missing"] for f in found)
    assert not answer["lawful_as_far_as_given"]


def test_prices_of_a_part_are_judged_by_themselves(service: FlaskClient, placed: dict[str, Any]) -> None:
    """Unit prices, amounts and sum; what should be on the bill only the whole design tells."""
    priced = parts(placed, "mount", "cost")
    of_cost = {f["rule"] for f in checked(service, priced)["findings"] if f["subject"] == "cost"}
    assert of_cost == {"price.unit", "price.amount", "price.sum"}
    priced["cost"] = {**placed["cost"], "total": placed["cost"]["total"] + 10}
    broken = [f["rule"] for f in checked(service, priced)["findings"] if f["verdict"] == "fail"]
    assert broken == ["price.sum"]


def test_a_document_with_every_member_is_whole(service: FlaskClient, placed: dict[str, Any]) -> None:
    """Then a run that it lacks is missing, not left out."""
    without = {**placed, "routes": [r for r in placed["routes"] if r["service"] != "hot"]}
    answer = checked(service, without)
    assert "the hot run is missing" in [f["detail"] for f in answer["findings"] if f["verdict"] == "fail"]
    assert answer["not_given"] == []
    del without["cost"]
    partly = checked(service, without)
    assert partly["lawful_as_far_as_given"] and {"routes.hot", "cost"} == left_out(partly)


def test_a_heater_alone_is_no_design(service: FlaskClient, placed: dict[str, Any]) -> None:
    """Nothing would be judged; the pointer leads to the design."""
    response = service.post("/v1/checks", json={"survey": survey(), "design": parts(placed)})
    assert response.status_code == 422
    assert [(e["pointer"], e["code"]) for e in response.get_json()["errors"]] == [("#/design", "missing")]


def test_faults_of_a_part_point_into_it(service: FlaskClient, placed: dict[str, Any]) -> None:
    """Unknown wall and facade, all at once; contradictions within a part."""
    design = parts(placed, "mount", "terminal")
    wrong = design | {"mount": {**placed["mount"], "wall": "none"}, "terminal": {**placed["terminal"], "facade": "no"}}
    errors = service.post("/v1/checks", json={"survey": survey(), "design": wrong}).get_json()["errors"]
    assert [e["pointer"] for e in errors] == ["#/design/mount/wall", "#/design/terminal/facade"]
    twice = design | {"mount": {**placed["mount"], "room": "elsewhere"}}
    errors = service.post("/v1/checks", json={"survey": survey(), "design": twice}).get_json()["errors"]
    assert [(e["pointer"], e["code"]) for e in errors] == [("#/design/mount/room", "contradiction")]


def test_on_the_command_line(
    tmp_path: Path, placed: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    """Lawful as far as given ends with 4 and tells what is open; a failure with 1 and how much is missing."""
    (tmp_path / "s.json").write_text(json.dumps(survey()))
    (tmp_path / "d.json").write_text(json.dumps(parts(placed, "terminal")))
    low = {"facade": placed["terminal"]["facade"], "distance_along": placed["terminal"]["distance_along"], "z": 0.1}
    (tmp_path / "low.json").write_text(json.dumps(parts(placed) | {"terminal": low}))
    assert cli.main(["check", str(tmp_path / "s.json"), str(tmp_path / "d.json")]) == 4
    out = capsys.readouterr().out
    assert out.startswith("LAWFUL AS FAR AS GIVEN: the design is not whole\n")
    assert "\nNot given, not judged\n  mount: room, " in out
    assert cli.main(["check", str(tmp_path / "s.json"), str(tmp_path / "low.json")]) == 1
    out = capsys.readouterr().out
    assert out.startswith("NOT LAWFUL: ") and ", short by " in out


def test_which_vent_is_meant(service: FlaskClient) -> None:
    """By its name, else by the run, else the standard one, which is then told as an assumption."""
    at = json.loads((ROOT / "sample_plans/long_terrace.json").read_text("utf-8"))
    at["heaters"] = ["co-direct-120"]
    design = service.post("/v1/placements", json=at).get_json()["designs"][0]
    assert design["heater"]["vent"] == "cc_pp_80_125"
    assert checked(service, design, at)["lawful"]
    design["heater"].pop("vent")
    assert checked(service, design, at)["lawful"]
    answer = checked(service, parts(design, "terminal"), at)
    assert any("cc_pp_60_100" in a for a in answer["assumptions"])
    wall = {f["rule"]: f["required"] for f in answer["findings"]}["WALL"]
    named = {"heater": {"id": "co-direct-120", "vent": "cc_pp_80_125"}, "terminal": design["terminal"]}
    wider = {f["rule"]: f["required"] for f in checked(service, named, at)["findings"]}["WALL"]
    assert (wall, wider) == (pytest.approx(70 / 304.8, abs=1e-4), pytest.approx(80 / 304.8, abs=1e-4))


def test_a_vent_that_the_heater_is_not_listed_with(service: FlaskClient) -> None:
    """Named it is refused; a run of it fails."""
    at = json.loads((ROOT / "sample_plans/long_terrace.json").read_text("utf-8"))
    at["heaters"] = ["co-direct-120"]
    design = service.post("/v1/placements", json=at).get_json()["designs"][0]
    wrong = {**design, "heater": {**design["heater"], "vent": "pp3"}}
    refused = service.post("/v1/checks", json={"survey": at, "design": wrong})
    assert refused.status_code == 422 and refused.get_json()["errors"][0]["pointer"] == "#/design/heater/vent"
    design["heater"].pop("vent")
    run = next(r for r in design["routes"] if r["service"] == "vent")
    run["option"] = "pp3"
    assert ("vent.system", "vent", "pp3", "fail") in told(checked(service, design, at))


def twin_house() -> dict[str, Any]:
    """The coach house, were it not in British Columbia: two plain pipes win."""
    at: dict[str, Any] = json.loads((ROOT / "sample_plans/coach_house.json").read_text("utf-8"))
    at["site"]["amendments"] = []
    return at


@pytest.fixture(scope="module")
def twin(service: FlaskClient) -> dict[str, Any]:
    """Its design."""
    design: dict[str, Any] = service.post("/v1/placements", json=twin_house()).get_json()["designs"][0]
    return design


def test_an_intake_is_written_read_back_and_judged(service: FlaskClient, twin: dict[str, Any]) -> None:
    """Beside the exhaust by the listing's distance; as it was placed it is lawful, a shifted or missing one is not."""
    assert twin["intake"]["facade"] == twin["terminal"]["facade"] and twin["vent_system"]["intake"]["side"] == "left"
    assert twin["terminal"]["distance_along"] - twin["intake"]["distance_along"] == pytest.approx(0.305)
    answer = checked(service, twin, twin_house())
    assert answer["lawful"] and ("intake.apart", "intake", "F1", "pass") in told(answer)
    nearer = {"facade": "F1", "z": twin["intake"]["z"], "distance_along": twin["intake"]["distance_along"] + 0.1}
    assert ("intake.apart", "intake", "F1", "fail") in told(checked(service, {**twin, "intake": nearer}, twin_house()))
    bare = checked(service, {**twin, "intake": None}, twin_house())
    assert ("intake.given", "intake", "tw_pp_3", "fail") in told(bare)


def test_an_intake_is_a_part(service: FlaskClient, twin: dict[str, Any]) -> None:
    """Alone it is held against the rules of intakes; left out it stands under what was not given."""
    named = {"heater": {"id": "co-direct-199", "vent": "tw_pp_3"}}
    alone = checked(service, {**named, "intake": twin["intake"]}, twin_house())
    assert alone["lawful_as_far_as_given"] and "terminal" not in subjects(alone)
    assert {"IN-WALL", "CA-IN-f"} <= {f["rule"] for f in alone["findings"]}
    without = checked(service, {**named, "terminal": twin["terminal"]}, twin_house())
    assert "intake" in left_out(without) and "intake" not in subjects(without)


def test_clearances_tell_intakes_apart(service: FlaskClient) -> None:
    """A class of its own, with the rules on intakes alone."""
    answer = service.post("/v1/clearances", json=twin_house()).get_json()
    kinds = {c["name"]: c["terminal_of"] for c in answer["terminal_classes"]}
    assert kinds["co-direct-199 with tw_pp_3 (intake)"] == "intake"
    rules = {z["rule"] for r in answer["facades"] if r["applies_to"].endswith("(intake)") for z in r["zones"]}
    assert rules and all(rule.startswith(("IN-", "CA-IN")) for rule in rules)
