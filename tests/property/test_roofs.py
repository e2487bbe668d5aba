"""Houses with roofs: against brute force, lazy against full grid, planes nobody needs, other axes, other prices."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from service.building.build import build
from service.check.check import findings
from service.design import RoofTerminal, Verdict
from service.survey.checks import check_survey
from service.survey.model import Survey
from service.survey.roof import Roof
from tests.property.brute_force import cheapest, lines_of
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.roofs import priced, roofed
from tests.property.solving import CENT, cost_of, solved
from tests.property.transforms import mirrored, turned

SEEDS = range(8)
BY_BRUTE_FORCE = deep(4, 2)
CHUNK = min(BY_BRUTE_FORCE, 4)
TWO_WAYS = (1, 2, 0)[: deep(1, 2)]


def over_roof(seed: int) -> bool:
    """Whether the cheapest vent of a house ends over its roof."""
    return any(isinstance(d.terminal, RoofTerminal) for d in solved(roofed(seed)).designs)


def test_generated_roofs_are_sound() -> None:
    """The intake's own checks find nothing wrong with them."""
    assert {seed: faults for seed in range(60) if (faults := check_survey(roofed(seed))[0])} == {}


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(BY_BRUTE_FORCE // CHUNK))
def test_brute_force_finds_nothing_cheaper(chunk: int) -> None:
    """On a grid that holds the answer's lines, places below the roof among them, no lawful design is cheaper; in
    nearly all houses the cost is the same."""
    faults, same = [], 0
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        survey = roofed(seed)
        ours = solved(survey)
        brute = cheapest(survey, lines_of(ours.designs[0]) if ours.designs else ())
        least = np.inf if brute is None else brute[0]
        if brute and cost_of(ours) > least + CENT:
            faults.append((seed, cost_of(ours) / CENT, least / CENT, brute[1].terminal))
        for design in ours.designs:
            found = findings(survey, build(survey), design)
            faults += [(seed, f) for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)]
        same += least == cost_of(ours)
    assert faults == []
    assert same >= CHUNK - CHUNK // 4


def test_roofs_win_often_enough() -> None:
    """The houses try both: in many the vent ends over the roof, in some in a wall."""
    won = sum(over_roof(seed) for seed in SEEDS)
    assert len(SEEDS) / 4 <= won < len(SEEDS)


@pytest.mark.slow
@pytest.mark.parametrize("seed", TWO_WAYS)
def test_lazy_and_eager_agree(seed: int) -> None:
    """Cut in at once or as it matters: the same cost, but that where a limit decides the full grid may lack a place."""
    lazy, full = solved(roofed(seed)), solved(roofed(seed), eager=True)
    assert cost_of(lazy) <= cost_of(full) + CENT
    assert full.limited or cost_of(lazy) >= cost_of(full) - CENT


@pytest.mark.slow
@pytest.mark.parametrize("seed", TWO_WAYS)
def test_more_planes_change_nothing(seed: int) -> None:
    """Arbitrary planes in plan and height find nothing cheaper, to the rounding of heights on pitched roofs."""
    r, survey = Random(seed), roofed(seed)
    more = [(axis, r.randint(0, 4000)) for axis in (0, 0, 1, 1, 2, 2)]
    before, after = cost_of(solved(survey)), cost_of(solved(survey, extra_planes=more))
    assert after >= before - CENT


@pytest.mark.slow
@pytest.mark.parametrize("change", [mirrored, lambda s: turned(s, 1), lambda s: turned(s, 2)])
def test_mirrored_and_turned_houses_cost_the_same(change: Callable[[Survey], Survey]) -> None:
    """The same house in other axes has the same cost."""
    differing = []
    for seed in SEEDS[: deep(2, 1)]:
        before, after = cost_of(solved(roofed(seed))), cost_of(solved(change(roofed(seed))))
        if before != after and not abs(before - after) <= CENT:
            differing.append((seed, before, after))
    assert differing == []


@pytest.mark.slow
def test_dearer_walls_never_make_the_roof_lose() -> None:
    """Where the roof wins it still wins, at the same cost, when the way through a wall is dearer; and a roof that
    nobody told of never makes a house cheaper."""
    won = 0
    for seed in SEEDS[: deep(2)]:
        survey = roofed(seed)
        plain = solved(replace(survey, roof=None))
        ours = solved(survey)
        assert cost_of(ours) <= cost_of(plain), seed
        if over_roof(seed):
            won += 1
            dearer = solved(priced(survey, 3, "vent.outer_wall"))
            assert cost_of(dearer) == cost_of(ours) and isinstance(dearer.designs[0].terminal, RoofTerminal), seed
    assert won  # else nothing was looked at


def test_without_a_roof_nothing_changes() -> None:
    """A roof that lies over no room that may be left upwards, or has no price, costs what no roof costs."""
    for seed in SEEDS[:4]:
        survey = house(seed)
        storeys = tuple(
            replace(s, rooms=tuple(replace(r, under_roof=False) for r in s.rooms)) for s in survey.storeys
        )
        closed = replace(survey, storeys=storeys, roof=Roof())
        items = {k: p for k, p in survey.prices.items.items() if k != "vent.roof_penetration"}
        unpriced = replace(survey, roof=Roof(), prices=replace(survey.prices, items=items))
        before = cost_of(solved(replace(survey, storeys=storeys)))
        assert cost_of(solved(closed)) == before
        assert cost_of(solved(unpriced)) == cost_of(solved(survey))
