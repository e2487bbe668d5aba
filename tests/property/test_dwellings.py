"""Two heaters together: against pairs tried one by one, against each alone, in other orders."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin

import pytest

from service.building.build import build
from service.design import Design, Terminal
from service.settings import Settings
from service.survey.divided import of_dwelling
from service.survey.model import AskedTerminal, GasMethod, Survey
from service.usecases.place import place
from service.usecases.results import Placement, Status
from tests.once import placed
from tests.property.depth import deep
from tests.property.joint_brute import pairs, raster
from tests.property.transforms import moved
from tests.unit.joint_house import row, two_dwellings

SETTINGS = Settings(solver_seconds=60)
HOUSES = (
    ("us-2021", "co-direct-120", 2_500), ("ca-b149", "nc-direct-120", 2_800), ("us-2018", "co-direct-160", 1_500),
    ("us-2015", "co-direct-199", 2_900), ("ca-b149", "co-direct-199", 2_000),
)[: deep(1)]  # fmt: skip


def by_itself(survey: Survey) -> Survey:
    """The house with each gas run sized by its own length, a meter for both, and inner walls that nobody crosses."""
    items = survey.prices.items
    dear = {k: replace(p, cents=10**6) for k, p in items.items() if k.endswith(".wall_crossing")}
    gas = replace(survey.gas, method=GasMethod.BRANCH_TABLES)
    return replace(survey, gas=gas, prices=replace(survey.prices, items={**items, **dear}))


def together(survey: Survey) -> Placement:
    """Both heaters."""
    return placed(survey, SETTINGS)


def ends(survey: Survey, answer: Placement) -> tuple[AskedTerminal, ...]:
    """Where the two vents of an answer leave, as places to ask about."""
    assert answer.dwellings is not None
    house = build(survey)
    found = [checked.design.terminal for _, checked in answer.dwellings.designs]
    return tuple(
        AskedTerminal(f.point(t.s_mm), t.z_mm - max(g.z for g in f.grade if g.s0 <= t.s_mm <= g.s1))
        for t in found
        if isinstance(t, Terminal) and (f := house.facade(t.facade_id))
    )


@pytest.mark.slow
@pytest.mark.usefixtures("no_ways_out")
@pytest.mark.parametrize(("rules", "heater", "tee"), HOUSES)
def test_no_pair_tried_one_by_one_is_cheaper(rules: str, heater: str, tee: int) -> None:
    """Neither below the bound, nor below the proven cost; and the pair found is among those tried."""
    survey = by_itself(two_dwellings((heater,), rules=rules, tee=tee, pipe="2"))
    answer = together(survey)
    assert answer.dwellings is not None and answer.proof.bound_cents is not None
    mine = ends(survey, answer)
    tried = [cost for first in (0, 1) for cost in pairs(survey, first, (*raster(survey), mine[first]))]
    assert tried and min(tried) >= answer.proof.bound_cents - 1
    if answer.status is Status.OPTIMAL:
        assert answer.proof.cost_cents == min(tried)


@pytest.mark.parametrize("rules", ["us-2021", "ca-b149"])
def test_a_set_costs_no_less_than_each_alone(rules: str) -> None:
    """Where nothing is shared, beside the other no heater is cheaper than by itself; if neither is in the way, as
    cheap."""
    survey = by_itself(two_dwellings(("co-direct-120",), rules=rules, tee=1_000, pipe="2"))
    answer = together(survey)
    assert answer.dwellings is not None
    alone = [_alone(survey, d.id) for d in survey.dwellings]
    found = [checked.design.total_cents for _, checked in answer.dwellings.designs]
    assert all(a <= f for a, f in zip(alone, found, strict=True))
    if "one another's way" not in answer.proof.scope:
        assert alone == found


def _alone(survey: Survey, name: str) -> int:
    """What one dwelling's heater costs if the other is never hung, in its own room [cents]."""
    dwelling = next(d for d in survey.dwellings if d.id == name)
    own = of_dwelling(survey, dwelling)
    others = tuple(r.id for s in survey.storeys for r in s.rooms if r.id not in (dwelling.rooms or ()))
    answer = place(replace(own, preferences=replace(own.preferences, rooms_refused=others)), SETTINGS)
    assert answer.proof.cost_cents is not None
    return answer.proof.cost_cents


def test_without_dwellings_the_old_answer_comes_back() -> None:
    """The member left out, or never there: the same designs, the same proof."""
    survey = two_dwellings()
    one = replace(survey, dwellings=())
    answer, again = place(one, SETTINGS), place(replace(two_dwellings(), dwellings=()), SETTINGS)
    assert answer.dwellings is None and answer.designs
    assert [d.design for d in answer.designs] == [d.design for d in again.designs]
    assert answer.proof == again.proof


def test_order_of_the_dwellings_changes_nothing() -> None:
    """Named the other way round, they cost the same."""
    survey = two_dwellings(("co-direct-120", "nc-direct-160"), pipe="3/4")
    back = replace(survey, dwellings=survey.dwellings[::-1])
    first, second = together(survey), together(back)
    assert first.status is second.status is Status.OPTIMAL
    assert first.proof.cost_cents == second.proof.cost_cents


@pytest.mark.usefixtures("no_ways_out")
def test_naming_taps_never_makes_it_cheaper() -> None:
    """Of all pairs of nodes that the two may tap, the best costs what they cost when they may tap all nodes."""
    survey = two_dwellings(pipe="3/4")
    nodes = [n.id for n in survey.gas.nodes]
    free = together(replace(survey, dwellings=tuple(replace(d, gas_taps=tuple(nodes)) for d in survey.dwellings)))
    left, right = survey.dwellings
    costs = []
    for a in nodes:
        for b in nodes:
            held = replace(survey, dwellings=(replace(left, gas_taps=(a,)), replace(right, gas_taps=(b,))))
            answer = place(held, SETTINGS)
            assert answer.status in (Status.OPTIMAL, Status.INFEASIBLE)
            costs += [] if answer.proof.cost_cents is None else [answer.proof.cost_cents]
    assert free.status is Status.OPTIMAL and free.proof.cost_cents == min(costs)


@pytest.mark.usefixtures("no_ways_out")
def test_two_in_parallel_hang_in_one_room() -> None:
    """Two entries over the same room are two heaters in one house: neither is in the other's way, and no pair tried one
    by one is below the bound."""
    survey = by_itself(two_dwellings(pipe="2"))
    both = replace(survey, dwellings=tuple(replace(d, rooms=("left",)) for d in survey.dwellings))
    answer = together(both)
    assert answer.dwellings is not None and answer.status in (Status.OPTIMAL, Status.FEASIBLE)
    designs: list[Design] = [checked.design for _, checked in answer.dwellings.designs]
    assert len({d.mount for d in designs}) == 2
    assert answer.proof.bound_cents is not None and answer.proof.cost_cents is not None
    tried = list(pairs(both, 0, (*raster(both), *ends(both, answer)[:1])))
    assert tried and min(tried) >= answer.proof.bound_cents - 1
    if answer.status is Status.OPTIMAL:
        assert min(tried) == answer.proof.cost_cents


@pytest.mark.parametrize("count", [2, 12])
def test_a_row_of_flats_alike_is_proven(count: int) -> None:
    """Up to twelve on one wall, 3.1 m apart: alike but for the run of gas, which the farther ones have the longer, so
    none farther from the meter is cheaper; one meter for all."""
    answer = together(row(count))
    assert answer.status is Status.OPTIMAL and answer.dwellings is not None
    bills = [checked.design.total_cents for _, checked in answer.dwellings.designs]
    assert len(bills) == count and bills == sorted(bills)
    assert answer.dwellings.joint.keys == (("gas.meter_upgrade",) if count * 35.2 > 73 else ())


@pytest.mark.parametrize("degrees", [33, 8][: deep(1)])
def test_a_house_askew_is_placed_as_well(degrees: int) -> None:
    """Turned by an angle, places are rounded on the way; the set is as lawful, and costs the same to a quarter."""
    c, s = cos(radians(degrees)), sin(radians(degrees))
    survey = two_dwellings(rules="ca-b149", tee=2_800, pipe="3/4")
    askew = moved(survey, lambda p: (round(c * p[0] - s * p[1]), round(s * p[0] + c * p[1])))
    straight, turned = together(survey), together(askew)
    assert straight.proof.cost_cents is not None and turned.proof.cost_cents is not None
    assert abs(straight.proof.cost_cents - turned.proof.cost_cents) < 100


def test_too_short_a_run_leaves_the_longer_one() -> None:
    """Where no lawful design keeps all runs short, that part of the sets counts for nothing in the bound."""
    answer = together(replace(row(2), gas=replace(row(2).gas, method=GasMethod.LONGEST_TABLES)))
    assert answer.status is Status.OPTIMAL and answer.proof.cost_cents == answer.proof.bound_cents


def test_ended_early_the_bound_holds() -> None:
    """However little time there is: no set below the bound, none claimed proven that is not."""
    survey = two_dwellings(("co-direct-160",), tee=2_900)
    late = together(survey)
    assert late.proof.cost_cents is not None
    for seconds in (0.05, 1.0):
        early = place(survey, Settings(solver_seconds=seconds))
        assert early.proof.bound_cents is None or early.proof.bound_cents <= late.proof.cost_cents
        assert early.status is not Status.INFEASIBLE
        if early.status is Status.OPTIMAL:
            assert early.proof.cost_cents == late.proof.cost_cents
