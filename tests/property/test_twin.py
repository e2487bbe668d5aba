"""Twin-pipe vents: the search against brute force, both ways of the search, and what can only make it dearer.

The brute force (`brute_twin`) shifts no zones: it puts every pair of terminals on its grid to the checker.
"""

from __future__ import annotations

from math import inf

import pytest

from service.building.build import build
from service.check.check import findings
from service.design import Verdict
from service.survey.intake_listing import IntakeSide, LengthBasis
from tests.property.brute_force import cheapest, lines_of
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import cost_of, solved
from tests.property.twins import with_twins

BASES = tuple(LengthBasis)
SEEDS = range(7000, 7000 + deep(3, 2))
QUICK = range(7000, 7004)[: deep(4, 3)]
OTHERS = range(7004, 7000 + deep(5))
SLOW = 7007
"""A house whose full lattice was not searched through in four minutes."""


def same_as_brute_force(seed: int) -> bool:
    """Whether both come to the same cost, on a grid that holds the answer's own lines; AssertionError if brute force is
    cheaper or the checker refuses the answer."""
    survey = with_twins(house(seed), BASES[seed % len(BASES)])
    ours = solved(survey)
    brute = cheapest(survey, lines_of(ours.designs[0]) if ours.designs else ())
    least = inf if brute is None else brute[0]
    assert cost_of(ours) <= least, brute
    for design in ours.designs:
        found = findings(survey, build(survey), design)
        assert [f for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)] == []
        assert design.intake is not None
    return cost_of(ours) == least


@pytest.mark.slow
def test_brute_force_finds_nothing_cheaper() -> None:
    """In no other house; and it comes to the same cost in nearly all (where a limit decides it may miss a run)."""
    assert sum(not same_as_brute_force(seed) for seed in OTHERS) <= len(OTHERS) // 5


@pytest.mark.parametrize("seed", QUICK)
def test_brute_force_comes_to_the_same(seed: int) -> None:
    """A few of these houses, so that every run of the tests holds some against it."""
    assert same_as_brute_force(seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [s for s in SEEDS if s != SLOW])
def test_lazy_and_eager_agree(seed: int) -> None:
    """Everything cut in at once comes to the same cost."""
    survey = with_twins(house(seed))
    assert cost_of(solved(survey, eager=True)) == cost_of(solved(survey))


@pytest.mark.parametrize("seed", QUICK)
def test_fewer_sides_are_never_cheaper(seed: int) -> None:
    """The best of all sides is the least of what each side costs alone."""
    survey = house(seed)
    alone = [cost_of(solved(with_twins(survey, sides=(side,)))) for side in IntakeSide]
    assert cost_of(solved(with_twins(survey))) == min(alone)


@pytest.mark.parametrize("seed", QUICK)
def test_stricter_counting_is_never_cheaper(seed: int) -> None:
    """Exhaust alone, then the longer pipe, then both added, against one short limit."""
    costs = [
        cost_of(solved(with_twins(house(seed), basis, longest_mm=9_000)))
        for basis in (LengthBasis.EXHAUST_ONLY, LengthBasis.EACH)
    ]
    assert costs == sorted(costs)
