"""``Prefer: wait=N`` (RFC 7240, sections 2 and 4.3): what is heeded, what is passed over, and what is said of it."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from service.survey.model import Survey
from service.usecases.results import Placement
from tests.api import fakes
from tests.api.fakes import FAKES, sample

PATHS = ("/v1/placements", "/v1/sheets", "/v1/sheets/facades-1")


@pytest.fixture
def asked() -> list[float]:
    """Seconds that each search was given."""
    return []


@pytest.fixture
def client(asked: list[float]) -> FlaskClient:
    """A client of a service that keeps what its searches were given."""

    def place(survey: Survey, settings: Settings) -> Placement:
        asked.append(settings.solver_seconds)
        return fakes.place(survey, settings)

    return create_app(Settings(), replace(FAKES, place=place)).test_client()


def post(client: FlaskClient, path: str, *prefer: str) -> Any:
    """The response to a survey with these header fields."""
    headers = [("Prefer", p) for p in prefer] + [("Content-Type", "application/json")]
    response = client.post(path, data=json.dumps(sample()), headers=headers)
    assert response.status_code == 200
    return response


@pytest.mark.parametrize("path", PATHS)
def test_a_wait_ends_the_search_and_is_told(client: FlaskClient, asked: list[float], path: str) -> None:
    """The search gets no more; the answer says that the preference was heeded."""
    assert post(client, path, "wait=3").headers["Preference-Applied"] == "wait=3"
    assert asked == [3]


def test_without_a_wait_nothing_is_said(client: FlaskClient, asked: list[float]) -> None:
    """The limit holds."""
    assert "Preference-Applied" not in post(client, PATHS[0]).headers
    assert asked == [Settings().solver_seconds]


def test_a_wait_never_raises_the_limit(client: FlaskClient, asked: list[float]) -> None:
    """A caller who waits longer gets his answer as soon as any other."""
    post(client, PATHS[0], "wait=3600")
    assert asked == [Settings().solver_seconds]


@pytest.mark.parametrize(
    ("prefer", "wait"),
    [
        (("respond-async, wait=2",), 2),
        (("Wait = 2",), 2),
        (('wait="2"',), 2),
        (("wait=2; foo=bar",), 2),
        (("return=minimal", "wait=2"), 2),
        (("wait=2", "wait=5"), 2),
    ],
)
def test_every_way_to_write_it(client: FlaskClient, asked: list[float], prefer: tuple[str, ...], wait: int) -> None:
    """Lists, blanks, quotes, parameters, several fields; of several the first counts (section 2)."""
    assert post(client, PATHS[0], *prefer).headers["Preference-Applied"] == f"wait={wait}"
    assert asked == [wait]


@pytest.mark.parametrize("prefer", ["wait", "wait=", "wait=-1", "wait=1.5", "wait=x", "wait=²", "waits=3", "x=wait=3"])
def test_what_is_not_understood_is_passed_over(client: FlaskClient, asked: list[float], prefer: str) -> None:
    """A preference is no command: nothing is refused (section 2)."""
    assert "Preference-Applied" not in post(client, PATHS[0], prefer.encode().decode("latin-1")).headers
    assert asked == [Settings().solver_seconds]


def test_no_time_at_all_gives_an_answer_all_the_same() -> None:
    """By the real search: unknown, or a lawful design if it found one that quickly; never called proven."""
    client = create_app(Settings()).test_client()
    body = json.loads((fakes.SAMPLE.parent / "two_storey_basement.json").read_text("utf-8"))
    response = client.post("/v1/placements", json=body, headers={"Prefer": "wait=0"})
    assert response.headers["Preference-Applied"] == "wait=0"
    assert response.get_json()["status"] in ("unknown", "feasible")


def test_operations_that_do_not_search_say_nothing(client: FlaskClient) -> None:
    """They are as quick as they are."""
    assert "Preference-Applied" not in post(client, "/v1/gas-sizings", "wait=3").headers
