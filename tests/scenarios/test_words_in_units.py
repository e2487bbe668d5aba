"""What the answers of the sample plans say in words is said in the survey's units, and says what the figures say."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from tests.scenarios.sheet_books import NAMES, book
from tests.scenarios.test_sheet_figures import close, lengths

METRIC = re.compile(r"\d ?(mm|cm|m|mm2|cm2|m2|m3|Pa|kPa|kW|L|L/s|L/min|m/s)\b")
SIZES = re.compile(r"\b\d+/\d+ mm|W of \d+ W")
"""A vent's nominal size is part of its name."""


@pytest.fixture(scope="module", params=NAMES)
def name(request: pytest.FixtureRequest) -> str:
    """A plan; all tests of one come one after the other, so that it is solved once."""
    return str(request.param)


def texts(value: Any) -> Iterator[str]:
    """Every text of a JSON document."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for member in value.values() if isinstance(value, dict) else value:
            yield from texts(member)


def test_answers_in_feet_speak_no_metric_unit(name: str) -> None:
    """Nowhere; electric loads are in watts everywhere."""
    answer = book(name).answer
    if answer["units"]["length"] == "ft":
        assert [t for t in texts(answer) if METRIC.search(SIZES.sub("", t))] == []


def test_details_tell_the_figures_of_their_finding(name: str) -> None:
    """Where a sentence says what is asked, what is asked and what is there stand in it, in feet or millimetres."""
    answer = book(name).answer
    measured = [f for d in answer["designs"] for f in d["clearances"] if f["required"] is not None]
    found = [f for f in measured if "asked" in f["detail"]]
    for f in found:
        millimetres = [float(v) / 1000 for v in re.findall(r"(-?\d+) mm\b", f["detail"])]
        told = lengths(f["detail"]) if answer["units"]["length"] == "ft" else millimetres
        assert any(close(t, f["required"], name) for t in told), f
        assert any(close(t, f["actual"], name) for t in told), f
    assert found or not answer["designs"]
