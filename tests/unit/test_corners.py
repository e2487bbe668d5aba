"""Corners that limits cut off, against every whole millimetre of a cell."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from service.siting.corners import Border, met

CELL = (-3, 9), (-6, 4)
SIDES = [*(Border(-x, 1, 0) for x in CELL[0]), *(Border(-z, 0, 1) for z in CELL[1])]
EVERYWHERE = [*product(range(CELL[0][0], CELL[0][1] + 1), range(CELL[1][0], CELL[1][1] + 1))]
slopes = st.sampled_from((-1.0, 0.0, 1.0))
limits = st.lists(st.builds(Border, st.integers(-9, 9).map(float), slopes, slopes), max_size=3)
prices = st.integers(-50, 50)


def within(limits: list[Border], shift: tuple[int, int]) -> bool:
    """Whether all limits are kept there."""
    return all(limit.is_kept(shift) for limit in limits)


@given(limits, prices, prices)
def test_the_cheapest_place_of_a_cell_is_one_of_its_corners(limits: list[Border], aside: int, up: int) -> None:
    """Cost is affine in a cell; of all whole millimetres within the limits none is cheaper than the best corner."""
    corners = {*product(*CELL), *(s for s in met(limits, SIDES) if s in EVERYWHERE)}
    best, least = (
        min((aside * x + up * z for x, z in places if within(limits, (x, z))), default=None)
        for places in (corners, EVERYWHERE)
    )
    assert best == least


def test_parallel_limits_never_meet() -> None:
    assert Border(3, 1, 1).meets(Border(-2, 2, 2)) is None
    assert Border(-4, 1, 1).meets(Border(-2, 1, -1)) == (3.0, 1.0)
