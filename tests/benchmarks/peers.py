"""What the service is held against: its own full grid, and what a newcomer would write.

All peers of the uniform grid get the same ``Problem``; costs come back in cents, None where nothing was found.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import networkx as nx  # type: ignore[import-untyped]
import numpy as np
import rustworkx as rx
import scipy.sparse as sp
from scipy.sparse.csgraph import dijkstra

from service.siting.ground import Ground
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.equipment import MONEY_SCALE
from tests.benchmarks.grid_problem import Edges, Inlets, Leg, Problem
from tests.benchmarks.uniform_grid import Floats, Ints


@dataclass(frozen=True, slots=True)
class Verdict:
    """A peer's answer: wall time [s], cost [cents], size in its own measure, whether it came to an end, and memory
    taken [MiB] where that was measured."""

    seconds: float
    cents: float | None
    size: int
    finished: bool
    mib: float = 0.0


def critical(ground: Ground, zones: Zones, seconds: float, eager: bool) -> Verdict:
    """One design on critical planes: lazily as the service does, or everything cut in at once."""
    began = time.perf_counter()
    outcome = search(ground, zones, 1, time.monotonic() + seconds, eager=eager)
    cents = None if outcome.cost_units is None else outcome.cost_units / MONEY_SCALE
    return Verdict(time.perf_counter() - began, cents, outcome.states, not outcome.cut_off)


def scipy_dijkstra(problem: Problem) -> Verdict:
    """Shortest paths service by service, compiled; limits on length and bends are not kept."""
    return _shortest(problem, _scipy_field)


def networkx_dijkstra(problem: Problem) -> Verdict:
    """The same with a graph library in plain Python."""
    return _shortest(problem, _networkx_field)


def rustworkx_dijkstra(problem: Problem) -> Verdict:
    """The same with a compiled graph library."""
    return _shortest(problem, _rustworkx_field)


def _shortest(problem: Problem, field: Callable[[Leg, int], Floats]) -> Verdict:
    began = time.perf_counter()
    best = float(_totals(problem, field).min(initial=np.inf))
    return Verdict(time.perf_counter() - began, _cents(best), problem.states, True)


def _totals(problem: Problem, field: Callable[[Leg, int], Floats]) -> Floats:
    """Cost at every mount, shortest paths added up [money units]."""
    total = problem.fixed.copy()
    for leg in problem.legs.values():
        total += np.append(field(leg, problem.states), np.inf)[leg.starts].min(axis=1)
    return total


def _cents(units: float) -> float | None:
    return units / MONEY_SCALE if np.isfinite(units) else None


def _scipy_field(leg: Leg, states: int) -> Floats:
    tail, head, cost = _with_root(leg.edges, leg.inlets, states)
    order = np.lexsort((cost, head, tail))
    tail, head, cost = tail[order], head[order], cost[order]
    first = np.append(True, (np.diff(tail) != 0) | (np.diff(head) != 0))  # the cheapest of parallel steps
    matrix = sp.csr_array((cost[first], (tail[first], head[first])), shape=(states + 1, states + 1))
    return np.asarray(dijkstra(matrix, indices=np.array(states))[:-1])


def _networkx_field(leg: Leg, states: int) -> Floats:
    tail, head, cost = _with_root(leg.edges, leg.inlets, states)
    order = np.argsort(-cost, kind="stable")  # of parallel steps the last, the cheapest, stays
    graph = nx.DiGraph()
    graph.add_weighted_edges_from(zip(tail[order].tolist(), head[order].tolist(), cost[order].tolist(), strict=True))
    found = nx.single_source_dijkstra_path_length(graph, states)
    out = np.full(states, np.inf)
    for state, value in found.items():
        if state != states:
            out[state] = value
    return out


def _rustworkx_field(leg: Leg, states: int) -> Floats:
    tail, head, cost = _with_root(leg.edges, leg.inlets, states)
    graph = rx.PyDiGraph()
    graph.add_nodes_from(range(states + 1))
    graph.add_edges_from(list(zip(tail.tolist(), head.tolist(), cost.tolist(), strict=True)))
    out = np.full(states + 1, np.inf)
    for state, value in rx.dijkstra_shortest_path_lengths(graph, states, float).items():
        out[state] = value
    return out[:-1]


def _with_root(edges: Edges, inlets: Inlets, root: int) -> tuple[Ints, Ints, Floats]:
    tail = np.concatenate([edges.tail, np.full(len(inlets.state), root)])
    return tail, np.concatenate([edges.head, inlets.state]), np.concatenate([edges.cost, inlets.cost])


def shortlisted(problem: Problem, count: int) -> Problem:
    """The problem with the mounts alone that are cheapest by shortest paths: a help no newcomer would have."""
    keep = np.sort(np.argsort(_totals(problem, _scipy_field), kind="stable")[:count])
    legs = {service: replace(leg, starts=leg.starts[keep]) for service, leg in problem.legs.items()}
    return replace(problem, fixed=problem.fixed[keep], legs=legs)


def unlimited(problem: Problem) -> Problem:
    """The problem without limits on length and bends: its flow model has whole corners, so an LP solves it."""
    legs = {s: replace(leg, length_mm=np.inf, max_bends=np.inf) for s, leg in problem.legs.items()}
    return replace(problem, legs=legs)
