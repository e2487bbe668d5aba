"""Heaters hung outdoors on generated houses: against brute force, both ways of searching, and what never may happen."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from service.building.build import build
from service.check.check import findings
from service.design import Verdict
from service.survey.checks import check_survey
from service.survey.model import Preferences, Survey
from tests.property.brute_force import lines_of
from tests.property.brute_outdoors import cheapest
from tests.property.depth import deep
from tests.property.outdoor_houses import outdoor_house, piped_outside
from tests.property.roofs import roof_over
from tests.property.solving import CENT, cost_of, solved
from tests.property.transforms import mirrored, reordered, translated, turned
from tests.property.twins import with_twins

HOUSES = deep(4, 2)
CHUNK = min(HOUSES, 4)
SEEDS = range(100, 100 + deep(2))
ROOFED = range(20, 20 + deep(2))
MISSED = 0.25


def colder(survey: Survey, winter_c: float) -> Survey:
    """The same house where it gets as cold as told [degC]."""
    return replace(survey, site=replace(survey.site, winter_design_temperature_c=winter_c))


def refused(survey: Survey) -> Survey:
    """The same house of somebody who wants nothing outdoors."""
    return replace(survey, preferences=Preferences())


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(HOUSES // CHUNK))
def test_brute_force_finds_nothing_cheaper(chunk: int) -> None:
    """On a grid that holds the answer's own lines too; what we answer passes the checker, and in nearly all houses the
    brute force, which knows neither search nor router, comes to the same cost."""
    faults, missed = [], 0
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        survey = outdoor_house(seed)
        ours = solved(survey)
        brute = cheapest(survey, lines_of(ours.designs[0]) if ours.designs else ())
        least = np.inf if brute is None else brute[0]
        if brute and cost_of(ours) > least + CENT:
            faults.append(f"{seed}: {cost_of(ours) / CENT} cents, brute force {least / CENT}: {brute[1].mount}")
        found = (f for d in ours.designs for f in findings(survey, build(survey), d))
        faults += [f"{seed}: {f}" for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)]
        missed += least != cost_of(ours)
    assert faults == []
    assert missed <= MISSED * CHUNK


@pytest.mark.parametrize("seed", (4, 6, 12, 18, 19)[: deep(5, 3)])
def test_pipes_outdoors_brute_force_comes_to_the_same(seed: int) -> None:
    """A heater may hang right before the pipes that it needs; it is met there without a way in, or through the wall."""
    survey = piped_outside(outdoor_house(seed))
    assert not check_survey(survey)[0]
    ours = solved(survey)
    brute = cheapest(survey, lines_of(ours.designs[0]))
    assert brute is not None and cost_of(ours) == brute[0]
    found = findings(survey, build(survey), ours.designs[0])
    assert all(f.verdict not in (Verdict.FAIL, Verdict.UNKNOWN) for f in found)


@pytest.mark.parametrize("seed", (1, 2, 11)[: deep(3, 2)])
def test_beside_twin_pipe_brute_force_comes_to_the_same(seed: int) -> None:
    """Heaters for rooms have an intake to place, some of them are listed for outdoors too: there they have none."""
    survey = with_twins(outdoor_house(seed))
    ours = solved(survey)
    brute = cheapest(survey, lines_of(ours.designs[0]) if ours.designs else ())
    assert cost_of(ours) == (np.inf if brute is None else brute[0])
    for design in ours.designs:
        assert (design.intake is None) == design.outdoors
        assert all(f.verdict not in (Verdict.FAIL, Verdict.UNKNOWN) for f in findings(survey, build(survey), design))


@pytest.mark.parametrize("seed", ROOFED)
def test_under_a_roof_brute_force_comes_to_the_same(seed: int) -> None:
    """Vents of the heaters for rooms may pass the roof, the others hang outside. At a limit the brute force may miss
    a run; what we answer passes the checker."""
    survey = outdoor_house(seed)
    survey = replace(survey, roof=roof_over(survey, Random(seed)))
    assert not check_survey(survey)[0]
    ours = solved(survey)
    brute = cheapest(survey, lines_of(ours.designs[0]) if ours.designs else ())
    least = np.inf if brute is None else brute[0]
    assert cost_of(ours) <= least and (ours.limited or cost_of(ours) == least)
    found = (f for d in ours.designs for f in findings(survey, build(survey), d))
    assert not [f for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)]


@pytest.mark.slow
def test_lazy_and_full_search_agree() -> None:
    """Everything cut in at once gives the same cost, and so do planes that nobody needs."""
    differing = []
    for seed in SEEDS:
        survey = outdoor_house(seed)
        lazy, more = solved(survey), solved(survey, extra_planes=[(0, 777), (1, 1234), (2, 1111), (2, 605)])
        costs = {cost_of(lazy), cost_of(more), cost_of(solved(survey, eager=True))}
        if len(costs) > 1:
            differing.append((seed, costs))
    assert differing == []


@pytest.mark.slow
def test_same_house_told_otherwise_costs_the_same() -> None:
    """Moved, turned, mirrored, shuffled."""
    ways = (lambda s: translated(s, 12_345, -6_789), lambda s: turned(s, 1), mirrored, reordered)
    differing = []
    for seed in SEEDS:
        plain = cost_of(solved(outdoor_house(seed)))
        costs = [cost_of(solved(way(outdoor_house(seed)))) for way in ways]
        if any(abs(c - plain) > CENT for c in costs if np.isfinite(plain) or np.isfinite(c)):
            differing.append((seed, plain, costs))
    assert differing == []


@pytest.mark.slow
def test_allowing_the_outdoors_is_never_dearer() -> None:
    """More places to choose from; and in some houses it is cheaper."""
    pairs = [(cost_of(solved(outdoor_house(s))), cost_of(solved(refused(outdoor_house(s))))) for s in SEEDS]
    assert all(allowed <= none for allowed, none in pairs)
    assert any(allowed < none for allowed, none in pairs)


@pytest.mark.slow
def test_colder_than_listed_is_as_if_refused() -> None:
    """Below every listing's limit nothing hangs outdoors. The rest of the answer is that of a winter as cold."""
    for seed in SEEDS:
        cold = colder(outdoor_house(seed), -11.0)
        assert cost_of(solved(cold)) == cost_of(solved(refused(cold))), seed


def test_generated_surveys_are_sound_and_some_hang_outdoors() -> None:
    """The intake's own checks find nothing wrong; outdoors wins in some houses and loses in others."""
    faults = {s: f for s in (*range(HOUSES), *SEEDS) if (f := check_survey(outdoor_house(s))[0])}
    assert faults == {}
    won = [d.outdoors for s in range(8) for d in solved(outdoor_house(s)).designs]
    assert any(won)
