"""Heaters listed with several vents: against brute force, against each vent offered alone, by both ways of the search.

The brute force takes every heater with every vent for itself, so it knows nothing of bounds that vents share.
"""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest

from service.siting.needs import needs_of
from service.survey.model import Survey
from tests.property.brute_force import cheapest, lines_of
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import cost_of, solved
from tests.property.two_vents import with_larger

SEEDS = range(6000, 6000 + deep(4, 3))


def alone(survey: Survey, k: int) -> Survey:
    """The house were each heater listed with its k-th vent only."""
    return replace(survey, heaters=tuple(replace(h, vent=h.listings[k], vents=()) for h in survey.heaters))


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_brute_force_finds_nothing_cheaper(seed: int) -> None:
    """On a grid that holds the answer's own lines too; and it reaches the answer where no limit decides."""
    survey = with_larger(house(seed), seed)
    ours = solved(survey)
    brute = cheapest(survey, lines_of(ours.designs[0]) if ours.designs else ())
    assert cost_of(ours) <= (inf if brute is None else brute[0])


@pytest.mark.parametrize("seed", SEEDS)
def test_least_of_each_vent_alone(seed: int) -> None:
    """Offered together two vents cost what the cheaper of them costs alone, whatever bounds they share."""
    survey = with_larger(house(seed), seed)
    assert cost_of(solved(survey)) == min(cost_of(solved(alone(survey, k))) for k in (0, 1))


def test_both_vents_win_somewhere_and_share_bounds() -> None:
    """The houses of these tests tell something: each vent wins some, and the larger one of direct-vent heaters is known
    to be behind the smaller."""
    chosen = set()
    for seed in SEEDS:
        survey = with_larger(house(seed), seed)
        outcome = solved(survey)
        chosen |= {d.heater.vent.system.endswith("-wide") for d in outcome.designs}
        for need in needs_of(survey)[0]:
            wide = need.heater.vent.system.endswith("-wide")
            assert (need.behind is not None) == (wide and need.heater.draft == "direct")
    assert chosen == {True, False}


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS[:6])
def test_lazy_and_eager_agree(seed: int) -> None:
    """Everything cut in at once comes to the same cost."""
    survey = with_larger(house(seed), seed)
    assert cost_of(solved(survey, eager=True)) == cost_of(solved(survey))
