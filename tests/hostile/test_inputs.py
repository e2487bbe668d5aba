"""Hostile inputs through the whole service: answered or refused, never a fault of ours, and the service goes on."""

from __future__ import annotations

import json
import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st

from service.app import create_app
from service.building.build import build
from service.errors import InvalidRequest, LimitExceeded, MalformedJson
from service.http import strict_json
from service.http.schemas import load_survey
from tests.api.fakes import FAKES
from tests.hostile.corpus import BODIES, plans
from tests.hostile.mutations import askew, mutated, to_the_corner
from tests.hostile.mutations import plans as sample_plans
from tests.hostile.schema import trials
from tests.hostile.trial import SETTINGS, Tally, hostile_client, tried
from tests.property.depth import deep

QUICK = ("gas-sizings", "hot-water-demands")
SOLVED = ("placements", "sheets")
PLANS = dict(plans())
CHOSEN = random.Random(8).sample(sorted(PLANS), deep(8))[: deep(8, 5)]

json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


@pytest.fixture(scope="module")
def client() -> Iterator[FlaskClient]:
    """The real service with little time, its solves in this process."""
    with hostile_client() as made:
        yield made


@pytest.mark.parametrize("path", ["placements", "checks", "clearances", *QUICK, "sheets", "verifications"])
def test_bodies_that_are_no_plan(client: FlaskClient, path: str) -> None:
    """Broken, deep, long, in other encodings."""
    tally = Tally()
    for name, body in BODIES.items():
        assert tried(client, f"/v1/{path}", body, name, tally) in (400, 413, 422)
    assert tally.inputs == len(BODIES)


@pytest.mark.parametrize("name", CHOSEN)
def test_plans_made_to_do_harm(client: FlaskClient, name: str) -> None:
    """Degenerate, near-touching, slivers, slow."""
    body = json.dumps(PLANS[name]).encode()
    for path in (*QUICK, *SOLVED):
        tried(client, f"/v1/{path}", body, name, Tally())


MOVED = (*map(askew, (2, 19, 43, 52, 1000007)), *map(to_the_corner, (2, 57)))


@pytest.mark.parametrize("made", MOVED, ids=lambda m: m[0])
def test_corners_out_of_line_and_openings_that_reach_corners(client: FlaskClient, made: tuple[str, object]) -> None:
    """Each of these once ended in a design that our own check refused."""
    name, document = made
    assert tried(client, "/v1/placements", json.dumps(document).encode(), name, Tally()) in (200, 422)


def boxed_in() -> tuple[str, object]:
    """Something stands before the wall right where a pipe under the ceiling comes to it."""
    plan = json.loads(dict(sample_plans())["far_bath_bungalow"])
    box = [[38.03, 16.51], [40, 16.51], [40, 18.49], [38.03, 18.49]]
    plan["storeys"][0].setdefault("keep_outs", []).append(
        {"id": "box", "kind": "cupboard", "outline": box, "base": 7.43, "top": 7.77}
    )
    return "a pipe's end boxed in", plan


def piped_outside(slope: float, out: float) -> tuple[str, object]:
    """The east wall so many feet a foot out of line, and before it, outdoors, both water pipes."""
    plan = json.loads(dict(sample_plans())["stucco_bungalow"])
    plan["storeys"][0]["keep_outs"] = []
    for points in _points([plan[name] for name in ("storeys", "gas", "water", "receptacles")]):
        points[0] += slope * points[1] if points[0] == 26 else 0
    for line in (*plan["water"]["cold"], *plan["water"]["hot"]):
        for point in line["points"]:
            point[0] += out
    return f"pipes {out} ft outside a wall out of line by {slope}", plan


def _points(value: object) -> Iterator[list[float]]:
    items = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    if isinstance(value, list) and len(value) in (2, 3) and all(isinstance(v, int | float) for v in value):
        yield value
    for item in items:
        yield from _points(item)


HAIRLINE, OTHER_STOREY, NO_PANEL = map(mutated, (1002595, 1004704, 1006074))
ENDS = (mutated(508351), HAIRLINE, OTHER_STOREY, boxed_in(), *(piped_outside(slope, 0.9) for slope in (0, 0.03, 0.2)))


@pytest.mark.parametrize("made", ENDS, ids=lambda m: m[0])
def test_pipes_that_end_in_odd_places(made: tuple[str, object]) -> None:
    """Each of these once ended in a run that our own check refused: a stub longer than from its wall, one down a wall
    through what stands there, a way in through a wall and out again that was an elbow short, one back through the wall
    between rooms that overlap by 3 mm, one from the room below to a panel that hangs beside no room of its storey."""
    name, document = made
    client = create_app(replace(SETTINGS, solver_seconds=30)).test_client()
    answer = client.post("/v1/placements", json=document)
    assert answer.status_code == 200 and answer.json is not None, (name, answer.text[:300])
    assert answer.json["designs"]


def test_a_dwelling_without_outlet_or_panel_has_no_design() -> None:
    """Its panel stands in a neighbour's rooms. This once was a fault of ours."""
    client = create_app(replace(SETTINGS, solver_seconds=30)).test_client()
    answer = client.post("/v1/placements", json=NO_PANEL[1])
    assert answer.status_code == 200 and answer.json is not None
    assert answer.json["status"] == "infeasible" and not answer.json["designs"]
    assert any("flat-2 has no lawful design" in w for w in answer.json["warnings"])


@settings(max_examples=deep(60), deadline=None)
@given(seed=st.integers(0, 2**32))
def test_almost_good_plans_are_read_or_refused_with_places(seed: int) -> None:
    """One to four small, large or odd changes in a sample plan, read and built."""
    _, document = mutated(seed)
    try:
        build(load_survey(strict_json.loads(json.dumps(document).encode(), SETTINGS.depth), SETTINGS))
    except (InvalidRequest, LimitExceeded, MalformedJson) as refusal:
        assert str(refusal)


@settings(max_examples=deep(100), deadline=None)
@given(value=json_values)
def test_any_json_is_read_or_refused(value: object) -> None:
    """On every operation that reads a survey."""
    body = json.dumps(value).encode()
    for path in ("placements", "checks", "gas-sizings", "hot-water-demands", "verifications"):
        tried(INTAKE, f"/v1/{path}", body, "any JSON", Tally())


@settings(max_examples=deep(300), deadline=None)
@given(body=st.binary(max_size=200))
def test_any_bytes_are_one_json_text_or_malformed(body: bytes) -> None:
    """What is read is what the standard library reads; nothing else is raised."""
    try:
        value = strict_json.loads(body, 32)
    except MalformedJson:
        return
    assert value == json.loads(body.decode())


def test_the_whole_interface_from_its_own_description() -> None:
    """Every operation; every answer is one that is described."""
    counted: Counter[str] = Counter()
    for trial in trials(create_app(SETTINGS, FAKES), deep(2, 1), 1, counted):
        trial()
    assert len(counted) >= 20 and min(counted.values()) >= 1


INTAKE = create_app(SETTINGS, FAKES).test_client()
