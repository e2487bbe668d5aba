"""What is told of several heaters: places asked about against pairs tried one by one, explanations of one dwelling
against those of a house with one heater into which the others' things are written."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.rules.rulesets import rule_set
from service.settings import Settings
from service.survey.divided import of_dwelling
from service.survey.explain import Explain
from service.survey.model import AirInlet, AskedTerminal, InletKind, Question, Survey
from service.usecases.explain_results import Explained, PriceRange
from service.usecases.place import place
from service.usecases.results import Status
from tests.once import placed
from tests.property.joint_brute import apart_from, pairs, with_things_of
from tests.property.test_dwellings import by_itself, ends
from tests.unit.joint_house import WALL, WIDTH, two_dwellings

SETTINGS = Settings(solver_seconds=60)
CROSSING = 10**6
"""What a hole in the inner wall costs here [cents]."""
NAMES = ("left", "right")
WISHES = Explain(different=2, sureness=True)


def wide() -> Survey:
    """Two dwellings that share nothing but walls."""
    return by_itself(two_dwellings(tee=1_000, pipe="2"))


@pytest.mark.parametrize("index", [0, 1])
def test_asking_about_the_best_place_gives_the_best_set(index: int) -> None:
    """Held to its own terminal, a dwelling leaves the whole set as cheap as it was."""
    survey = wide()
    best = placed(survey, SETTINGS)
    question = Question("same", None, ends(survey, best)[index], NAMES[index])
    (here,) = placed(replace(survey, what_about=(question,)), SETTINGS).what_about
    assert (here.status, here.dwelling) == (Status.OPTIMAL, NAMES[index])
    assert here.cost_cents == best.proof.cost_cents
    assert {cents for _, cents in here.extra_by_trade} == {0}


@pytest.mark.usefixtures("no_ways_out")
@pytest.mark.parametrize("at", [(1_500, 0), (0, 2_600), (2_500, 3_500)])
def test_no_pair_through_a_place_is_cheaper(at: tuple[int, int]) -> None:
    """The set through a place costs no more than one design through it with the other's cheapest beside it."""
    survey = wide()
    asked = AskedTerminal(at)
    (here,) = placed(replace(survey, what_about=(Question("here", None, asked, "left"),)), SETTINGS).what_about
    tried = list(pairs(survey, 0, [asked]))
    assert tried and here.status is Status.OPTIMAL
    assert here.cost_cents == min(tried)


@pytest.mark.parametrize("index", [0, 1])
def test_explanations_are_those_of_a_house_with_the_others_things(index: int) -> None:
    """Designs that differ, ranges of prices and missing answers come out as for one heater, once the other dwelling's
    case and intake are written into the survey."""
    survey = replace(wide(), explain=WISHES)
    answer = placed(survey, SETTINGS)
    assert answer.status is Status.OPTIMAL and answer.dwellings is not None
    told = answer.dwellings.explained[index]
    assert (told.dwelling, told.as_in_set) == (NAMES[index], True)
    other = answer.dwellings.designs[1 - index][1].design
    own = of_dwelling(apart_from(survey, index), survey.dwellings[index])
    written = with_things_of(own, own, other)
    alone = place(replace(written, explain=WISHES), SETTINGS).explained
    assert alone is not None
    assert figures(told.explained) == figures(alone)


def figures(told: Explained) -> tuple[object, ...]:
    """What is told, without what names the designs; a set that crosses the inner wall is none of a dwelling's."""
    assert told.different is not None and told.sureness is not None
    total = told.different.total_cents
    ranges = sorted(map(_range, told.sureness.prices))
    return None if total is None or total > CROSSING else total, ranges, [a.pointer for a in told.sureness.answers]


def _range(price: PriceRange) -> tuple[str, int | None, int | None, bool]:
    return price.key, price.low.cents, price.high.cents, price.everywhere


def test_of_a_dwelling_without_a_design_it_is_told_why() -> None:
    """Inlets all round one of two: their rule alone is in the way, and without them its heater costs as much as told.
    """
    free = wide()
    far, deep_mm, middle = 2 * WIDTH + WALL, 3_500, WIDTH + WALL + WIDTH // 2
    around = [(x, y) for x in (WIDTH + 2 * WALL, middle, far) for y in (0, deep_mm)] + [(far, deep_mm // 2)]
    inlets = (AirInlet(f"inlet {i}", InletKind.FORCED, at, 200, 2_400, 2_600) for i, at in enumerate(around))
    survey = replace(free, site=replace(free.site, air_inlets=tuple(inlets)))
    answer = place(survey, SETTINGS)
    assert answer.status is Status.INFEASIBLE and answer.deadlock is not None
    (way,) = answer.deadlock.ways_out
    assert (answer.deadlock.dwelling, answer.deadlock.beside) == ("right", ())
    rule = next(r for r in rule_set(survey.site.rule_set).rules if r.id == way.rules[0])
    assert answer.deadlock.blocking == way.rules and rule.objects == ("forced_inlet",)
    alone = place(of_dwelling(apart_from(free, 1), free.dwellings[1]), SETTINGS)
    assert way.design.total_cents == alone.designs[0].design.total_cents


def test_beside_what_the_last_heater_finds_no_gas_is_told() -> None:
    """Old pipe that may not be renewed carries one heater: the one that hangs second lacks gas, and with pipe that may
    be renewed there is a set."""
    free = two_dwellings(("co-direct-199",), pipe="1/2")
    longer = tuple(replace(s, length_mm=s.length_mm + 9_000) for s in free.gas.segments)
    fixed = tuple(replace(s, fixed=True) for s in longer)
    answer = place(replace(free, gas=replace(free.gas, segments=fixed)), SETTINGS)
    assert answer.status is Status.INFEASIBLE and answer.deadlock is not None
    assert (answer.deadlock.dwelling, answer.deadlock.beside) == ("right", ("left",))
    assert all(rule.startswith("gas.") for rule in answer.deadlock.blocking) and answer.deadlock.blocking
    assert place(replace(free, gas=replace(free.gas, segments=longer)), SETTINGS).dwellings is not None
