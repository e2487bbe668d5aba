"""The price on waiting for hot water against brute force, and what it may never do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from service.building.build import build
from service.check.check import findings
from service.design import Verdict
from tests.property.brute_force import cheapest, lines_of
from tests.property.brute_waiting import priced_house
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import CENT, cost_of, solved

SEEDS = deep(5, 3)
MISSED = 0.1


@pytest.mark.slow
def test_brute_force_finds_nothing_better() -> None:
    """Nothing lawful on a grid with the answer's own lines, and those of the fixtures, weighs less in cost and waiting;
    the checker passes every answer; in nearly all houses the sum is the same to the unit."""
    missed = 0
    for seed in range(SEEDS):
        survey = priced_house(house(seed), seed)
        ours = solved(survey)
        tees = [(axis, v) for f in survey.water.fixtures for axis, v in enumerate(f.at)]
        lines = [*(lines_of(ours.designs[0]) if ours.designs else ()), *tees]
        brute = cheapest(survey, lines)
        least = np.inf if brute is None else brute[0]
        assert cost_of(ours) <= least + CENT, survey.name
        for design in ours.designs:
            found = findings(survey, build(survey), design)
            assert [f for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)] == []
            assert any(f.rule_id == "waiting.weighed" for f in found)
        missed += least != cost_of(ours)
    assert missed <= MISSED * SEEDS


@pytest.mark.parametrize("seed", [1, 2, 4, 6])
def test_a_dearer_second_never_makes_anyone_wait_longer(seed: int) -> None:
    """Raising the price, what is paid never falls and what is waited never rises (an exchange argument)."""
    survey, paid, waited = priced_house(house(seed), seed), [], []
    for cents in (1, 100, 10_000):
        outcome = solved(replace(survey, preferences=replace(survey.preferences, waiting_cents_per_s=cents)))
        for design in outcome.designs:
            paid.append(design.total_cents)
            waited.append((design.weighed_cents or 0) / cents)
    assert len(paid) == 3
    assert all(a <= b + 1 for a, b in zip(paid, paid[1:], strict=False))
    assert all(a >= b - 1.01 for a, b in zip(waited, waited[1:], strict=False))


@pytest.mark.parametrize("seed", [0, 5, 9])
def test_a_price_of_nought_is_none(seed: int) -> None:
    """The answer is that of the same house without a price."""
    survey = priced_house(house(seed), seed)
    free = replace(survey, preferences=replace(survey.preferences, waiting_cents_per_s=0))
    assert solved(free).designs == solved(house(seed)).designs
