"""What the service is held against: its own full grid, and what a newcomer would write.

All peers of the uniform grid get the same ``Problem``; costs come back in cents, None where nothing was found.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import highspy
import networkx as nx  # type: ignore[import-untyped]
import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import dijkstra

from service.siting.ground import Ground
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.equipment import MONEY_SCALE
from tests.benchmarks.grid_problem import Edges, Inlets, Leg, Problem
from tests.benchmarks.uniform_grid import Bools, Floats, Ints


@dataclass(frozen=True, slots=True)
class Verdict:
    """A peer's answer: wall time [s], cost [cents], size in its own measure, and whether it came to an end."""

    seconds: float
    cents: float | None
    size: int
    finished: bool


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


def flow_model(problem: Problem, seconds: float, whole: bool = True) -> Verdict:
    """One model of everything: a unit flow for each service to the mount chosen, limits as rows.

    ``whole`` makes mounts and the steps of limited services binary; else it is the linear relaxation.
    """
    began = time.perf_counter()
    model = _Model(problem)
    solver = highspy.Highs()  # type: ignore[no-untyped-call]
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("time_limit", seconds)
    solver.passModel(model.lp(whole))
    solver.run()
    info = solver.getInfo()
    ended = solver.getModelStatus() in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible)
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    cents = float(info.objective_function_value) if found else None
    return Verdict(time.perf_counter() - began, cents, model.columns, ended)


class _Model:
    """Columns and rows as they are added; costs in cents so that the solver sees small numbers."""

    def __init__(self, problem: Problem) -> None:
        self.columns, self.rows = 0, 0
        self._cost: list[Floats] = []
        self._binary: list[Bools] = []
        self._entries: list[tuple[Ints, Ints, Floats]] = []
        self._bounds: list[tuple[Floats, Floats]] = []
        mounts = self._add_columns(problem.fixed, binary=True)
        self._entries.append((self._add_rows(1, 1.0, 1.0).repeat(len(mounts)), mounts, np.ones(len(mounts))))
        for leg in problem.legs.values():
            self._add_leg(leg, mounts, problem.states)

    def _add_columns(self, units: Floats, binary: bool) -> Ints:
        self._cost.append(units / MONEY_SCALE)
        self._binary.append(np.full(len(units), binary))
        self.columns += len(units)
        return np.arange(self.columns - len(units), self.columns)

    def _add_rows(self, count: int, low: float, high: float) -> Ints:
        self._bounds.append((np.full(count, low), np.full(count, high)))
        self.rows += count
        return np.arange(self.rows - count, self.rows)

    def _add_leg(self, leg: Leg, mounts: Ints, states: int) -> None:
        """A unit flows from an inlet over the edges to the chosen mount; whole where a limit could split it."""
        limited = np.isfinite(leg.length_mm)
        edges = self._add_columns(leg.edges.cost, limited)
        inlets = self._add_columns(leg.inlets.cost, limited)
        hub, column = np.nonzero(leg.starts >= 0)
        ways = self._add_columns(np.zeros(len(hub)), False)
        balance, chosen = self._add_rows(states, 0.0, 0.0), self._add_rows(len(mounts), 0.0, 0.0)
        for rows, columns, value in (
            (balance[leg.edges.tail], edges, -1.0), (balance[leg.edges.head], edges, 1.0),
            (balance[leg.inlets.state], inlets, 1.0), (balance[leg.starts[hub, column]], ways, -1.0),
            (chosen[hub], ways, 1.0), (chosen, mounts, -1.0),
        ):  # fmt: skip
            self._entries.append((rows, columns, np.full(len(columns), value)))
        if limited:
            length = np.concatenate([leg.edges.run + leg.bend_mm * leg.edges.bends, leg.inlets.run])
            self._add_limit(np.concatenate([edges, inlets]), length, leg.length_mm)
        if np.isfinite(leg.max_bends):
            bends = np.concatenate([leg.edges.bends, leg.inlets.bends])
            self._add_limit(np.concatenate([edges, inlets]), bends, leg.max_bends)

    def _add_limit(self, columns: Ints, used: Floats, most: float) -> None:
        some = used > 0
        row = self._add_rows(1, -np.inf, most)
        self._entries.append((row.repeat(int(some.sum())), columns[some], used[some]))

    def lp(self, whole: bool) -> highspy.HighsLp:
        """The model in the solver's own form, relaxed unless ``whole``."""
        rows, columns, values = (np.concatenate(part) for part in zip(*self._entries, strict=True))
        matrix = sp.csc_array((values, (rows, columns)), shape=(self.rows, self.columns))
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = self.columns, self.rows
        lp.col_cost_ = np.concatenate(self._cost)
        lp.col_lower_, lp.col_upper_ = np.zeros(self.columns), np.ones(self.columns)
        lp.row_lower_, lp.row_upper_ = (np.concatenate(part) for part in zip(*self._bounds, strict=True))
        lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = matrix.indptr, matrix.indices, matrix.data
        if whole:
            kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
            lp.integrality_ = [kinds[int(b)] for b in np.concatenate(self._binary)]
        return lp
