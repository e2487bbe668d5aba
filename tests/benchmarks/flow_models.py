"""One flow model of everything on a uniform grid, as a newcomer would write it, by two solvers."""

from __future__ import annotations

import time

import highspy
import numpy as np
import scipy.sparse as sp
from ortools.sat.python import cp_model

from service.survey.equipment import MONEY_SCALE
from tests.benchmarks.grid_problem import Leg, Problem
from tests.benchmarks.peers import Verdict
from tests.benchmarks.uniform_grid import Bools, Floats, Ints

CENT_PARTS = 1000
"""CP-SAT takes whole costs: thousandths of a cent."""
FOR_CP_SAT = 8
"""Threads of its portfolio; it is told to use what a newcomer would."""


def flow_model(problem: Problem, seconds: float, whole: bool = True) -> Verdict:
    """A unit flow for each service to the mount chosen, limits as rows, by HiGHS.

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


def cp_sat_model(problem: Problem, seconds: float) -> Verdict:
    """The same model with all columns binary, by CP-SAT."""
    began = time.perf_counter()
    model = _Model(problem)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = FOR_CP_SAT
    solver.parameters.catch_sigint_signal = False
    status = solver.solve(model.cp())
    ended = status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    cents = solver.objective_value / CENT_PARTS if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
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

    def cp(self) -> cp_model.CpModel:
        """The model for CP-SAT."""
        rows, columns, values = (np.concatenate(part) for part in zip(*self._entries, strict=True))
        matrix = sp.csr_array((values, (rows, columns)), shape=(self.rows, self.columns))
        low, high = (np.concatenate(part) for part in zip(*self._bounds, strict=True))
        model = cp_model.CpModel()
        every = [model.new_bool_var("") for _ in range(self.columns)]
        for i in range(self.rows):
            part = slice(matrix.indptr[i], matrix.indptr[i + 1])
            used = [every[k] for k in matrix.indices[part].tolist()]
            weights = np.round(matrix.data[part]).astype(np.int64).tolist()
            total = cp_model.LinearExpr.weighted_sum(used, weights)
            model.add_linear_constraint(total, -(2**60) if np.isinf(low[i]) else round(low[i]), round(high[i]))
        costs = np.round(np.concatenate(self._cost) * CENT_PARTS).astype(np.int64).tolist()
        model.minimize(cp_model.LinearExpr.weighted_sum(every, costs))
        return model
