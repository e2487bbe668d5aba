"""Holes that two heaters' runs pass together: against every pair of places and every hole of a grid, by price."""

from __future__ import annotations

import pytest

from service.design import Sleeve
from service.settings import Settings
from service.survey.equipment import MONEY_SCALE
from service.survey.model import Survey
from service.usecases.results import Placement, Status
from tests.once import placed
from tests.property.brute_force import lines_of
from tests.property.depth import deep
from tests.property.joint_holes import cheapest_pair
from tests.unit.joint_house import parallel

SETTINGS = Settings(solver_seconds=60)
CASES = (
    (1_900, 300), (600, 9_000), (1_900, 3_000), (1_000, 9_000), (2_300, 2_000), (1_500, 1_000),
)[: deep(2)]  # fmt: skip


def together(survey: Survey) -> Placement:
    """Both heaters."""
    return placed(survey, SETTINGS)


def sleeves(answer: Placement) -> tuple[Sleeve, ...]:
    """Holes that are shared."""
    assert answer.dwellings is not None
    return answer.dwellings.joint.sleeves


@pytest.mark.slow
@pytest.mark.parametrize(("apart", "cents"), CASES)
def test_no_pair_of_a_grid_is_cheaper(apart: int, cents: int) -> None:
    """Every pair of places, each with its cheapest own and shared holes, by the checker; the answer's lines are in the
    grid, so the best of it costs the same."""
    survey = parallel(apart=apart, hole_cents=cents)
    answer = together(survey)
    assert answer.status is Status.OPTIMAL and answer.dwellings is not None and answer.proof.cost_cents is not None
    also = {line for _, checked in answer.dwellings.designs for line in lines_of(checked.design)}
    tried = cheapest_pair(survey, tuple(sorted(also)))
    assert tried is not None and abs(tried / MONEY_SCALE - answer.proof.cost_cents) <= 1


def test_a_dearer_hole_costs_two_to_four_times_its_price_more() -> None:
    """Both need cold and hot water through the wall: two holes where they share, four where they do not. What the least
    cost rises by lies between (it is concave in the price), and at a high price both are shared."""
    free, low, high = (together(parallel(apart=1_900, hole_cents=cents)) for cents in (0, 300, 30_000))
    costs = [answer.proof.cost_cents for answer in (free, low, high)]
    assert all(a.status is Status.OPTIMAL for a in (free, low, high)) and None not in costs
    first, second, third = (cost or 0 for cost in costs)
    assert 2 * 300 <= second - first <= 4 * 300 and 2 * 30_000 <= third - first <= 4 * 30_000
    assert not sleeves(low) and len(sleeves(high)) == 2
