"""Parts of the re-check against other methods: paths listed one by one, another graph library, zones point by point."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from math import inf
from random import Random

import networkx as nx  # type: ignore[import-untyped,unused-ignore]
import numpy as np
import pytest

from service.clearance.model import Zone
from service.design import Surface
from service.verify.closed import closed
from service.verify.limits import Way
from service.verify.network import SURFACES, Columns
from service.verify.spread import Ends, Rates, Spreader

WIDTH = 2
"""Axes of travel of the small grids: along and up."""


@dataclass(frozen=True)
class Grid:
    """A wall of a few uprights and levels, as much of a network as the spreading asks for."""

    xs: tuple[int, ...]
    zs: tuple[int, ...]
    surfaces: dict[tuple[int, int, int], Surface] = field(default_factory=dict)
    axes: tuple[int, ...] = (0, 2)

    @cached_property
    def nodes(self) -> dict[tuple[int, int], int]:
        """Number of every node."""
        return {(x, z): i * len(self.zs) + k for i, x in enumerate(self.xs) for k, z in enumerate(self.zs)}

    @property
    def count(self) -> int:
        """Number of states."""
        return len(self.nodes) * WIDTH

    @cached_property
    def moves(self) -> list[tuple[int, int, int, int, Surface]]:
        """Node, node, axis, length, surface."""
        along = [((a, z), (b, z), 0, b - a) for a, b in pairwise(self.xs) for z in self.zs]
        up = [((x, a), (x, b), 2, b - a) for x in self.xs for a, b in pairwise(self.zs)]
        named = [(self.nodes[p], self.nodes[q], axis, mm) for p, q, axis, mm in along + up]
        return [(a, b, axis, mm, self.surfaces.get((a, b, axis), Surface.WALL)) for a, b, axis, mm in named]

    @cached_property
    def columns(self) -> Columns:
        """The same as columns of states."""
        rows = [(a * WIDTH, b * WIDTH, axis, mm, SURFACES.index(s)) for a, b, axis, mm, s in self.moves]
        a, b, axis, length, surface = (np.array(c, dtype=np.int64) for c in zip(*rows, strict=True))
        nowhere = np.zeros((5, len(a)), dtype=np.int64)
        return Columns(a + (axis == 2), b + (axis == 2), axis, length, surface, nowhere[0], nowhere[1:])


def way_on(r: Random, limit: float, climbs: int = 0) -> tuple[Grid, Way]:
    """A small grid with dear and cheap pieces, two ends, and a run from its far corner."""
    grid = Grid(tuple(sorted(r.sample(range(900), 3))), tuple(sorted(r.sample(range(900), 3))))
    for a, b, axis, _, _ in grid.moves:
        grid.surfaces[a, b, axis] = r.choice((Surface.WALL, Surface.WALL_FINISHED, Surface.CHASE))
    fresh = Grid(grid.xs, grid.zs, grid.surfaces)
    rates = Rates(
        {Surface.WALL: r.randint(1, 9), Surface.WALL_FINISHED: r.randint(1, 20), Surface.CHASE: r.randint(0, 3)},
        {Surface.CHASE: r.choice((0, 700))}, r.randint(0, 900), climbs,
    )  # fmt: skip
    ends = Ends(np.array([0, 5]), np.array([float(r.randint(0, 500)), 0.0]), np.array([0.0, 100.0]), np.array([0, 1]))
    states = np.array([[fresh.count - 1, fresh.count - 2]])
    spreader = Spreader(fresh)  # type: ignore[arg-type]  # it has all that is asked of a network
    shut = np.zeros(len(fresh.moves), dtype=bool)
    made = Way(spreader, "run", rates, shut, ends, states, np.zeros(1), np.array([limit]), float(r.choice((0, 150))))
    return fresh, made


def graph_of(grid: Grid, way: Way) -> nx.DiGraph:
    """Moves from the heater's side, with cost and length; climbing only up or only down where that is asked."""
    graph = nx.DiGraph()
    rates = way.rates
    for a, b, axis, mm, surface in grid.moves:
        units = rates.per_mm[surface] * mm + rates.once.get(surface, 0)
        for u, v, rises in ((a, b, 1), (b, a, -1)):
            if axis == 2 and rates.climbs and rises != rates.climbs:
                continue
            graph.add_edge(u * WIDTH + (axis == 2), v * WIDTH + (axis == 2), cost=units, mm=mm)
    for node in range(len(grid.nodes)):
        for u, v in ((0, 1), (1, 0)):
            graph.add_edge(node * WIDTH + u, node * WIDTH + v, cost=rates.bend, mm=way.bend_mm)
    for state, units, used in zip(way.ends.states, way.ends.units, way.ends.used, strict=True):
        graph.add_edge(int(state), "end", cost=float(units), mm=float(used))
    return graph


def listed(graph: nx.DiGraph, starts: list[int], limit: float) -> float:
    """Least cost of all simple paths within a length, each looked at by itself."""
    least = inf
    for start in starts:
        for path in nx.all_simple_edge_paths(graph, start, "end"):
            cost, mm = (sum(graph.edges[e][word] for e in path) for word in ("cost", "mm"))
            if mm <= limit and cost < least:
                least = cost
    return least


@pytest.mark.parametrize("climbs", [0, 1, -1])
@pytest.mark.parametrize("seed", range(4))
def test_spreading_agrees_with_another_graph_library(seed: int, climbs: int) -> None:
    """Dijkstra of NetworkX on a graph of its own."""
    grid, way = way_on(Random(seed), inf, climbs)
    graph = graph_of(grid, way)
    told = nx.single_source_dijkstra_path_length(graph.reverse(), "end", weight="cost")
    assert [told.get(s, inf) for s in range(grid.count)] == way.field[:-1].tolist()


@pytest.mark.parametrize("seed", range(12))
def test_runs_within_a_limit_agree_with_all_paths_listed(seed: int) -> None:
    """Label search finds the cheapest run within the limit, or that there is none, or none below what it may cost; and
    no price on length ever bounds it from above."""
    grid, free = way_on(Random(seed), inf)
    graph, starts = graph_of(grid, free), free.starts[0].tolist()
    for share in (0.7, 1.0, 1.2, 1.6):
        limit = float(round(share * free.shortest[free.starts].min()))
        truth = listed(graph, starts, limit)
        _, way = way_on(Random(seed), limit)
        for rate in (1, 7, 50, 4000):
            assert way.price_length(rate, 0) <= truth
        assert float(way.bound[0]) <= truth
        way.settle(0, 1e15)
        assert (float(way.bound[0]) if way.settled[0] else inf) == truth
        if truth < inf:
            _, again = way_on(Random(seed), limit)
            again.settle(0, truth)
            assert not again.settled[0] and again.bound[0] == truth


def test_rectangles_close_their_inside_alone() -> None:
    """Equality keeps a rule: edges stay open."""
    s, z = (g.ravel() for g in np.meshgrid(np.arange(0, 50, 10), np.arange(0, 50, 10)))
    zone = Zone("F", 10, 30, 0, 40, 0, "rule", "thing")
    shut = closed([zone], s, z, (), lambda axis, at: True)
    assert set(zip(s[shut].tolist(), z[shut].tolist(), strict=True)) == {(20, 10), (20, 20), (20, 30)}


@pytest.mark.parametrize("seed", range(20))
def test_a_round_zone_never_closes_a_place_that_stands_for_its_rim(seed: int) -> None:
    """Whatever of the rim lies between two neighbouring lines has an open neighbour inside, unless the rim's own place
    is on the network: judged point by point with the zone's own rule."""
    r = Random(seed)
    zone = Zone("F", 400, 600, 400, 600, r.randint(80, 300) ** 2, "rule", "thing")
    lines = [sorted({0, 1000, *r.sample(range(1000), 6)}) for _ in range(2)]
    s, z = (g.ravel() for g in np.meshgrid(*lines))
    shut = closed([zone], s, z, (), lambda axis, at: True)
    for i in np.flatnonzero(shut):
        assert zone.covers(int(s[i]), int(z[i]))
        for axis, own in enumerate(lines):
            place = [int(s[i]), int(z[i])]
            for way in (1, -1):
                ahead = [v for v in own if (v - place[axis]) * way > 0]
                nearest = min(ahead, key=lambda v: abs(v - place[axis]), default=None)
                between = range(place[axis], place[axis] if nearest is None else nearest, way)
                passed = [v for v in between if not zone.covers(*(v if a == axis else place[a] for a in (0, 1)))]
                assert passed == []


def test_a_place_said_to_be_closed_is_believed_only_with_its_rim_cut_in() -> None:
    """Four places of the rim: on the network or off the surface; else the place stays open."""
    zone = Zone("F", 500, 500, 500, 500, 100**2, "rule", "thing")
    s, z = np.array([0, 500, 1000]), np.array([500, 500, 500])
    place = {(500, 500)}
    assert not closed([zone], s, z, place, lambda axis, at: True)[1]
    assert closed([zone], s, z, place, lambda axis, at: False)[1]
    assert not closed([zone], s, z, (), lambda axis, at: False)[1]
