"""A map of clearances that the clock ends tells what it had, and that this is not all."""

from __future__ import annotations

from itertools import count

from service.deadline import ending_when
from service.http.schemas import load_survey
from service.settings import Settings
from service.usecases.clearances import CUT_OFF, clearances
from tests.hostile.corpus import plan


def test_surfaces_done_before_the_end_are_told() -> None:
    """The first surfaces are those of the whole map; a warning says that some are not told."""
    survey = load_survey(plan(), Settings())
    whole, looks = clearances(survey), count()
    with ending_when(lambda: next(looks) >= len(whole.facades) + 3):
        part = clearances(survey)
    assert whole.complete and not part.complete
    assert part.facades == whole.facades and part.walls == whole.walls[:3]
    assert part.warnings[0] == CUT_OFF and CUT_OFF not in whole.warnings


def test_nothing_is_told_where_time_was_up_before() -> None:
    """No surface, and no failure."""
    with ending_when(lambda: True):
        part = clearances(load_survey(plan(), Settings()))
    assert not part.complete and (part.facades, part.walls, part.roofs) == ((), (), ())
