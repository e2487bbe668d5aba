"""With the service's own use cases: what it places, it accepts; over HTTP, on the command line, in feet and metres."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from math import cos, pi, sin
from pathlib import Path
from typing import Any

import pytest
import requests
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from tests.api.fakes import SAMPLE, sample
from tests.unit.survey_documents import smallest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def service() -> FlaskClient:
    """The whole service without a socket."""
    return create_app(Settings()).test_client()


def turned(document: Any, angle: float) -> Any:
    """The plan turned about the origin."""
    if isinstance(document, dict):
        return {key: turned(value, angle) for key, value in document.items()}
    if isinstance(document, list) and len(document) in (2, 3) and all(isinstance(v, int | float) for v in document):
        x, y = document[:2]
        return [x * cos(angle) - y * sin(angle), x * sin(angle) + y * cos(angle), *document[2:]]
    if isinstance(document, list):
        return [turned(value, angle) for value in document]
    return document


def test_the_stored_survey_is_solved(service: FlaskClient) -> None:
    """Readiness with the real use cases."""
    assert service.get("/readyz").get_json(force=True) == {"status": "ready"}


def smoke() -> dict[str, Any]:
    """The survey in metres that ships."""
    path = ROOT / "service" / "http" / "static" / "smoke_survey.json"
    document: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return document


def high() -> dict[str, Any]:
    """The sample with a ceiling of nine feet: existing pipes then run below it, not along it."""
    document = sample()
    document["storeys"][0]["ceiling"] = 9
    return document


SURVEYS = {"feet": sample(), "metres": smoke(), "turned": turned(smoke(), 0.37), "high": high()}


@pytest.mark.parametrize("survey", SURVEYS.values(), ids=SURVEYS)
def test_every_design_that_is_placed_passes_the_check(service: FlaskClient, survey: dict[str, Any]) -> None:
    """A design goes out as JSON and comes back as JSON without losing its lawfulness."""
    answer = service.post("/v1/placements", json=survey).get_json()
    assert answer["status"] == "optimal"
    assert answer["cost"] == answer["designs"][0]["cost"]["total"]
    for design in answer["designs"]:
        report = service.post("/v1/checks", json={"survey": survey, "design": design}).get_json()
        assert report["lawful"], [f for f in report["findings"] if f["verdict"] in ("fail", "unknown")]


def test_a_price_that_is_not_what_the_book_says_is_found(service: FlaskClient) -> None:
    """The check does not take the caller's word for the sum."""
    design = service.post("/v1/placements", json=smoke()).get_json()["designs"][0]
    design["cost"]["total"] -= 100
    report = service.post("/v1/checks", json={"survey": smoke(), "design": design}).get_json()
    assert report["lawful"] is False


def test_a_limit_on_skew_walls_is_one_of_those_that_are_told(service: FlaskClient) -> None:
    """A house with thirty walls around is refused by a limit that GET /v1/limits lists."""
    document = smallest()
    ring = [[round(5 * cos(2 * pi * k / 30), 3), round(5 * sin(2 * pi * k / 30), 3)] for k in range(30)]
    document["storeys"][0]["rooms"][0]["outline"] = ring
    document["gas"]["nodes"][0]["at"] = [5, 0, 0.5]
    problem = service.post("/v1/placements", json=document).get_json(force=True)
    listed = {r["name"]: r["limit"] for r in service.get("/v1/limits").get_json()["limits"]}
    assert (problem["status"], problem["name"]) == (413, "skew_wall_directions")
    assert listed[problem["name"]] == problem["limit"] == 12


def test_clearances_are_mapped(service: FlaskClient) -> None:
    """Every facade and wall, areas that fit."""
    chart = service.post("/v1/clearances", json=smoke()).get_json()
    regions = chart["facades"] + chart["walls"]
    assert len(chart["facades"]) == 4 * len(chart["terminal_classes"])
    assert all(0 <= r["free"] <= r["total"] for r in regions)


def test_serve_and_place_on_the_command_line() -> None:
    """``python -m service serve`` answers, ``place --server`` asks it, a signal ends it well."""
    command = [sys.executable, "-m", "service"]
    with subprocess.Popen([*command, "serve", "--port", "0"], stderr=subprocess.PIPE, text=True, cwd=ROOT) as server:
        assert server.stderr is not None
        try:
            found = (re.search(r"Listening at: (http://\S+)", line) for line in server.stderr)
            url = next(match for match in found if match)[1]
            assert requests.get(f"{url}/readyz", timeout=30).json() == {"status": "ready"}
            run = subprocess.run(
                [*command, "place", str(SAMPLE), "--server", url], capture_output=True, text=True, cwd=ROOT, check=False
            )
        finally:
            server.terminate()
            server.stderr.read()
            server.wait(20)
    assert (run.returncode, run.stdout.split()[0]) == (0, "Heater"), run.stderr
    assert server.returncode == 0
