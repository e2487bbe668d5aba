"""Houses with skew walls: whatever is answered passes the checker, which reads points of a skew wall as rounded."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from service.building.build import build
from service.check.check import findings
from service.design import Verdict
from service.survey.checks import check_survey
from service.survey.model import GasMethod, Survey
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.outdoor_houses import outdoor_house
from tests.property.skew_houses import cut_corners
from tests.property.solving import solved
from tests.property.test_price_books import with_book


def outdoors(seed: int) -> Survey:
    """Heaters may hang before a skew facade."""
    return cut_corners(outdoor_house(seed), seed)


def by_pressure(seed: int) -> Survey:
    """Gas pipe is sized by pressure, at odd prices."""
    survey = cut_corners(house(seed), seed)
    return with_book(replace(survey, gas=replace(survey.gas, method=GasMethod.PRESSURE)), seed)


KINDS: dict[str, Callable[[int], Survey]] = {"outdoors": outdoors, "by pressure": by_pressure}
REFUSED = (
    ("outdoors", 176, "pipes come in two millimetres aside of square"),
    ("outdoors", 19, "a pipe in the wall, beyond which the next room begins"),
    ("by pressure", 226, "tapped from the ceiling at the far end of a pipe"),
    ("by pressure", 339, "the same"),
)
"""Houses whose answers the checker refused, and why."""


def faults(survey: Survey) -> tuple[int, list[str]]:
    """Designs answered, and what the checker says against them."""
    designs, building = solved(survey).designs, build(survey)
    wrong = (f for d in designs for f in findings(survey, building, d) if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN))
    return len(designs), [f"{survey.name}: {f}" for f in wrong]


@pytest.mark.parametrize(("kind", "seed"), [case[:2] for case in REFUSED])
def test_what_was_refused_passes(kind: str, seed: int) -> None:
    """Each was withheld from its caller."""
    assert faults(KINDS[kind](seed)) == (1, [])


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_no_answer_is_refused(kind: str) -> None:
    """Sound houses of a range of seeds, most of which have a design and skew walls."""
    houses = [s for seed in range(40, 40 + deep(60, 20)) if not check_survey(s := KINDS[kind](seed))[0]]
    found = [faults(s) for s in houses]
    assert [fault for _, wrong in found for fault in wrong] == []
    assert sum(count for count, _ in found) > len(houses) // 3
    assert any(face.axis is None for s in houses for face in build(s).faces)
