"""What the service tells of itself: limits in force, counters, links; readiness is found out once."""

from __future__ import annotations

from dataclasses import fields, replace

from flask.testing import FlaskClient

from service.app import create_app
from service.http.metrics import Metrics
from service.settings import Settings
from service.survey.model import Survey
from service.usecases.results import Placement
from tests.api import fakes
from tests.api.fakes import FAKES, sample


def test_every_limit_is_told_with_the_value_in_force() -> None:
    """Also where the environment lowered it."""
    settings = Settings.from_environment({"SITING_ROOMS": "7"})
    told = create_app(settings, FAKES).test_client().get("/v1/limits").get_json()["limits"]
    set_by = {r["name"]: r["limit"] for r in told if r["setting"] == f"SITING_{r['name'].upper()}"}
    assert set_by == {f.name: getattr(settings, f.name) for f in fields(settings)}
    assert [r["name"] for r in told if r["setting"] is None] == ["skew_wall_directions", "room_count_times_mm3"]
    assert next(r["limit"] for r in told if r["name"] == "rooms") == 7
    assert all(r["unit"] and r["text"] for r in told)


def test_counters_count_and_hold_no_text_of_a_caller() -> None:
    """Closed sets only: an unknown path does not become a label."""
    client = create_app(Settings(), FAKES).test_client()
    client.get("/a-path-of-the-callers-own")
    client.post("/v1/placements", json=sample())
    client.post("/v1/placements", json={})
    text = client.get("/metrics").text
    assert "callers-own" not in text
    assert 'responses_total{endpoint="none",status="404"} 1\n' in text
    assert 'responses_total{endpoint="operations.placements",status="200"} 1\n' in text
    assert 'responses_total{endpoint="operations.placements",status="422"} 1\n' in text
    assert 'operations_total{operation="placement",outcome="optimal"} 1\n' in text


def test_large_counts_keep_every_digit() -> None:
    """A counter is no float to be shortened."""
    metrics = Metrics()
    metrics.count("things", 123_456_789)
    assert metrics.text() == "things_total 123456789\n"


def test_readiness_is_found_out_once() -> None:
    """The stored survey is sound and is solved at most once a process."""
    solved: list[Survey] = []

    def place(survey: Survey, settings: Settings) -> Placement:
        solved.append(survey)
        return fakes.place(survey, settings)

    client = create_app(Settings(), replace(FAKES, place=place)).test_client()
    assert [client.get("/readyz").get_json() for _ in range(3)] == [{"status": "ready"}] * 3
    assert len(solved) == 1


def test_the_front_page_leads_on(client: FlaskClient) -> None:
    """Documentation and description are one link away."""
    index = client.get("/").get_json()
    assert client.get(index["documentation"]).status_code == 200
    assert client.get(index["description"]).get_json()["openapi"].startswith("3.1")


def test_head_is_answered_like_get(client: FlaskClient) -> None:
    """RFC 9110 section 9.3.2 (read): the same header fields, no content."""
    head, get = client.head("/v1/heaters"), client.get("/v1/heaters")
    assert (head.status_code, head.data, head.headers["ETag"]) == (200, b"", get.headers["ETag"])
