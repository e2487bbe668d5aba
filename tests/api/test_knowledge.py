"""What the service tells of itself: limits in force, counters, links; readiness is found out once."""

from __future__ import annotations

from dataclasses import fields, replace

from flask.testing import FlaskClient
from prometheus_client.parser import text_string_to_metric_families

from service.app import create_app
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
    assert 'siting_requests_total{endpoint="none",status="404"} 1.0\n' in text
    assert 'siting_requests_total{endpoint="operations.placements",status="200"} 1.0\n' in text
    assert 'siting_requests_total{endpoint="operations.placements",status="422"} 1.0\n' in text
    assert 'siting_solve_seconds_count{operation="placement",outcome="optimal"} 1.0\n' in text
    assert 'siting_solve_seconds_count{operation="placement",outcome="unanswered"} 1.0\n' in text
    assert 'siting_gap_ratio_bucket{le="0.0",outcome="optimal"} 1.0\n' in text
    assert 'siting_rejected_total{reason="invalid-request"} 1.0\n' in text
    assert f"siting_gate_places {Settings().concurrent_solves}.0\n" in text
    assert "siting_gate_taken 0.0\n" in text


def test_counters_are_in_the_text_format_of_the_field() -> None:
    """As the field's own parser reads it, whatever a scraper accepts beside plain text."""
    client = create_app(Settings(), FAKES).test_client()
    client.post("/v1/placements", json=sample())
    response = client.get("/metrics", headers={"Accept": "application/openmetrics-text;q=0.9,text/plain;q=0.5"})
    families = {f.name: f for f in text_string_to_metric_families(response.text)}
    assert response.content_type.startswith("text/plain; version=")
    (solved,) = (s for s in families["siting_solve_seconds"].samples if s.name == "siting_solve_seconds_count")
    assert (solved.labels, solved.value) == ({"operation": "placement", "outcome": "optimal"}, 1)


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
