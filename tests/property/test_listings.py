"""Heaters listed with several vents: against brute force, against each vent offered alone, by both ways of the search.

The brute force takes every heater with every vent for itself, so it knows nothing of bounds that vents share.
"""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest

from service.siting.needs import needs_of
from service.survey.equipment import Heater, Price, VentListing
from service.survey.model import Survey
from tests.property.brute_force import cheapest, lines_of
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import cost_of, solved

SHORT_MM = (1500, 2500, 4000)
"""What is left of the standard vent's run above its rise, so that it often does not reach."""
SEEDS = range(6000, 6000 + deep(4))


def with_larger(survey: Survey, seed: int) -> Survey:
    """The house with heaters whose standard vent is short, and that may have a larger and dearer one that is not."""
    heaters = tuple(_listed(h, SHORT_MM[(seed + i) % len(SHORT_MM)]) for i, h in enumerate(survey.heaters))
    book = survey.prices
    more = {key: _dearer(key, book[_standard(key)]) for h in heaters for key in _keys(h.vents[1])}
    return replace(survey, heaters=heaters, prices=replace(book, items=book.items | more))


def _listed(heater: Heater, short_mm: int) -> Heater:
    rise = heater.vent_rise_mm
    short = replace(heater.vent, max_equivalent_mm=rise + short_mm, first_elbow_mm=0)
    first = replace(heater, vent=short)
    short = replace(short, first_elbow_mm=rise - first.vent_rise_mm)
    long = replace(
        heater.vent, system=f"{heater.vent.system}-wide", pipe_radius_mm=heater.vent.pipe_radius_mm + 12,
        terminal_radius_mm=heater.vent.terminal_radius_mm + 15, material=None,
    )  # fmt: skip
    return replace(heater, vent=short, vents=(short, long))


def _keys(listing: VentListing) -> tuple[str, ...]:
    return tuple(f"vent.{listing.system}.{part}" for part in ("pipe", "elbow", "terminal"))


def _standard(key: str) -> str:
    return key.replace("-wide", "")


def _dearer(key: str, price: Price) -> Price:
    return replace(price, key=key, cents=price.cents * 5 // 4)


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
