"""Two heaters whose vents may leave over one roof: against pairs tried one by one, against each alone, and tables of
places over a roof against the search held to one."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from service.design import RoofTerminal
from service.survey.model import Survey
from service.usecases.results import Placement, Status
from tests.property.depth import deep
from tests.property.joint_brute import Over, over_raster, pairs
from tests.property.roofs import priced
from tests.property.test_dwellings import by_itself, together
from tests.property.test_least_places import SPREAD, least_at, party
from tests.unit.joint_house import over_both, two_dwellings

HOUSES = (
    ("ca-b149", "nc-direct-160", 0.0, 2_500), ("us-2018", "co-direct-120", 6.0, 2_900),
    ("ca-b149", "co-direct-199", 6.0, 2_500), ("us-2021", "co-direct-199", 0.0, 2_900),
)[: deep(1)]  # fmt: skip
ASIDE = ((0, 0), (1, 0), (-1, 0), (0, 1), (0, -1), (90, -60))
"""From a place to others near it [mm]."""


def under_one_roof(rules: str, heater: str, pitch: float, tee: int) -> Survey:
    """Both dwellings under a roof that it is cheap to pass, and walls that are not."""
    survey = by_itself(two_dwellings((heater,), rules=rules, tee=tee, pipe="2", roof=over_both(pitch)))
    return priced(priced(survey, 1 / 20, "roof"), 3.0, "vent.outer_wall")


def over_roof(answer: Placement) -> list[RoofTerminal]:
    """Where the vents of an answer end over the roof."""
    assert answer.dwellings is not None
    found = (checked.design.terminal for _, checked in answer.dwellings.designs)
    return [end for end in found if isinstance(end, RoofTerminal)]


@pytest.mark.slow
@pytest.mark.usefixtures("no_ways_out")
@pytest.mark.parametrize(("rules", "heater", "pitch", "tee"), HOUSES)
def test_no_pair_tried_one_by_one_is_cheaper(rules: str, heater: str, pitch: float, tee: int) -> None:
    """Neither below the bound, nor below the proven cost; and the pair found is among those tried."""
    survey = under_one_roof(rules, heater, pitch, tee)
    answer = together(survey)
    both = over_roof(answer)
    assert answer.proof.bound_cents is not None and len(both) == len(survey.dwellings)
    near = [Over(e.roof_id.removeprefix("roof/"), (e.x_mm + dx, e.y_mm + dy)) for e in both[:1] for dx, dy in ASIDE]
    tried = list(pairs(survey, 0, (*over_raster(survey), *near)))
    assert tried and min(tried) >= answer.proof.bound_cents - 1
    if answer.status is Status.OPTIMAL:
        assert answer.proof.cost_cents == min(tried)


def test_another_roof_is_never_dearer() -> None:
    """A roof that may be passed only adds places; one that nobody can pay for changes nothing."""
    survey = under_one_roof("us-2021", "co-direct-120", 0.0, 2_500)
    bare, dear = replace(survey, roof=None), priced(survey, 10_000.0, "roof")
    free, without, barred = (together(s).proof.cost_cents for s in (survey, bare, dear))
    assert free is not None and without is not None and free < without == barred


@pytest.mark.parametrize("pitch", [0.0, 6.0])
def test_no_place_over_a_roof_costs_less_than_its_table_says(pitch: float) -> None:
    """On the lines and between them, to the rounding of heights; where the search finds its cheapest, both say the
    same."""
    survey = under_one_roof("ca-b149", "nc-direct-120", pitch, 1_700)
    one, r = party(survey, 0), Random(f"roof {pitch}")
    told = one.least_places(SPREAD * one.units)
    assert told is not None
    grids = {name: grid for name, grid in told.ends.items() if name.startswith("roof/")}
    equal = 0
    for name, grid in grids.items():
        on = [place[:2] for place in grid.own_places(told.most)]
        any_x, any_y = (r.sample(range(int(v[0]), int(v[-1]) + 1), 6) for v in (grid.s, grid.z))
        for x, y in (*r.sample(on, min(6, len(on))), *zip(any_x, any_y, strict=True)):
            least, cost = float(grid.at(np.array([x]), np.array([y]))[0]), least_at(one, name, x, y, True)
            assert cost >= min(least, told.most) - 1e-3, (name, x, y)
            equal += cost == least
    assert equal
