"""Parts of the house that a search leaves out hold nothing: with all of it the optimum costs the same. Bounds made
without levels of their own are undercut by no table that has them."""

from __future__ import annotations

from collections.abc import Callable, Collection
from itertools import product

import numpy as np
import pytest

from service.building.build import build
from service.routing.columns import EVERYWHERE
from service.siting import regions
from service.siting.active import Active
from service.siting.ground import first_planes, ground_of
from service.siting.regions import RegionsOf
from service.siting.stage import Stage
from service.siting.table import Table
from service.siting.ways import Regions
from service.survey.model import Survey
from tests.property.brute_pressure import pressed_house
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.outdoor_houses import outdoor_house
from tests.property.roofs import roofed
from tests.property.solving import cost_of, solved_anew

FIRST = 7300
HOUSES = deep(2, 1)


def the_whole_house(_: RegionsOf, surfaces: Collection[int], most: float) -> Regions:
    """What takes the place of ``RegionsOf.at``: every sheet for every service, and all of each surface."""
    return Regions(None, dict.fromkeys(surfaces, EVERYWHERE))


def pressed(seed: int) -> Survey:
    """A generated house in which water pressure may matter."""
    return pressed_house(house(seed), seed)


KINDS: tuple[Callable[[int], Survey], ...] = (house, outdoor_house, roofed, pressed)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_what_is_left_out_of_the_house_changes_no_cost(
    kind: Callable[[int], Survey], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where a limit on a run decides, the proof is of the network only, and places found on the way may differ."""
    surveys = [kind(seed) for seed in range(FIRST, FIRST + HOUSES)]
    monkeypatch.setattr(regions, "SMALL_STATES", 0)
    parts = [solved_anew(survey) for survey in surveys]
    monkeypatch.setattr(RegionsOf, "at", the_whole_house)
    wholes = [solved_anew(survey) for survey in surveys]
    pairs = [(p, w) for p, w in zip(parts, wholes, strict=True) if not p.limited and not w.limited]
    assert [(cost_of(p), cost_of(w)) for p, w in pairs if cost_of(p) != cost_of(w)] == []
    assert len(pairs) >= HOUSES / 4


@pytest.mark.parametrize("kind", KINDS)
def test_no_table_undercuts_the_bounds(kind: Callable[[int], Survey]) -> None:
    """With levels for the vent of each heater, no surface costs less than what was told without them."""
    under = []
    for seed in range(FIRST, FIRST + HOUSES):
        survey = kind(seed)
        building = build(survey)
        ground = ground_of(survey, building)
        active = Active(first_planes(ground, ground.needs))
        loose = Stage(ground, active, ground.needs, loose=True).tables if ground.needs else []
        exact = [Stage(ground, active, (need,)).tables[0] for need in ground.needs]
        for (low, high), surface in product(zip(loose, exact, strict=True), range(len(ground.sheets.walls))):
            if _least(high, surface) < _least(low, surface):
                under.append((seed, high.need.heater.label, surface))
    assert under == []


def _least(table: Table, surface: int) -> float:
    return float(table.total[table.hubs.surface == surface].min(initial=np.inf))
