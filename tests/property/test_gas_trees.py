"""Sizes of random gas trees: three exact methods agree, brute force agrees, and more gas never needs less pipe."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import gcd, inf, isfinite
from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from service.piping.judge import Judgement, judge
from service.piping.labels import budget_units, front
from service.piping.network import Network
from service.piping.options import Option
from service.piping.sizing import Sizing, size
from service.survey.model import GasMethod, GasNode, GasSegment
from tests.property.depth import deep
from tests.property.gas_trees import LONGEST, METHODS, Case, Rules, crowded_case, random_case

CROWDED = range(5000, 5320)[: deep(320, 160)]
BATCHES = [range(start, start + 20) for start in range(0, 200, 20)]
LENGTH_METHODS = tuple(m for m in METHODS if m is not GasMethod.PRESSURE)


def sized(case: Case) -> Sizing:
    """The answer under test."""
    return size(Network(case.supply, case.gas), case.prices, case.method)


def judged(case: Case) -> Judgement:
    """The answer of CP-SAT."""
    return judge(Network(case.supply, case.gas), case.prices, case.method)


def by_segment(case: Case, sizing: Sizing) -> dict[str, Option | None]:
    """Choices by name of segment."""
    pipes = Network(case.supply, case.gas).pipes
    return {pipe.segment.id: found.choice for pipe, found in zip(pipes, sizing.pipes, strict=True)}


class Highs:
    """The rules as a mixed-integer program: one 0-1 column for each option of each pipe."""

    def __init__(self, case: Case, most: float = inf) -> None:
        """Number the columns; ``most``: a loss that no run may pass, besides what it may lose."""
        self.rules, self.most = Rules(case), most
        self.columns = [(i, o) for i, options in enumerate(self.rules.options) for o in options]

    def units(self) -> int | None:
        """Least cost [money units]; None if no assignment is lawful."""
        if not all(self.rules.options):
            return None
        costs = [o.units(self.rules.lines[i].segment.length_mm) for i, o in self.columns]
        scale = max(1, gcd(*costs))
        found = milp(
            [cost / scale for cost in costs],
            constraints=[LinearConstraint(np.array(rows), low, high) for rows, low, high in self._constraints()],
            integrality=np.ones(len(costs), dtype=int),
            bounds=Bounds(0, np.array([self._is_known(i, o) for i, o in self.columns], dtype=float)),
            options={"mip_rel_gap": 0.0},
        )
        if found.status == 2:
            return None
        assert found.status == 0, found.message
        picks = [o for (_, o), x in zip(self.columns, found.x, strict=True) if x > 0.5]
        assert self.rules.is_lawful(picks)
        return self.rules.units(picks)

    def _constraints(self) -> list[tuple[list[list[float]], list[float], list[float]]]:
        count = len(self.rules.lines)
        one = [[float(j == i) for j, _ in self.columns] for i in range(count)]
        held = self._losses() if self.rules.case.method is GasMethod.PRESSURE else self._lengths()
        rows, low, high = [r for r, _ in held], [-np.inf] * len(held), [h for _, h in held]
        return [(one, [1.0] * count, [1.0] * count), (rows, low, high)]

    def _losses(self) -> list[tuple[list[float], float]]:
        """Loss of every way is within what it may be."""
        lost = {(i, o): self.rules.lost(i, o) for i, o in self.columns}
        return [
            ([lost[j, o] if j in line.way and isfinite(lost[j, o]) else 0.0 for j, o in self.columns],
             float(min(self.most, self.rules.may_lose(i))))
            for i, line in enumerate(self.rules.lines)
        ]  # fmt: skip

    def _lengths(self) -> list[tuple[list[float], float]]:
        """Length of every way is within the reach of each option that it sizes."""
        lines, most = self.rules.lines, 2 * sum(max(self.rules.own_mm(i, o) for o in options)
                                                for i, options in enumerate(self.rules.options))  # fmt: skip
        reach = {(i, o): self.rules.reach_mm(i, o, most) for i, o in self.columns}
        pairs = [
            (k, i) for k, line in enumerate(lines) for i in range(len(lines))
            if (line.zone == lines[i].zone if self.rules.case.method in LONGEST else i in line.way)
        ]  # fmt: skip
        return [
            ([(self.rules.own_mm(j, o) if j in lines[k].way else 0) - (reach[j, o] if j == i else 0)
              for j, o in self.columns], 0.0)
            for k, i in pairs
        ]  # fmt: skip

    def _is_known(self, i: int, option: Option) -> bool:
        return self.rules.case.method is not GasMethod.PRESSURE or isfinite(self.rules.lost(i, option))


@pytest.mark.parametrize("seeds", BATCHES, ids=str)
def test_labels_cp_sat_and_highs_agree(seeds: range) -> None:
    """Same cost to the money unit on 200 random trees, and what the labels chose is lawful by the plain rules."""
    for seed in seeds:
        case = random_case(seed)
        found = sized(case)
        assert judged(case).agrees(found.units), seed
        assert Highs(case).units() == found.units, seed
        assert found.units is None or is_lawful(case, found), seed


@pytest.mark.parametrize("seeds", [range(start, start + 40) for start in CROWDED[::40]], ids=str)
def test_they_agree_where_fittings_decide(seeds: range) -> None:
    """The same where runs are mostly fittings, so that a cheap large pipe may make its neighbours too long."""
    for seed in seeds:
        case = crowded_case(seed)
        found = sized(case)
        assert judged(case).agrees(found.units), seed
        assert Highs(case).units() == found.units, seed
        assert found.units is None or is_lawful(case, found), seed


def test_the_cheapest_that_carries_is_not_always_cheapest() -> None:
    """Among those trees some cost less if a pipe gives way to one with shorter fittings though it might stay."""
    counts = [0, 0]
    for seed in CROWDED:
        case = crowded_case(seed)
        if case.method is not GasMethod.PRESSURE and (found := sized(case)).units is not None:
            counts[is_dearer_kept(case, found)] += 1
    assert min(counts) > 0


def is_dearer_kept(case: Case, found: Sizing) -> bool:
    """Whether a pipe is renewed that carries its load over its length as it is."""
    pipes = Network(case.supply, case.gas).pipes
    return any(
        sized_pipe.choice is not None and not sized_pipe.choice.kept and sized_pipe.present_capacity_w is not None
        and sized_pipe.present_capacity_w >= pipe.load.drawn_w(case.supply.diversity)
        for pipe, sized_pipe in zip(pipes, found.pipes, strict=True)
    )  # fmt: skip


def test_judge_notices_a_wrong_cost() -> None:
    """One money unit more or less is no agreement, nor is a cost where there is none."""
    for seed in range(10):
        case = random_case(seed)
        units, told = sized(case).units, judged(case)
        wrong = [0] if units is None else [units + 1, units - 1, None]
        assert not any(told.agrees(w) for w in wrong)


def is_lawful(case: Case, found: Sizing) -> bool:
    """Whether the plain rules permit an answer and sum it up alike."""
    rules, choices = Rules(case), by_segment(case, found)
    picks = [choices[line.segment.id] for line in rules.lines]
    known = [pick for pick in picks if pick is not None]
    return len(known) == len(picks) and rules.is_lawful(known) and rules.units(known) == found.units


def test_most_trees_can_be_had_and_some_cannot() -> None:
    """The random trees try both answers, renewal and keeping, in every method."""
    for m in range(len(METHODS)):
        found = [sized(random_case(seed)) for seed in range(m, 200, len(METHODS))]
        possible = [f for f in found if f.units is not None]
        assert 10 <= len(possible) <= 38, METHODS[m]
        assert any(p.choice is not None and p.choice.kept for f in possible for p in f.pipes)
        assert any(f.units for f in possible)


@pytest.mark.parametrize("seed", range(1000, 1060))
def test_brute_force_agrees(seed: int) -> None:
    """On small trees with few sizes no assignment at all is cheaper."""
    case = (random_case, crowded_case)[seed % 2](seed, most_pipes=5, most_sizes=3)
    rules = Rules(case)
    order = sorted(product(*rules.options), key=rules.units)
    assert next((rules.units(picks) for picks in order if rules.is_lawful(picks)), None) == sized(case).units


@pytest.mark.parametrize("seed", range(0, 100, 4))
def test_lengths_are_those_of_the_rules(seed: int) -> None:
    """The length that each pipe is sized by, and the capacity told, are what the method says of the choices."""
    case = replace(random_case(seed), method=LENGTH_METHODS[seed % 4])
    found, rules = sized(case), Rules(case)
    if found.units is None:
        return
    names = [p.segment.id for p in Network(case.supply, case.gas).pipes]
    told = dict(zip(names, found.pipes, strict=True))
    picks = [choice for line in rules.lines if (choice := told[line.segment.id].choice) is not None]
    assert [told[line.segment.id].length_mm for line in rules.lines] == rules.lengths_mm(picks)
    for line in rules.lines:
        capacity = told[line.segment.id].capacity_w
        assert line.load_w == 0 or (capacity is not None and capacity * (1 + 1e-9) >= line.load_w)


@pytest.mark.parametrize("seed", range(0, 120, 3))
def test_more_load_never_makes_pipe_smaller(seed: int) -> None:
    """A larger input anywhere: the size needed of every pipe, in its own material, stays or grows."""
    case = simple(seed)
    appliances = list(case.supply.appliances)
    if not appliances:
        return
    i = Random(seed).randrange(len(appliances))
    appliances[i] = replace(appliances[i], input_w=appliances[i].input_w * 1.7)
    assert_no_smaller(case, replace(case, supply=replace(case.supply, appliances=tuple(appliances))))


@pytest.mark.parametrize("seed", range(1, 120, 3))
def test_longer_pipe_is_never_smaller(seed: int) -> None:
    """A longer segment anywhere: the same."""
    case = simple(seed)
    segments = list(case.supply.segments)
    i = Random(seed).randrange(len(segments))
    segments[i] = replace(segments[i], length_mm=segments[i].length_mm * 2)
    assert_no_smaller(case, replace(case, supply=replace(case.supply, segments=tuple(segments))))


def simple(seed: int) -> Case:
    """A tree of new pipe, so that each is of one material, by a length method."""
    case = replace(random_case(seed), method=LENGTH_METHODS[seed % 4])
    new = tuple(replace(s, size=None, fixed=False) for s in case.supply.segments if s.material != "lead")
    return replace(case, supply=replace(case.supply, segments=new))


def assert_no_smaller(before: Case, after: Case) -> None:
    """Choices after are as large as before, or cannot be had."""
    small, large = by_segment(before, sized(before)), by_segment(after, sized(after))
    for name, choice in large.items():
        was = small[name]
        assert choice is None or (was is not None and was.units_per_mm <= choice.units_per_mm), name


@pytest.mark.parametrize("seed", range(2, 120, 3))
def test_names_and_order_change_nothing(seed: int) -> None:
    """Other ids, and segments and appliances in another order: the same cost, or the same lack."""
    case, rng = random_case(seed), Random(seed)
    ids = [node.id for node in case.supply.nodes]
    renamed = dict(zip(ids, rng.sample([f"x{i}" for i in range(len(ids))], len(ids)), strict=True))
    segments = [
        replace(s, id=f"p{i}", start=renamed[s.start], end=renamed[s.end]) for i, s in enumerate(case.supply.segments)
    ]
    appliances = [replace(a, node=renamed[a.node]) for a in case.supply.appliances]
    other = replace(
        case.supply,
        delivery_node=renamed[case.supply.delivery_node],
        nodes=tuple(GasNode(renamed[n], (0, 0, 0)) for n in ids),
        segments=tuple(rng.sample(segments, len(segments))),
        appliances=tuple(rng.sample(appliances, len(appliances))),
        regulators=tuple(replace(r, node=renamed[r.node]) for r in case.supply.regulators),
    )
    assert sized(replace(case, supply=other)).units == sized(case).units


@pytest.mark.parametrize("seed", range(4, 100, 20))
def test_front_holds_the_cheapest_for_every_loss(seed: int) -> None:
    """The first pipe's staircase, cut at any budget, is what sizing its subtree with that budget costs."""
    case = without_regulators(seed)
    network = Network(case.supply, case.gas)
    stairs = front(network, case.prices, 0)
    assert all(a[0] < b[0] and a[1] > b[1] for a, b in zip(stairs, stairs[1:], strict=False))
    best = Highs(case).units()
    assert best == (stairs[-1][1] if stairs else None)
    assert all(need <= budget_units(network.zones[0]) for need, _ in stairs)
    for need, units in stairs[:-1]:
        assert Highs(case, need).units() == units


def without_regulators(seed: int) -> Case:
    """A tree on one first pipe in one zone at low pressure, no inlet limits, by the pressure method."""
    case = random_case(seed, most_pipes=8)
    first = GasSegment("first", "start", case.supply.delivery_node, "steel_sch40", None, 2000)
    appliances = tuple(replace(a, inlet_min_pa=None) for a in case.supply.appliances)
    segments = (first, *(replace(s, before_regulator=False) for s in case.supply.segments))
    supply = replace(
        case.supply, delivery_node="start", segments=segments, appliances=appliances, regulators=(),
        pressure_pa=2000.0, allowable_drop_pa=min(case.supply.allowable_drop_pa, 300.0),
    )  # fmt: skip
    return Case(supply, case.gas, case.prices, GasMethod.PRESSURE)
