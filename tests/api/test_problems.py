"""Each problem type is produced once, as RFC 9457 (read) asks, and tells nothing of the inside."""

from __future__ import annotations

import json
import logging
from dataclasses import replace
from threading import Event, Thread
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug import Request
from werkzeug.test import TestResponse, create_environ, run_wsgi_app

from service.app import create_app
from service.http.problems import REGISTRY
from service.settings import Settings
from service.survey.model import Survey
from service.usecases.results import Placement
from tests.api import fakes
from tests.api.fakes import FAKES, sample

OPERATIONS = ("/v1/placements", "/v1/checks", "/v1/clearances", "/v1/gas-sizings")


def assert_problem(response: TestResponse, status: int, slug: str | None) -> dict[str, Any]:
    """The response is a problem of that type; its document."""
    assert response.status_code == status
    assert response.content_type == "application/problem+json"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    document: dict[str, Any] = response.get_json(force=True)
    assert document["status"] == status
    assert document["type"] == (f"/problems/{slug}" if slug else "about:blank")
    if slug:
        assert document["title"] == REGISTRY[slug].title
    assert "Traceback" not in response.text
    return document


@pytest.mark.parametrize("url", OPERATIONS)
@pytest.mark.parametrize("body", [b" ", b"{", b"[1,]", b'{"a":NaN}', b'{"a":1,"a":2}', b"\xff", b"[" * 40 + b"]" * 40])
def test_a_body_that_is_not_strict_json_is_a_400(client: FlaskClient, url: str, body: bytes) -> None:
    """Strict JSON only, on every operation."""
    assert_problem(client.post(url, data=body, content_type="application/json"), 400, "malformed-json")


@pytest.mark.parametrize("url", OPERATIONS)
def test_every_fault_is_told_at_once_with_its_pointer(client: FlaskClient, url: str) -> None:
    """Two faults far apart give two errors; in a check the pointers start at the survey's member."""
    survey = sample() | {"nonsense": 1}
    survey["gas"]["pressure"] = "seven"
    body = {"survey": survey, "design": {}} if url == "/v1/checks" else survey
    prefix = "#/survey" if url == "/v1/checks" else "#"
    errors = assert_problem(client.post(url, json=body), 422, "invalid-request")["errors"]
    assert {e["pointer"] for e in errors} == {f"{prefix}/nonsense", f"{prefix}/gas/pressure"}
    assert all(e["code"] and e["detail"] for e in errors)


def test_a_check_needs_both_members_and_no_other(client: FlaskClient) -> None:
    """The outermost level of a check is judged as strictly as the rest."""
    errors = assert_problem(client.post("/v1/checks", json={"survey": {}, "a/b": 1}), 422, "invalid-request")["errors"]
    assert [(e["pointer"], e["code"]) for e in errors] == [("#/design", "missing"), ("#/a~1b", "unknown_field")]
    assert_problem(client.post("/v1/checks", json=[1]), 422, "invalid-request")


def test_a_body_over_the_limit_is_a_413_that_names_the_limit(client: FlaskClient) -> None:
    """One byte past the limit."""
    limit = Settings().body_bytes
    for size in (limit + 1, 20_000_000):
        response = client.post("/v1/placements", data=b" " * size, content_type="application/json")
        document = assert_problem(response, 413, "limit-exceeded")
        assert (document["name"], document["given"], document["limit"]) == ("body_bytes", size, limit)


def test_a_plan_over_a_limit_is_a_413(client: FlaskClient) -> None:
    """One storey past the limit."""
    survey = sample()
    survey["storeys"] = survey["storeys"] * (Settings().storeys + 1)
    assert assert_problem(client.post("/v1/placements", json=survey), 413, "limit-exceeded")["name"] == "storeys"


@pytest.mark.parametrize(
    "headers",
    [
        {"Content-Type": "text/plain"},
        {"Content-Type": ""},
        {"Content-Type": "application/json; charset=utf-16"},
        {"Content-Type": "application/json", "Content-Encoding": "gzip"},
    ],
)
def test_the_media_type_is_judged_before_the_body(client: FlaskClient, headers: dict[str, str]) -> None:
    """A wrong media type is a 415 even where the body is bad as well."""
    assert_problem(client.post("/v1/placements", data=b"{", headers=headers), 415, "unsupported-media-type")


def test_utf8_may_be_said(client: FlaskClient) -> None:
    """A charset of utf-8 changes nothing."""
    data = json.dumps(sample())
    response = client.post("/v1/placements", data=data, content_type="application/json; charset=UTF-8")
    assert response.status_code == 200


@pytest.mark.parametrize("extra", [{}, {"HTTP_TRANSFER_ENCODING": "chunked", "wsgi.input_terminated": True}])
def test_a_body_without_length_is_a_411(app: Flask, extra: dict[str, Any]) -> None:
    """No Content-Length, chunked or not; a chunked body is refused, not cut."""
    environ = create_environ("/v1/placements", method="POST", data=b"{}", content_type="application/json")
    del environ["CONTENT_LENGTH"]
    response = TestResponse(*run_wsgi_app(app, environ | extra), Request(environ))
    assert_problem(response, 411, "length-required")


@pytest.mark.parametrize("url", ["/v1/limits", "/docs", "/metrics", "/healthz", "/openapi.json"])
def test_what_cannot_be_produced_is_a_406(client: FlaskClient, url: str) -> None:
    """An Accept header that takes nothing of ours."""
    assert_problem(client.get(url, headers={"Accept": "image/png"}), 406, "not-acceptable")
    assert client.get(url, headers={"Accept": "image/png, */*;q=0.1"}).status_code == 200


def test_405_names_the_allowed_methods(client: FlaskClient) -> None:
    """RFC 9110 section 15.5.6 (read): the response must have an Allow field."""
    response = client.get("/v1/placements")
    assert_problem(response, 405, None)
    assert set(response.headers["Allow"].split(", ")) == {"OPTIONS", "POST"}
    assert_problem(client.delete("/v1/heaters"), 405, None)


@pytest.mark.parametrize("url", ["/nowhere", "/v1/heaters/none", "/v1/rule-sets/common", "/v1/price-books/..",
                                 "/docs/x", "/docs/page.html", "/problems/none"])  # fmt: skip
def test_what_is_not_there_is_a_404(client: FlaskClient, url: str) -> None:
    """The framework's own refusals are problem documents too."""
    assert_problem(client.get(url), 404, None)


def test_no_query_parameter_is_taken(client: FlaskClient) -> None:
    """Unknown input is refused, never dropped."""
    assert_problem(client.get("/v1/heaters?units=us"), 422, "invalid-request")


def test_our_fault_is_a_500_with_an_id_that_is_in_the_log(caplog: pytest.LogCaptureFixture) -> None:
    """The caller learns an id and nothing else."""

    def broken(survey: Survey, settings: Settings) -> Placement:
        raise RuntimeError("secret of the inside")

    client = create_app(Settings(), replace(FAKES, place=broken)).test_client()
    with caplog.at_level(logging.ERROR):
        response = client.post("/v1/placements", json=sample())
    document = assert_problem(response, 500, "internal-error")
    assert document["incident"] in caplog.text
    assert "secret of the inside" in caplog.text
    assert "secret" not in response.text
    assert 'siting_internal_errors_total{kind="RuntimeError"} 1.0\n' in client.get("/metrics").text


def test_one_solve_too_many_is_a_503_with_retry_after() -> None:
    """While the only place is taken the next caller is turned away, and health still answers."""
    entered, leave = Event(), Event()

    def slow(survey: Survey, settings: Settings) -> Placement:
        entered.set()
        assert leave.wait(10)
        return fakes.place(survey, settings)

    app: Flask = create_app(Settings(concurrent_solves=1), replace(FAKES, place=slow))
    statuses: list[int] = []
    first = Thread(target=lambda: statuses.append(app.test_client().post("/v1/placements", json=sample()).status_code))
    first.start()
    try:
        assert entered.wait(10)
        response = app.test_client().post("/v1/clearances", json=sample())
        assert_problem(response, 503, "busy")
        assert int(response.headers["Retry-After"]) > 0
        assert app.test_client().get("/healthz").status_code == 200
    finally:
        leave.set()
        first.join(10)
    assert statuses == [200]
    assert app.test_client().post("/v1/clearances", json=sample()).status_code == 200


def test_not_ready_when_the_stored_survey_is_not_solved() -> None:
    """A service that cannot solve its own survey says so, once and for all."""
    client = create_app(Settings(), replace(FAKES, place=fakes.infeasible)).test_client()
    assert_problem(client.get("/readyz"), 503, "not-ready")
    assert client.get("/healthz").status_code == 200


def test_every_problem_type_explains_itself(client: FlaskClient) -> None:
    """Type URIs lead somewhere."""
    for slug, kind in REGISTRY.items():
        assert client.get(f"/problems/{slug}").get_json()["title"] == kind.title
