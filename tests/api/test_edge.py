"""The door: keys, web pages of other origins, header fields, and what the log tells."""

from __future__ import annotations

import io
import json
import logging
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from service import cli
from service.app import create_app
from service.http import keys
from service.http.edge import Edge
from service.http.logs import JsonLines
from service.settings import Settings
from service.survey.model import Survey
from service.usecases.results import Placement
from tests.api.fakes import FAKES, sample
from tests.api.test_problems import assert_problem

PAGE = "http://127.0.0.1:5000"
GUARDED = ("/v1/heaters", "/v1/limits", "/metrics")
OPEN = ("/", "/healthz", "/readyz", "/docs", "/openapi.json", "/problems/busy")


@pytest.fixture
def key() -> str:
    """A caller's key."""
    return keys.new_key()


@pytest.fixture
def guarded(key: str, tmp_path: Path) -> FlaskClient:
    """Service whose file holds that key among others."""
    file = tmp_path / "keys"
    lines = ["# callers", "", keys.line_of("first", keys.new_key()), keys.line_of("office", key)]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return create_app(Settings(), FAKES, Edge(api_keys=file)).test_client()


@pytest.mark.parametrize("url", GUARDED)
def test_no_key_no_answer(guarded: FlaskClient, key: str, url: str) -> None:
    """RFC 9110 section 15.5.2 (read): a 401 must tell the scheme; a wrong key is told no more than none."""
    wrong = ("", "Bearer", "Bearer ", f"Basic {key}", f"Bearer {key}x", f"Bearer {key[:-1]}", "Bearer \udcff")
    for given in wrong:
        response = guarded.get(url, headers={"Authorization": given} if given else {})
        assert_problem(response, 401, "unauthorised")
        assert response.headers["WWW-Authenticate"].startswith("Bearer ")
    assert guarded.get(url, headers={"Authorization": f"bearer {key}"}).status_code == 200


def test_the_key_is_judged_before_the_body(guarded: FlaskClient, key: str) -> None:
    """Nothing is read for a stranger."""
    assert_problem(guarded.post("/v1/placements", data=b"{"), 401, "unauthorised")
    answer = guarded.post("/v1/placements", json=sample(), headers={"Authorization": f"Bearer {key}"})
    assert answer.status_code == 200


@pytest.mark.parametrize("url", OPEN)
def test_health_and_documentation_need_no_key(guarded: FlaskClient, url: str) -> None:
    """A load balancer has none."""
    assert guarded.get(url).status_code == 200


@pytest.mark.parametrize("content", ["", "# nobody\n", "office sha256 abc\n", "office md5 " + "0" * 64, "a secret\n"])
def test_a_file_of_keys_that_is_not_understood_keeps_the_service_from_starting(tmp_path: Path, content: str) -> None:
    """Neither open to all nor shut to all by mistake."""
    file = tmp_path / "keys"
    file.write_text(content, encoding="utf-8")
    with pytest.raises(ValueError, match="keys"):
        create_app(Settings(), FAKES, Edge(api_keys=file))


def test_the_command_line_makes_keys(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """What it prints opens the door; the line does not hold the key."""
    assert cli.main(["new-key", "office"]) == 0
    told = dict(line.split(None, 1) for line in capsys.readouterr().out.splitlines())
    assert told["key"] not in told["line"] and len(told["key"]) >= 43
    file = tmp_path / "keys"
    file.write_text(told["line"], encoding="utf-8")
    assert keys.read(file).owner(told["key"]) == "office"
    assert cli.main(["new-key", "two words"]) == 2


def preflight(client: FlaskClient, origin: str) -> dict[str, str]:
    """Header fields of the answer to what a browser asks before it sends JSON to another origin."""
    asked = {"Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "content-type,authorization"}
    return dict(client.options("/v1/placements", headers={"Origin": origin, **asked}).headers)


def test_no_web_page_of_another_origin_may_ask_by_default(client: FlaskClient) -> None:
    """Fetch standard (from memory): without Access-Control-Allow-Origin a browser keeps the answer from the page."""
    assert not [name for name in preflight(client, PAGE) if name.startswith("Access-Control")]
    response = client.get("/v1/heaters", headers={"Origin": PAGE})
    assert not [name for name in dict(response.headers) if name.startswith("Access-Control")]


def test_origins_that_are_let_in_may_ask_and_no_others(guarded: FlaskClient, key: str, tmp_path: Path) -> None:
    """Exactly those, without cookies, errors included; a browser's question beforehand needs no key."""
    edge = Edge(api_keys=tmp_path / "keys", cors_origins=(PAGE,))
    client = create_app(Settings(), FAKES, edge).test_client()
    told = preflight(client, PAGE)
    assert told["Access-Control-Allow-Origin"] == PAGE
    assert {"content-type", "authorization"} <= set(told["Access-Control-Allow-Headers"].lower().split(", "))
    assert "Access-Control-Allow-Credentials" not in told
    for other in ("http://127.0.0.1", PAGE + "0", "null", "https://127.0.0.1:5000"):
        assert "Access-Control-Allow-Origin" not in preflight(client, other)
    refused = client.get("/v1/heaters", headers={"Origin": PAGE})
    assert (refused.status_code, refused.headers["Access-Control-Allow-Origin"]) == (401, PAGE)
    assert "Origin" in refused.headers["Vary"]
    assert "Access-Control-Allow-Origin" not in client.get("/metrics", headers={"Origin": PAGE}).headers


@pytest.mark.parametrize("origin", ["*", "null", "127.0.0.1:5000", PAGE + "/", "http://localhost.*", "file://x"])
def test_patterns_and_paths_are_no_origins(origin: str) -> None:
    """A typing error opens nothing."""
    with pytest.raises(ValueError, match="EDGE_CORS_ORIGINS"):
        Edge.from_environment({"EDGE_CORS_ORIGINS": f"{PAGE}, {origin}"})


def test_the_environment_sets_the_door() -> None:
    """Empty counts as not given; what is unknown is refused."""
    told = {"EDGE_API_KEYS": "keys", "EDGE_CORS_ORIGINS": f"{PAGE}, {PAGE}1", "EDGE_LOG_LEVEL": "warning", "OTHER": "x"}
    assert Edge.from_environment(told) == Edge(Path("keys"), (PAGE, PAGE + "1"), "WARNING")
    assert Edge.from_environment({"EDGE_API_KEYS": "", "EDGE_LOG_ERRORS": ""}) == Edge()
    for wrong in ({"EDGE_KEYS": "keys"}, {"EDGE_LOG_LEVEL": "loud"}, {"EDGE_LOG_ERRORS": "some"}):
        with pytest.raises(ValueError, match="EDGE_"):
            Edge.from_environment(wrong)


@pytest.mark.parametrize("url", ["/healthz", "/v1/heaters", "/docs", "/nowhere", "/v1/placements"])
def test_every_answer_has_the_security_headers(client: FlaskClient, url: str) -> None:
    """Refusals too; a page keeps its own policy, and none lets anything in from elsewhere."""
    told = client.get(url).headers
    assert told["X-Content-Type-Options"] == "nosniff"
    assert (told["X-Frame-Options"], told["Referrer-Policy"]) == ("DENY", "no-referrer")
    assert told["Content-Security-Policy"].startswith("default-src 'none'")
    assert "http" not in told["Content-Security-Policy"]


@pytest.fixture
def log() -> Iterator[io.StringIO]:
    """What the service writes to its log, as it is set up by default."""
    out = io.StringIO()
    handler, logger = logging.StreamHandler(out), logging.getLogger("service")
    handler.setFormatter(JsonLines())
    before = logger.level
    logger.addHandler(handler)
    logger.setLevel(logging.INFO)
    yield out
    logger.removeHandler(handler)
    logger.setLevel(before)


def test_one_line_a_request_with_its_id(guarded: FlaskClient, key: str, log: io.StringIO) -> None:
    """The caller's own id if it is fit for a log, else a new one; whose key it was, how it ended."""
    headers = {"Authorization": f"Bearer {key}", "X-Request-Id": "job-7.a"}
    response = guarded.post("/v1/placements", json=sample(), headers=headers)
    line = json.loads(log.getvalue())
    told = {"request": "job-7.a", "endpoint": "operations.placements", "status": 200, "key": "office", "gap": 0.0}
    assert {name: line[name] for name in told} == told
    assert (line["outcome"], line["bytes_out"]) == ("optimal", len(response.data))
    assert response.headers["X-Request-Id"] == "job-7.a"
    assert key not in log.getvalue()


@pytest.mark.parametrize("given", ["", "two words", "x" * 65, '{"a":1}', "\u00e9"])
def test_an_id_that_is_not_fit_for_a_log_is_replaced(client: FlaskClient, given: str) -> None:
    """Nothing that a caller writes gets into the log as it is."""
    told = client.get("/healthz", headers={"X-Request-Id": given}).headers["X-Request-Id"]
    assert told != given and len(told) == 16


def test_no_plan_data_in_the_log_even_when_we_fail(log: io.StringIO) -> None:
    """Names, figures and the text of exceptions stay out; where it happened is told."""

    def broken(survey: Survey, settings: Settings) -> Placement:
        try:
            raise KeyError(survey.name)
        except KeyError as error:
            raise RuntimeError(f"no place in {survey.name}") from error

    client = create_app(Settings(), replace(FAKES, place=broken)).test_client()
    survey = sample() | {"name": "Hidden house"}
    client.post("/v1/placements", json=survey)
    client.post("/v1/placements", json=survey | {"gas": "Hidden pipe"})
    client.get("/v1/heaters/Hidden?Hidden=Hidden")
    assert "Hidden" not in log.getvalue()
    fault = next(line for line in map(json.loads, log.getvalue().splitlines()) if "error" in line)
    assert [e["kind"] for e in fault["error"]] == ["RuntimeError", "KeyError"]
    assert any(place.startswith("tests/api/test_edge.py:") for place in fault["error"][0]["at"])
    assert fault["request"]


def test_an_operator_may_ask_for_the_text_of_errors() -> None:
    """By EDGE_LOG_ERRORS=full only."""
    record = logging.LogRecord("service", logging.ERROR, "", 1, "failed", None, None)
    try:
        raise ValueError("Hidden house")
    except ValueError as error:
        record.exc_info = (ValueError, error, error.__traceback__)
    assert "Hidden house" in JsonLines(full=True).format(record)
    assert "Hidden house" not in JsonLines().format(record)
