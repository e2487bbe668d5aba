"""A vent over the roof in the answers: read back by a check, whole and in part, and shown by clearances."""

from __future__ import annotations

import copy
import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from service.app import real_operations
from service.errors import InvalidRequest
from service.http import exchange
from service.settings import Settings
from service.summary import clearances_text, placement_text

PLAN = Path(__file__).parents[2] / "sample_plans" / "top_floor_flat.json"
SETTINGS = Settings(solver_seconds=60)
OPERATIONS = real_operations()
Json = dict[str, Any]


def survey() -> Json:
    """The flat, a fresh copy."""
    document: Json = json.loads(PLAN.read_bytes())
    document["preferences"]["alternatives"] = 1
    return document


@cache
def _answer() -> str:
    return json.dumps(exchange.placement(json.dumps(survey()).encode(), SETTINGS, OPERATIONS))


def design() -> Json:
    """The answered design, a fresh copy."""
    found: Json = json.loads(_answer())["designs"][0]
    return found


def checked(given: Json) -> Json:
    """What a check says of a design of the flat."""
    body = json.dumps({"survey": survey(), "design": given}).encode()
    return exchange.check_report(body, SETTINGS, OPERATIONS)


def test_the_design_is_read_back_and_lawful() -> None:
    """As answered, and again as read and written."""
    assert checked(design())["lawful"]


def test_terminal_in_words_and_figures() -> None:
    """Plane, plan point, heights over roof and ceiling; one way through the roof, priced with its terminal."""
    found = design()
    terminal, vent = found["terminal"], found["routes"][0]
    assert terminal["roof"] == "roof/front" and terminal["pitch"] == 7
    assert vent["surfaces"][-1] == "roof" and vent["crossings"]["roof"] == 1 and vent["ends_at"] == "roof/front"
    assert terminal["z"] == vent["points"][-1][2] and terminal["point"] == vent["points"][-1][:2]
    assert terminal["height_above_ceiling"] == pytest.approx(terminal["z"] - 8.7)
    keys = {line["key"] for line in found["cost"]["lines"]}
    assert {"vent.roof_penetration", "vent.cc_ss_3_5.roof_terminal"} <= keys
    assert not keys & {"vent.outer_wall", "vent.cc_ss_3_5.terminal"}
    items = [part["item"] for part in found["vent_system"]["parts"]]
    assert any("flashing" in i for i in items) and any("fire stop in the ceiling" in i for i in items)
    assert "up at" in placement_text(json.loads(_answer()))


def test_terminal_alone() -> None:
    """Heater and terminal: lawful as far as given; moved beside the roof window it fails by name."""
    part = {k: design()[k] for k in ("heater", "terminal")}
    assert checked(part)["lawful_as_far_as_given"] and not checked(part)["lawful"]
    x, y = part["terminal"]["point"]
    moved = {"roof": "roof/front", "point": [x, y - 0.5], "z": part["terminal"]["z"]}
    broken = [f for f in checked(part | {"terminal": moved})["findings"] if f["verdict"] == "fail"]
    assert {(f["rule"], f["object"]) for f in broken} == {("CA-g3", "roof-window")}


@pytest.mark.parametrize(
    ("terminal", "fault"),
    [
        ({"roof": "roof/nowhere", "point": [3, 4.3], "z": 12}, ("#/design/terminal/roof", "unknown_reference")),
        ({"roof": "roof/front", "z": 12}, ("#/design/terminal/point", "missing")),
        ({"z": 12}, ("#/design/terminal/facade", "missing")),
        ({"roof": "roof/front", "facade": "F1", "point": [3, 4], "z": 12},
         ("#/design/terminal/facade", "contradiction")),
        ({"roof": "roof/front", "point": [3], "z": 12}, ("#/design/terminal/point", "wrong_type")),
        ({"roof": "roof/front", "point": [3, 4.3], "z": 12, "pitch": 5}, ("#/design/terminal/pitch", "contradiction")),
    ],
)  # fmt: skip
def test_faulty_terminals(terminal: Json, fault: tuple[str, str]) -> None:
    """Each fault with its place."""
    with pytest.raises(InvalidRequest) as caught:
        checked({"heater": design()["heater"], "terminal": terminal})
    assert fault in {(f.pointer, f.code) for f in caught.value.faults}


def test_a_run_that_begins_elsewhere_or_passes_a_room_is_refused() -> None:
    """The last piece goes straight up from the ceiling that the run is at."""
    given = design()
    for change in (lambda p: p[-2].__setitem__(2, p[-2][2] + 0.4), lambda p: p[-1].__setitem__(0, p[-1][0] + 0.3)):
        spoiled = copy.deepcopy(given)
        change(spoiled["routes"][0]["points"])
        spoiled.pop("clearances")
        for told in ("length", "crossings"):
            spoiled["routes"][0].pop(told)
        report = checked(spoiled)
        assert "route.roof" in {f["rule"] for f in report["findings"] if f["verdict"] == "fail"}


def test_the_bill_counts_the_roof_apart() -> None:
    """A bill without the way through the roof is refused."""
    given = design()
    lines = given["cost"]["lines"]
    gone = next(x for x in lines if x["key"] == "vent.roof_penetration")
    given["cost"] = {"lines": [x for x in lines if x is not gone], "total": given["cost"]["total"] - gone["amount"]}
    broken = [f for f in checked(given)["findings"] if f["verdict"] == "fail"]
    assert any("no line for vent.roof_penetration" in f["detail"] for f in broken)


def test_clearances_show_the_roof() -> None:
    """Each plane once for each class of terminal, with what forbids and what is free, from its corner."""
    answer = exchange.clearance_map(json.dumps(survey()).encode(), SETTINGS, OPERATIONS)
    roofs = answer["roofs"]
    assert {r["surface"] for r in roofs} == {"roof/front", "roof/rear"} and {r["kind"] for r in roofs} == {"roof"}
    assert len(roofs) == 2 * len(answer["terminal_classes"])
    front = next(r for r in roofs if r["surface"] == "roof/front")
    assert front["total"] == pytest.approx(42) and 0 < front["free"] < front["total"]
    assert {"ROOF-WALL", "CA-g3", "WALL"} <= {z["rule"] for z in front["zones"]}
    xs = [p[0] for ring in front["free_rings"] for p in ring]
    assert min(xs) == pytest.approx(2.519, abs=0.01) and max(xs) == pytest.approx(4.481, abs=0.01)
    assert "roof/front (roof)" in clearances_text(answer)
