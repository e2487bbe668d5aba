"""Every limit on what a body holds: just kept is let in, one past it is refused with its name."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.errors import LimitExceeded, MalformedJson
from service.http import strict_json
from service.http.json_writer import json_bytes
from service.http.schemas.limits import _SUMS, check_limits
from service.settings import Settings
from tests.api.fakes import FAKES

LIMITS = Settings()
PLACES = sorted((name, place) for name, places in _SUMS.items() for place in places)
SUBJECTS = {"alternatives", "solver_seconds", "coordinate_bound_m", "verify_seconds", "solver_mib", "body_seconds",
            "header_seconds", "concurrent_solves", "body_bytes", "depth", "string_length", "outline_points",
            "list_items"}  # fmt: skip
"""Limits that are no counts at a place; each has a test of its own here, or is no limit on a body's contents."""


def document_with(place: str, count: int) -> dict[str, Any]:
    """A document with so many items at a place, all in the first list on the way there."""
    *way, last = place.split(".")
    inner: Any = {last: [{} for _ in range(count)]}
    for step in reversed(way):
        inner = {step: [inner]}
    return inner if isinstance(inner, dict) else {}


def refused(document: object, settings: Settings = LIMITS) -> LimitExceeded:
    """The limit that a document is beyond."""
    with pytest.raises(LimitExceeded) as found:
        check_limits(document, settings)
    return found.value


@pytest.mark.parametrize(("name", "place"), PLACES)
def test_one_item_past_each_count(name: str, place: str) -> None:
    """As many as allowed pass, one more is named with both figures."""
    limit = getattr(LIMITS, name)
    check_limits(document_with(place, limit), LIMITS)
    error = refused(document_with(place, limit + 1))
    assert (error.name, error.given, error.limit) == (name, limit + 1, limit)


def test_counts_add_up_over_all_storeys() -> None:
    """Spread over lists they are no fewer."""
    half = LIMITS.rooms // 2 + 1
    assert refused({"storeys": [{"rooms": [{}] * half}, {"rooms": [{}] * half}]}).name == "rooms"


def test_every_limit_is_tested_here() -> None:
    """A new one needs a test."""
    assert {f.name for f in fields(Settings)} == SUBJECTS | {name for name, _ in PLACES}


@pytest.mark.parametrize(
    ("name", "make"),
    [
        ("outline_points", lambda n: {"storeys": [{"rooms": [{"outline": [[0, 0]] * n}]}]}),
        ("list_items", lambda n: {"anything": [0] * n}),
        ("string_length", lambda n: {"name": "x" * n}),
        ("string_length", lambda n: {"x" * n: 0}),
        ("alternatives", lambda n: {"preferences": {"alternatives": n}}),
        ("solver_seconds", lambda n: {"preferences": {"solver_seconds": n}}),
    ],
)
def test_one_past_each_other_limit(name: str, make: Any) -> None:
    """Points of an outline, any list, any string and key, wishes."""
    limit = getattr(LIMITS, name)
    check_limits(make(limit), LIMITS)
    assert refused(make(limit + 1)).name == name


def test_one_level_past_the_depth() -> None:
    """Before the parser sees it."""
    depth = LIMITS.depth
    strict_json.loads(b"[" * depth + b"]" * depth, depth)
    with pytest.raises(MalformedJson, match="nested deeper"):
        strict_json.loads(b"[" * (depth + 1) + b"]" * (depth + 1), depth)


@pytest.fixture(scope="module")
def client() -> FlaskClient:
    """The service over hand-made use cases."""
    return create_app(LIMITS, FAKES).test_client()


@pytest.mark.parametrize(("name", "place"), PLACES)
def test_a_limit_is_a_413_over_http(client: FlaskClient, name: str, place: str) -> None:
    """With its name, whatever else is wrong with the document."""
    body = json_bytes(document_with(place, getattr(LIMITS, name) + 1))
    answer = client.post("/v1/placements", data=body, content_type="application/json")
    assert (answer.status_code, answer.get_json(force=True)["name"]) == (413, name)


def test_one_byte_past_the_body(client: FlaskClient) -> None:
    """Blanks around a document count too."""
    for extra, status in ((0, 422), (1, 413)):
        body = b"{}" + b" " * (LIMITS.body_bytes - 2 + extra)
        assert client.post("/v1/placements", data=body, content_type="application/json").status_code == status


@pytest.mark.parametrize("name", sorted(f.name for f in fields(Settings)))
def test_no_operator_can_set_a_limit_past_its_bound(name: str) -> None:
    """Nor to nothing."""
    top = next(f.metadata["top"] for f in fields(Settings) if f.name == name)
    assert getattr(Settings(**{name: top}), name) == top
    for wrong in (top + 1, 0, -1):
        with pytest.raises(ValueError, match=name.upper()):
            Settings(**{name: wrong})
