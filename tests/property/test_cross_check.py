"""CP-SAT comes to the same cost as the tables, and would notice a wrong one."""

from __future__ import annotations

import pytest

from service.building.build import build
from service.settings import Settings
from service.siting.active import Active
from service.siting.ground import first_planes, ground_of
from service.siting.master import columns_of, cross_check
from service.siting.stage import Stage
from service.siting.table import Table
from service.survey.model import Survey
from service.usecases.place import place
from service.usecases.results import Status
from tests.property.depth import deep
from tests.property.houses import house

SEEDS = range(4000, 4010)[: deep(10, 4)]


@pytest.mark.usefixtures("no_ways_out")
@pytest.mark.parametrize("seed", SEEDS)
def test_placement_is_confirmed_by_cp_sat(seed: int) -> None:
    """Every proven answer says that CP-SAT ended optimal at the same cost."""
    answer = place(house(seed), Settings())
    assert answer.status in (Status.OPTIMAL, Status.INFEASIBLE)
    if answer.status is Status.OPTIMAL:
        assert answer.proof.cross_check.startswith("CP-SAT OPTIMAL at the same cost")


def relaxed_tables(survey: Survey) -> list[Table]:
    """Tables of the first round, all rules aside."""
    ground = ground_of(survey, build(survey))
    return Stage(ground, Active(first_planes(ground)), ground.needs[:1]).tables


def test_right_cost_agrees_and_wrong_cost_does_not() -> None:
    """A cost one unit off the tables' minimum is not confirmed."""
    tables = relaxed_tables(house(1))
    least = min(float(t.total.min()) for t in tables)
    verdict = cross_check(columns_of(tables))
    assert verdict.agrees(least)
    assert not verdict.agrees(least + 1)
    assert not verdict.agrees(least - 1)


def test_wrong_table_is_noticed() -> None:
    """A total that its own services do not add up to is found out, too high and too low."""
    for shift in (-10_000.0, 10_000.0):
        tables = relaxed_tables(house(1))
        tables[0].total += shift
        claimed = float(tables[0].total.min())
        assert not cross_check(columns_of(tables)).agrees(claimed)
