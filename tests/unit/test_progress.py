"""Progress: what long work tells, in what order, and that nobody has to listen."""

from __future__ import annotations

import io
import json

import pytest

from service.cli_progress import shown, words
from service.http.schemas import load_survey
from service.progress import Progress, observed, step, tell
from service.settings import Settings
from service.survey.equipment import MONEY_SCALE
from service.usecases.place import place
from tests.api.fakes import SAMPLE


class Terminal(io.StringIO):
    """A stream that calls itself a terminal."""

    def isatty(self) -> bool:
        """It does."""
        return True


def test_a_search_tells_bounds_that_close_on_its_cost() -> None:
    """What the next design costs at least never falls, and ends at the cost; the gap ends at nothing."""
    survey = load_survey(json.loads(SAMPLE.read_text("utf-8")), Settings())
    told: list[Progress] = []
    with observed(told.append):
        answer = place(survey, Settings())
    first = [m for m in told if m.rounds and not m.proven]
    least = [m.least_units for m in first if m.least_units is not None]
    assert least == sorted(least)
    cost = answer.proof.cost_cents
    assert cost is not None and first[-1].most_units is not None
    assert round(first[-1].most_units / MONEY_SCALE) == cost
    assert first[-1].gap == pytest.approx(0.0, abs=1e-9)
    assert [m.step for m in told][:2] == ["building the house", "bounding every heater on every wall"]


def test_watching_changes_nothing() -> None:
    """The same answer with and without."""
    survey = load_survey(json.loads(SAMPLE.read_text("utf-8")), Settings())
    with observed(lambda moment: None):
        watched = place(survey, Settings())
    assert watched.proof == place(survey, Settings()).proof


def test_nobody_has_to_listen() -> None:
    """Then a moment is not even made."""
    tell(lambda: pytest.fail("made for nobody"))


def test_lines_go_to_a_stream_only_if_wanted() -> None:
    """A terminal is written over; elsewhere each change is a line, and nothing without the option."""
    terminal, file, quiet = Terminal(), io.StringIO(), io.StringIO()
    for stream, wanted in ((terminal, False), (file, True), (quiet, False)):
        with shown(stream, wanted):
            step("one")
            step("one")
            step("two")
    assert terminal.getvalue() == "\rone\x1b[K\rtwo\x1b[K\r\x1b[K"
    assert file.getvalue() == "one\ntwo\n"
    assert quiet.getvalue() == ""


def test_the_gap_in_words() -> None:
    """By hand: 900 of 1,000 is a gap of a tenth."""
    scale = 100.0 * MONEY_SCALE
    assert words(Progress("searching", 3, 0, 1000 * scale, 900 * scale)) == (
        "searching: round 3, best 1,000.00, none below 900.00, gap 10.0%"
    )
    assert words(Progress("searching", 3, 0, None, None)) == "searching: round 3, no lawful design yet"
