"""The scaling curve runs and reckons right; no times are asserted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.benchmarks.scaling import LARGE, STEPS, Point, Size, bends, slope, solved, survey_of, table


@pytest.mark.parametrize("size", [Size(), LARGE, Size(storeys=1, rooms=6, openings=0, heaters=24, nodes=4)])
def test_a_house_is_as_large_as_asked(size: Size) -> None:
    """Rooms, openings, storeys, heaters and nodes are counted in the survey."""
    survey = survey_of(size)
    assert len(survey.storeys) == size.storeys
    assert sum(len(s.rooms) for s in survey.storeys) == size.rooms
    assert sum(len(s.openings) for s in survey.storeys) == size.openings
    assert len(survey.heaters) == size.heaters == len({h.id for h in survey.heaters})
    assert len(survey.gas.nodes) == size.nodes


def test_a_point_is_a_proven_optimum() -> None:
    """A small house solved once."""
    point = solved("rooms", 6, replace(Size(), rooms=6, heaters=1), repeats=1)
    assert point.status == "optimal"
    assert point.states > 0 < point.mib
    assert "optimal" in table([point])


def test_slopes_and_bends_are_those_of_powers() -> None:
    """Of a square the slope is 2 and every step is steep; of a root it is 1/2 and none is."""
    def points(power: float) -> list[Point]:
        return [Point("rooms", n, n**power, 0, "optimal", n, n) for n in STEPS["rooms"]]

    assert slope(points(2)) == pytest.approx(2)
    assert slope(points(0.5)) == pytest.approx(0.5)
    assert bends(points(2)) == list(STEPS["rooms"][:-1])
    assert bends(points(0.5)) == []
