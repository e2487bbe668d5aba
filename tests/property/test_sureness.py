"""How sure the choice is: ranges of prices against plain searches and brute force at their ends, and each missing
answer against the house in which it is told."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import inf

import pytest

from service.building.build import build
from service.check.prices import quantities
from service.settings import Settings
from service.siting.ground import ground_of
from service.siting.pricing import most_cents, price_of, priced, used_alike
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.explain import Explain
from service.survey.model import OpeningKind, Survey
from service.survey.open_facts import open_facts
from service.usecases.explain_results import PriceRange, Sureness
from tests.once import placed
from tests.property.brute_force import cheapest, lines_of
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import CENT, cost_of, solved

SETTINGS = Settings(solver_seconds=60)
SEEDS = (1, 11, 16, 10, 31)[: deep(2)]
BRUTE = SEEDS[: deep(1)]


@cache
def survey_of(seed: int) -> Survey:
    """A house none of whose windows and doors is known, that asks how sure the choice is."""
    survey = house(seed)
    storeys = (
        replace(s, openings=tuple(replace(o, operable=None, swings_out=None) for o in s.openings))
        for s in survey.storeys
    )
    return replace(survey, storeys=tuple(storeys), explain=Explain(sureness=True))


@cache
def told_of(seed: int) -> Sureness:
    """What is told of it."""
    explained = placed(survey_of(seed), SETTINGS).explained
    assert explained is not None and explained.sureness is not None
    return explained.sureness


@cache
def cost_at(seed: int, key: str, cents: int) -> float:
    """The least cost at another price, by a plain search [money units]."""
    return cost_of(solved(priced(survey_of(seed), key, cents)))


def winner_at(seed: int, price: PriceRange, cents: int) -> float:
    """What the winner costs at another price [money units], its quantities taken by the checker."""
    survey = survey_of(seed)
    best = solved(survey)
    used = quantities(survey, build(survey), best.designs[0])[price.key]
    each = price_of(survey, price.key)
    rate = each.units_each if price.per == "each" else each.units_per_mm
    return cost_of(best) + used * (rate // price.cents) * (cents - price.cents) if price.cents else inf


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_ranges_end_where_another_design_is_cheaper(seed: int) -> None:
    """At both ends of the ranges of the dearest lines the winner is the cheapest by a plain search; a cent beyond it is
    not, unless no other was met as far as is looked."""
    told = told_of(seed)
    assert told.complete
    assert {p.key for p in told.prices} == {line.key for line in solved(survey_of(seed)).designs[0].lines}
    for price in [p for p in told.prices if not p.everywhere][: deep(5, 3)]:
        for end, beyond, limit in ((price.low, -1, 0), (price.high, 1, most_cents(price.cents))):
            assert end.cents is not None
            least, winner = cost_at(seed, price.key, end.cents), winner_at(seed, price, end.cents)
            assert least >= winner, price.key
            assert end.network_only or least == winner, price.key
            assert (end.rival is None) == (end.cents == limit)
            if end.rival is not None:
                assert cost_at(seed, price.key, end.cents + beyond) < winner_at(seed, price, end.cents + beyond)


def test_most_ranges_are_of_all_positions() -> None:
    """Limits on runs decide at few ends, or the test above would say little."""
    ends = [end for seed in SEEDS for p in told_of(seed).prices if not p.everywhere for end in (p.low, p.high)]
    assert sum(not end.network_only for end in ends) >= len(ends) / 2


@pytest.mark.slow
@pytest.mark.parametrize("seed", BRUTE)
def test_brute_force_finds_nothing_cheaper_at_an_end(seed: int) -> None:
    """At the ends of the ranges, on a grid that holds the winner's lines."""
    survey = survey_of(seed)
    lines = lines_of(solved(survey).designs[0])
    for price in [p for p in told_of(seed).prices if not p.everywhere][:4]:
        for cents in {price.low.cents or 0, price.high.cents or 0}:
            brute = cheapest(priced(survey, price.key, cents), lines)
            assert brute is not None
            assert winner_at(seed, price, cents) <= brute[0] + CENT


@pytest.mark.parametrize("seed", SEEDS)
def test_what_every_design_buys_decides_nothing(seed: int) -> None:
    """At twice the price everything costs more by as much, whatever the best design is."""
    survey = survey_of(seed)
    building = build(survey)
    alike = used_alike(ground_of(survey, building))
    assert {"mount.hang", "gas.tap", "water.tap"} <= set(alike)
    for key, count in alike.items():
        cents = price_of(survey, key).cents
        assert cost_at(seed, key, 2 * cents) - cost_of(solved(survey)) == count * cents * CENT


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_each_missing_answer_has_the_effect_told(seed: int) -> None:
    """Every fact by itself, told at its best: a plain search of that house saves what is told, or nothing; told at its
    worst, which is how it is taken, nothing changes."""
    survey, told = survey_of(seed), told_of(seed)
    answers = {a.pointer: a for a in told.answers}
    facts = open_facts(survey)
    assert {f.pointer for f in facts} == {*answers, *told.idle}
    for fact in facts:
        saved = cost_of(solved(survey)) - cost_of(solved(fact.told(survey)))
        answer = answers.get(fact.pointer)
        assert saved == pytest.approx((answer.saving_cents or 0) * CENT if answer else 0, abs=CENT)
        assert saved >= 0


def test_some_missing_answers_matter() -> None:
    """In some house here, or the test above would say little."""
    assert any(told_of(seed).answers for seed in SEEDS)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_ceiling_hides_what_is_dearer_and_nothing_else(seed: int) -> None:
    """Below, at and above the least cost."""
    survey = survey_of(seed)
    building = build(survey)
    ground, zones, least = ground_of(survey, building), Zones(building, survey), cost_of(solved(survey))
    for ceiling, cost in ((least - 1, inf), (least + 1, least), (2 * least, least)):
        outcome = search(ground, zones, 1, inf, ceiling=ceiling)
        assert cost_of(outcome) == cost
        assert not outcome.cut_off


def test_windows_are_asked_about_by_name() -> None:
    """The pointer leads to the very window."""
    survey = survey_of(SEEDS[0])
    windows = [o.id for s in survey.storeys for o in s.openings if o.kind is OpeningKind.WINDOW]
    asked = [f.question for f in open_facts(survey) if f.pointer.endswith("/operable")]
    assert all(any(name in question for question in asked) for name in windows)
