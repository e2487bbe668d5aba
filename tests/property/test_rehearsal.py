"""A rehearsal finds out what matters and proves nothing: whatever it says, the optimum is the same."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

import numpy as np
import pytest

from service.building.build import build
from service.siting.active import Active
from service.siting.ground import first_planes, ground_of
from service.siting.rehearsal import Rehearsals
from service.siting.stage import Stage
from service.siting.table import least_of
from service.siting.zones import Zones
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.outdoor_houses import outdoor_house
from tests.property.solving import cost_of, solved, solved_anew, solved_house

SEEDS = range(deep(12, 6))
HOPES = (0.5, 1.0, 1.0001, 1.02)
"""What is hoped for, by the bound."""


@pytest.mark.parametrize("hope", HOPES)
@pytest.mark.parametrize("seed", range(deep(5, 3)))
def test_no_hope_misleads_the_search(seed: int, hope: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """However low: a design that costs more is found all the same."""

    def told(
        self: Rehearsals, h: int, active: Active, zones: Zones, banned: Sequence[int], most: float
    ) -> float:  # fmt: skip
        hoped = hope * least_of([self.tables[h]], banned)
        return hoped if hoped < most else inf

    monkeypatch.setattr(Rehearsals, "learn", told)
    assert cost_of(solved_anew(house(seed))) == cost_of(solved_house(seed))


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_learned_changes_no_cost(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Rehearsals, "learn", lambda *_: inf)
    assert cost_of(solved_anew(house(seed))) == cost_of(solved_house(seed))


@pytest.mark.parametrize("seed", range(deep(4)))
def test_what_is_learned_outdoors_changes_no_cost(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    survey = outdoor_house(seed)
    monkeypatch.setattr(Rehearsals, "learn", lambda *_: inf)
    assert cost_of(solved_anew(survey)) == cost_of(solved(survey))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_rehearsal_leaves_bounds_as_they_are(seed: int) -> None:
    """It looks at the stage of all heaters, whose tables are wanted again, and hopes for no less than they say."""
    survey = house(seed)
    building = build(survey)
    ground, zones = ground_of(survey, building), Zones(building, survey)
    stage = Stage(ground, Active(first_planes(ground, ground.needs)), ground.needs, loose=True)
    before = [(table.total.copy(), table.shut.copy(), dict(table.offers)) for table in stage.tables]
    active = Active(first_planes(ground, ground.needs[:1]))
    bound = least_of(stage.tables[:1], ())
    assert Rehearsals(stage, stage.tables).learn(0, active, zones, (), inf) >= bound
    for table, (total, shut, offers) in zip(stage.tables, before, strict=True):
        assert np.array_equal(table.total, total)
        assert np.array_equal(table.shut, shut)
        assert all(table.offers[s] is offer for s, offer in offers.items())
    assert not stage.closed_hubs
    assert not stage.shut_outlets
