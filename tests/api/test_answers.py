"""What the answers hold: reference points, units, margins, sums, and the way back of a design."""

from __future__ import annotations

import json
from copy import deepcopy
from dataclasses import replace
from math import cos, hypot, pi, sin
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import given
from hypothesis import strategies as st

from service.app import create_app
from service.building.build import build
from service.building.model import Frame
from service.design import Design, Finding, Verdict
from service.errors import InvalidRequest
from service.http.design_json import design_json
from service.http.design_schema import load_design
from service.http.findings_json import margin_mm
from service.http.quantities import Quantities
from service.http.schemas import load_survey
from service.settings import Settings
from service.survey.model import Point3, Survey, UnitSystem
from service.usecases.results import CheckReport
from tests.api import fakes
from tests.api.fakes import FAKES, sample

FOOT_MM = 304.8


def turned(document: Any, angle: float) -> Any:
    """The sample with every plan point turned about the origin; unit objects in points do not occur in it."""
    if isinstance(document, dict):
        return {key: turned(value, angle) for key, value in document.items()}
    if isinstance(document, list) and len(document) in (2, 3) and all(isinstance(v, int | float) for v in document):
        x, y = document[:2]
        return [x * cos(angle) - y * sin(angle), x * sin(angle) + y * cos(angle), *document[2:]]
    if isinstance(document, list):
        return [turned(value, angle) for value in document]
    return document


def there_and_back(survey: Survey) -> tuple[Design, Design, dict[str, Any]]:
    """A design, the same read back from its JSON, and that JSON."""
    building = build(survey)
    design = fakes.made_design(survey, building)
    written = design_json(design, building, Quantities(survey.units, building.frame, survey.prices.currency))
    return design, load_design(json.loads(json.dumps(written)), survey, building, Settings()), written


@pytest.mark.parametrize("angle", [0.0, pi / 2, 0.3, 1.234567, -0.02])
def test_a_design_is_read_back_exactly_however_the_plan_is_turned(angle: float) -> None:
    """Every whole millimetre of every point, in plans whose axes are not the survey's."""
    survey = load_survey(turned(sample(), angle), Settings())
    design, again, _ = there_and_back(survey)
    assert again == design


@given(
    st.tuples(*[st.integers(-500_000, 500_000)] * 3),
    st.floats(-pi, pi),
    st.sampled_from(UnitSystem),
)
def test_points_survive_both_unit_systems(point: Point3, angle: float, system: UnitSystem) -> None:
    """Any whole millimetre within the coordinate bound, any turn, feet and metres."""
    quantities = Quantities(system, Frame(angle), "USD")
    unit_mm = FOOT_MM if system is UnitSystem.US else 1000.0
    assert quantities.to_frame([v * unit_mm for v in quantities.point(point)]) == point


def test_contradicting_members_are_refused() -> None:
    """A member that only tells again must agree with what fixes the design."""
    survey = load_survey(sample(), Settings())
    building = build(survey)
    _, _, written = there_and_back(survey)
    for path, value in ((("mount", "room"), "attic"), (("terminal", "height_above_grade"), 99.0),
                        (("routes", 0, "length"), 0.5), (("heater", "condensing"), None)):  # fmt: skip
        changed = deepcopy(written)
        part: Any = changed
        for key in path[:-1]:
            part = part[key]
        part[path[-1]] = value
        with pytest.raises(InvalidRequest) as refused:
            load_design(changed, survey, building, Settings())
        assert [(f.pointer, f.code) for f in refused.value.faults] == [
            ("#/" + "/".join(map(str, path)), "contradiction")
        ]


def test_a_design_needs_only_what_fixes_it() -> None:
    """Without all that tells again, the design is the same."""
    survey = load_survey(sample(), Settings())
    design, _, written = there_and_back(survey)
    for part in (written["heater"], written["mount"], written["terminal"], written["cost"], *written["routes"]):
        for name in ("name", "input_max", "room", "from_corner", "point", "bottom_height", "from_end", "length",
                     "height_above_grade", "crossings", "by_trade", "currency", "distance_to_left_edge"):  # fmt: skip
            part.pop(name, None)
    assert load_design(written, survey, build(survey), Settings()) == design


def test_unknown_references_and_counts_are_faults() -> None:
    """Each with its pointer, all at once."""
    survey = load_survey(sample(), Settings())
    _, _, written = there_and_back(survey)
    written["heater"]["id"] = written["mount"]["wall"] = written["terminal"]["facade"] = "none"
    written["routes"][0]["surfaces"].append("wall")
    written["routes"].append(deepcopy(written["routes"][1]))
    with pytest.raises(InvalidRequest) as refused:
        load_design(written, survey, build(survey), Settings())
    assert [(f.pointer, f.code) for f in refused.value.faults] == [
        ("#/heater/id", "unknown_reference"),
        ("#/mount/wall", "unknown_reference"),
        ("#/terminal/facade", "unknown_reference"),
        ("#/routes/0/surfaces", "wrong_count"),
        ("#/routes/2/service", "duplicate"),
    ]


def test_an_answers_design_goes_into_a_check_as_it_is(client: FlaskClient) -> None:
    """What POST /v1/placements says, POST /v1/checks takes."""
    seen: list[Design] = []

    def check(survey: Survey, design: Design) -> CheckReport:
        seen.append(design)
        return fakes.check(survey, design)

    checker = create_app(Settings(), replace(FAKES, check=check)).test_client()
    design = client.post("/v1/placements", json=sample()).get_json()["designs"][0]
    assert checker.post("/v1/checks", json={"survey": sample(), "design": design}).status_code == 200
    survey = load_survey(sample(), Settings())
    assert seen == [fakes.made_design(survey, build(survey))]


def test_places_are_told_from_what_a_fitter_sees(client: FlaskClient) -> None:
    """Along the wall from the named corner, one comes to the vent line; along the facade, to the terminal."""
    design = client.post("/v1/placements", json=sample()).get_json()["designs"][0]
    mount, terminal = design["mount"], design["terminal"]
    for anchor, point, distance in (
        (mount["from_corner"]["point"], mount["point"], mount["distance_to_vent_line"]),
        (terminal["from_end"]["point"], terminal["point"], terminal["distance_along"]),
    ):
        assert hypot(point[0] - anchor[0], point[1] - anchor[1]) == pytest.approx(distance, abs=0.01)
    survey = load_survey(sample(), Settings())
    dx = survey.heaters[0].vent_dx_mm / FOOT_MM
    assert mount["distance_to_vent_line"] - mount["distance_to_left_edge"] == pytest.approx(dx, abs=1e-3)
    # Seen from the room the vent line lies to the right of the left-hand corner: the room is behind one's back.
    face = next(f for f in build(survey).faces if f.id == mount["wall"])
    inward = (-(face.end[1] - face.start[1]), face.end[0] - face.start[0])
    right = (-inward[1], inward[0])
    step = (mount["point"][0] - mount["from_corner"]["point"][0], mount["point"][1] - mount["from_corner"]["point"][1])
    assert right[0] * step[0] + right[1] * step[1] > 0
    grade_ft = -8 / 12
    assert terminal["height_above_grade"] == pytest.approx(terminal["z"] - grade_ft, abs=1e-3)


def test_powers_are_told_without_binary_dust(client: FlaskClient) -> None:
    """120,000 Btu/h is that number."""
    design = client.post("/v1/placements", json=sample()).get_json()["designs"][0]
    power = design["heater"]["input_max"]
    assert power == round(power)


def test_sums_can_be_redone_by_hand(client: FlaskClient) -> None:
    """Lines, trades and total agree."""
    cost = client.post("/v1/placements", json=sample()).get_json()["designs"][0]["cost"]
    assert sum(line["amount"] for line in cost["lines"]) == pytest.approx(cost["total"])
    assert sum(part["amount"] for part in cost["by_trade"]) == pytest.approx(cost["total"])
    assert [part["trade"] for part in cost["by_trade"]] == ["vent", "gas"]


def test_the_smallest_margin_comes_first_and_tight_ones_are_marked(client: FlaskClient) -> None:
    """15 mm over 305 mm is within what a tape tells; a rule without a distance comes last."""
    findings = client.post("/v1/placements", json=sample()).get_json()["designs"][0]["clearances"]
    assert [f["rule"] for f in findings] == ["T-near", "T-far", "V-most", "T-use"]
    assert [f["verify_on_site"] for f in findings] == [True, False, False, False]
    assert findings[0]["margin"] == pytest.approx(15 / FOOT_MM, abs=1e-4)


def test_broken_rules_come_first_in_a_check(client: FlaskClient) -> None:
    """Then what is unknown, with the fact that is missing."""
    design = client.post("/v1/placements", json=sample()).get_json()["designs"][0]
    report = client.post("/v1/checks", json={"survey": sample(), "design": design}).get_json()
    assert [f["verdict"] for f in report["findings"]] == ["fail", "unknown", "pass"]
    assert report["lawful"] is False
    assert report["findings"][0]["margin"] == pytest.approx(-500 / FOOT_MM, abs=1e-4)


@pytest.mark.parametrize(
    ("verdict", "required", "actual", "margin"),
    [
        (Verdict.PASS, 300, 320, 20),
        (Verdict.PASS, 12000, 4000, 8000),
        (Verdict.FAIL, 300, 290, -10),
        (Verdict.FAIL, 12000, 12500, -500),
        (Verdict.ADVICE, 300, 290, -10),
        (Verdict.PASS, None, 290, None),
    ],
)
def test_margins_are_positive_when_kept(
    verdict: Verdict, required: int | None, actual: int | None, margin: int | None
) -> None:
    """Whether a rule asks for at least or at most."""
    assert margin_mm(Finding("r", verdict, "s", "o", "d", required, actual)) == margin


def test_zones_and_rings_run_from_the_left(client: FlaskClient) -> None:
    """On a wall the left-hand corner is where the face's own count ends; without end is null."""
    chart = client.post("/v1/clearances", json=sample()).get_json()
    facade, wall = chart["facades"][0], chart["walls"][0]
    assert (facade["zones"][0]["from_distance"], facade["zones"][0]["to_z"]) == (None, None)
    assert facade["zones"][0]["to_distance"] == pytest.approx(500 / FOOT_MM, abs=1e-4)
    face = build(load_survey(sample(), Settings())).faces[0]
    zone = wall["zones"][0]
    assert zone["from_distance"] == pytest.approx((face.length_mm - 900) / FOOT_MM, abs=1e-4)
    assert zone["to_distance"] == pytest.approx((face.length_mm - 100) / FOOT_MM, abs=1e-4)
    assert zone["radius"] == pytest.approx(305 / FOOT_MM, abs=1e-4)
    assert wall["free_rings"][0][1][0] == pytest.approx((face.length_mm - 1000) / FOOT_MM, abs=1e-4)


def test_the_same_request_gives_the_same_bytes(client: FlaskClient) -> None:
    """Also where the survey's members come in another order."""
    first = client.post("/v1/placements", json=sample())
    again = client.post("/v1/placements", data=json.dumps(dict(reversed(sample().items()))),
                        content_type="application/json")  # fmt: skip
    assert first.data == again.data


def test_infeasible_is_an_answer(client: FlaskClient) -> None:
    """200, no design, and which rules take how much."""
    app = create_app(Settings(), replace(FAKES, place=fakes.infeasible))
    response = app.test_client().post("/v1/placements", json=sample())
    answer = response.get_json()
    assert (response.status_code, answer["status"], answer["designs"], answer["cost"]) == (200, "infeasible", [], None)
    assert answer["coverage"][0]["by_rule"][0] == {
        "rule": "US21-A",
        "covered": pytest.approx(107.639, abs=0.01),
        "share": 0.5,
        "closed_length": None,
    }
