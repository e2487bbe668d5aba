"""One state a node, for what bends for nothing: against a state for each direction, and along its own arcs."""

from __future__ import annotations

import random
from functools import cache

import numpy as np
import pytest

from service.building.build import build
from service.design import Surface
from service.routing.columns import cuts_of
from service.routing.fields import Field, spread
from service.routing.keys import AXIS_BITS
from service.routing.lattice import Lattice, build_lattice
from service.routing.paths import pieces_of
from service.routing.planes import Ints
from service.routing.tariff import Floats, Sources, Tariff
from service.routing.turns import elbows
from service.siting.ground import first_planes, ground_of
from tests.property.depth import deep
from tests.property.houses import house

SEEDS = range(deep(4))


@cache
def _fields(seed: int) -> tuple[Field, Field]:
    """The same costs of runs to some nodes, with a state for each direction and with one a node."""
    survey, rng = house(seed), random.Random(seed)
    ground = ground_of(survey, build(survey))
    planes = first_planes(ground, ground.needs)
    cuts = cuts_of(ground.sheets, planes, planes.coordinates(2), outdoors=False)
    many, one = (build_lattice(ground.sheets, cuts, (), free_bends=free) for free in (False, True))
    tariff = Tariff({s: rng.randint(0, 3) for s in Surface}, {Surface.WALL_CROSSING: rng.randint(0, 900)}, 0)
    closed = np.random.default_rng(seed).random(len(many.arcs.a)) < 0.2
    ends = np.array(rng.sample(one.nodes.tolist(), 3))
    return _spread(many, tariff, closed, ends), _spread(one, tariff, closed, ends)


def _spread(lattice: Lattice, tariff: Tariff, closed: np.ndarray, ends: Ints) -> Field:
    states = np.flatnonzero(np.isin(lattice.states >> AXIS_BITS, ends))
    none = np.zeros(len(states))
    return spread(lattice, tariff, closed, Sources(states, none, none, none.astype(int), tuple(range(len(states)))))


def _by_node(field: Field) -> Floats:
    return np.minimum.reduceat(field.cost, field.lattice.firsts)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_node_costs_what_its_cheapest_direction_does(seed: int) -> None:
    """To the unit, where it can be reached at all."""
    many, one = _fields(seed)
    assert len(one.cost) < len(many.cost)
    assert np.array_equal(many.lattice.nodes, one.lattice.nodes)
    assert np.array_equal(_by_node(many), one.cost)
    assert np.isfinite(one.cost).any()


@pytest.mark.parametrize("seed", SEEDS)
def test_a_straight_path_costs_no_more_and_turns_less(seed: int) -> None:
    """Every step over an open arc, from a node to an end, though some arcs cost nothing; fewer elbows in sum than along
    the paths that the field holds."""
    _, field = _fields(seed)
    reached = np.flatnonzero(np.isfinite(field.cost)).tolist()
    turns = [0, 0]
    for state in random.Random(seed).sample(reached, min(60, len(reached))):
        straight, plain = field.straight_path(state), field.path(state)
        assert (straight[0], field.cost[straight[-1]]) == (state, 0)
        assert sum(_least(field, u, v) for u, v in zip(straight, straight[1:], strict=False)) == field.cost[state]
        turns = [n + elbows(pieces_of(field, path)) for n, path in zip(turns, (straight, plain), strict=True)]
    assert turns[0] <= turns[1]


def _least(field: Field, u: int, v: int) -> float:
    """Cost of the cheapest open arc between two states."""
    lattice, nodes = field.lattice, field.lattice.nodes
    ends = {int(nodes[u]), int(nodes[v])}
    pairs = zip(lattice.arcs.a.tolist(), lattice.arcs.b.tolist(), strict=True)
    between = [k for k, pair in enumerate(pairs) if set(pair) == ends and not field.closed[k]]
    return min(float(field.tariff.arc_costs(lattice)[k]) for k in between)
