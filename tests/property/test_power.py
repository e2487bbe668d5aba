"""Houses with circuits of many kinds: the optimum against brute force, and against itself on other grids."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

import numpy as np
import pytest

from service.building.build import build
from service.check.check import findings
from service.design import Service, Verdict
from service.siting.outcome import Outcome
from service.survey.checks import check_survey
from service.survey.model import Circuit, Receptacle, Survey
from tests.property.brute_force import cheapest, lines_of
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import CENT, cost_of, solved, solved_house

SEEDS = range(deep(6))
QUICK = range(3)


@cache
def wired_house(seed: int) -> Survey:
    """A generated house with its outlet's circuit told, an outlet near where the heater hung, and perhaps a panel."""
    r, survey, before = Random(f"circuits {seed}"), house(seed), solved_house(seed)
    first = replace(survey.receptacles[0], circuit=r.choice((Circuit(), _circuit(r))))
    outlets = [first]
    if before.designs:
        run = before.designs[0].route(Service.POWER)
        assert run is not None
        x, y, z = run.pieces[0].start
        near = (x, y, max(z - r.randint(0, 1500), min(z, 250)))
        at = build(survey).frame.to_survey3(near)
        outlets.append(Receptacle("near", at, circuit=_circuit(r), gfci=r.choice((None, False, True))))
    if r.random() < 0.5:
        outlets.append(Receptacle("panel", first.at, True, free_spaces=r.choice((None, 0, 2))))
    return replace(survey, receptacles=tuple(outlets))


def _circuit(r: Random) -> Circuit:
    dedicated = r.random() < 0.3
    load = 0.0 if dedicated else float(r.choice((0, 400, 900, 1100, 1500)))
    fixed = min(load, float(r.choice((0, 300, 700))))
    volts = r.choice((120.0, 120.0, 120.0, 240.0))
    return Circuit(volts, r.choice((15.0, 20.0)), load, fixed, dedicated, "12", r.choice((None, 9000)))


@cache
def solved_wired(seed: int) -> Outcome:
    """Its proven optimum."""
    return solved(wired_house(seed))


def faults_of(seed: int) -> list[str]:
    """What brute force and checker say against the optimum."""
    survey, ours = wired_house(seed), solved_wired(seed)
    brute = cheapest(survey, lines_of(ours.designs[0]) if ours.designs else ())
    least = np.inf if brute is None else brute[0]
    faults = [] if cost_of(ours) <= least + CENT else [f"{survey.name}: {cost_of(ours) / CENT}, brute {least / CENT}"]
    for design in ours.designs:
        found = findings(survey, build(survey), design)
        faults += [f"{survey.name}: {f}" for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)]
    return faults


def test_surveys_are_sound() -> None:
    """The intake's own checks find nothing wrong with them."""
    assert [f for seed in QUICK for f in check_survey(wired_house(seed))[0]] == []


@pytest.mark.parametrize("seed", QUICK)
def test_brute_force_finds_nothing_cheaper_soon(seed: int) -> None:
    """A few houses."""
    assert faults_of(seed) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS[len(QUICK) :])
def test_brute_force_finds_nothing_cheaper(seed: int) -> None:
    """In the other houses no lawful way of power that the brute force tries is cheaper, and the checker passes ours."""
    assert faults_of(seed) == []


@pytest.mark.slow
def test_all_ways_occur_and_the_eager_search_agrees() -> None:
    """Cord and cable win somewhere, so that the limit is tried; all zones and obstacles at once change no cost."""
    ways = {}
    for seed in SEEDS:
        ours = solved_wired(seed)
        for design in ours.designs:
            run = design.route(Service.POWER)
            assert run is not None
            ways.setdefault(run.option, []).append(seed)
    assert {"cable", "cord", "cord_gfci"} <= set(ways)
    for seeds in ways.values():
        assert cost_of(solved(wired_house(seeds[0]), eager=True)) == cost_of(solved_wired(seeds[0]))
