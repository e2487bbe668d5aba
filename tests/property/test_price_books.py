"""Books of prices that are far apart, or nought: what is dear in one house is cheap in the next, and so every rule and
every rim comes to decide in some."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import exp
from random import Random

import pytest

from service.design import Service, Terminal
from service.survey.equipment import Price
from service.survey.model import Survey
from tests.property.brute_pressure import pressed_house
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.roofs import roofed
from tests.property.solving import CENT, cost_of, solved

BETWEEN_TWO_WINDOWS = 5062
"""A house whose terminal lies where the rims of two windows' zones cross."""
SEEDS = (BETWEEN_TWO_WINDOWS, *range(5100, 5100 + deep(6, 2)))
BESIDE_MM = 8
LOW_DRAIN = 9024
"""A house with a roof whose heater hangs as low as the fall of its drain lets it, between two levels far apart."""


@cache
def house_with_book(seed: int) -> Survey:
    """A generated house under pressure with a book of its own."""
    return with_book(pressed_house(house(seed), seed), seed)


def with_book(survey: Survey, seed: int) -> Survey:
    """A house with a book of prices made for it."""
    r = Random(f"wild {seed}")
    kind = r.choice(("spread", "spread", "zero", "ends"))
    items = {key: replace(p, cents=max(0, _cents(r, kind, p))) for key, p in survey.prices.items.items()}
    heaters = (_priced(r, h.price_cents) for h in survey.heaters)
    return replace(
        survey,
        prices=replace(survey.prices, items=items),
        heaters=tuple(replace(h, price_cents=c) for h, c in zip(survey.heaters, heaters, strict=True)),
    )


def _cents(r: Random, kind: str, price: Price) -> int:
    if kind == "spread":
        return round(price.cents * exp(r.gauss(0, 1.2)))
    if kind == "zero":
        return 0 if r.random() < 0.25 else round(price.cents * r.uniform(0.5, 2))
    return r.choice((0, 1, round(price.cents * r.uniform(0.5, 2)), price.cents * 20, price.cents))


def _priced(r: Random, cents: int) -> int:
    return 0 if r.random() < 0.2 else round(cents * r.uniform(0.5, 1.5))


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_lazy_and_full_grid_agree(seed: int) -> None:
    """Everything cut in at the start comes to the same cost; where a limit on length decides, to none that is lower."""
    lazy, full = solved(house_with_book(seed)), solved(house_with_book(seed), eager=True)
    assert cost_of(lazy) <= cost_of(full)
    assert full.limited or cost_of(lazy) == cost_of(full)


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_lines_beside_the_terminal_find_nothing_cheaper(seed: int) -> None:
    """Every millimetre next to where the answer's vent ends, along the wall and up it."""
    ours = solved(house_with_book(seed))
    planes = [plane for design in ours.designs for plane in _beside(design.terminal, design.routes[0].pieces[-1].start)]
    assert cost_of(solved(house_with_book(seed), extra_planes=planes)) >= cost_of(ours) - CENT


@pytest.mark.slow
def test_levels_below_the_case_find_nothing_cheaper() -> None:
    """Where a drain's fall holds the case up, every level near it comes to no lower cost."""
    survey = with_book(roofed(LOW_DRAIN), LOW_DRAIN)
    ours = solved(survey)
    (drain,) = (r for r in ours.designs[0].routes if r.service is Service.DRAIN)
    level = drain.pieces[0].start[2]
    near = solved(survey, extra_planes=[(2, level + k) for k in range(-100, 101, 4)])
    assert cost_of(near) >= cost_of(ours) - CENT


def _beside(terminal: object, at: tuple[int, int, int]) -> list[tuple[int, int]]:
    if not isinstance(terminal, Terminal):
        return []
    return [(axis, at[axis] + k) for axis in range(3) for k in range(-BESIDE_MM, BESIDE_MM + 1)]
