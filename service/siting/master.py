"""CP-SAT as a second, independent judge of the choice among all hubs, variants and the meter.

The tables already hold exact minima, so the solver must come to the same cost; it takes over as the
decider where services share things (one meter serves all columns).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from ortools.sat.python import cp_model

from service.siting.stage import Table

SEED = 1
MOST_COLUMNS = 120
DETERMINISTIC_TIME = 5.0


@dataclass(frozen=True, slots=True)
class CrossCheck:
    """The solver's verdict: status name, columns looked at, cost and bound in money units."""

    status: str
    columns: int
    cost_units: int | None
    bound_units: int | None

    def agrees(self, units: float) -> bool:
        """Whether the solver proved the same cost."""
        return self.status == "OPTIMAL" and self.cost_units == round(units)


@dataclass(frozen=True, slots=True)
class _Column:
    table: Table
    hub: int


def cross_check(tables: list[Table], units: float) -> CrossCheck:
    """Choose again among the columns that could cost at most ``units`` and the next best ones."""
    columns = _columns(tables)
    model, cost = _model(columns)
    model.minimize(cost)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SEED
    solver.parameters.max_deterministic_time = DETERMINISTIC_TIME
    solver.parameters.catch_sigint_signal = False
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return CrossCheck(solver.status_name(status), len(columns), None, None)
    return CrossCheck(
        solver.status_name(status), len(columns), round(solver.objective_value), round(solver.best_objective_bound)
    )  # fmt: skip


def _columns(tables: list[Table]) -> list[_Column]:
    """The cheapest finite hubs of all tables, by cost."""
    found = []
    for i, table in enumerate(tables):
        order = np.argsort(table.total, kind="stable")[:MOST_COLUMNS]
        found += [(float(table.total[h]), i, int(h)) for h in order if np.isfinite(table.total[h])]
    return [_Column(tables[i], hub) for _, i, hub in sorted(found)[:MOST_COLUMNS]]


def _model(columns: list[_Column]) -> tuple[cp_model.CpModel, cp_model.LinearExpr]:
    """Exactly one column; each service of it by exactly one variant; the meter's upgrade paid once."""
    model = cp_model.CpModel()
    meter = model.new_bool_var("meter")
    terms: list[cp_model.LinearExpr] = []
    picks = []
    for i, column in enumerate(columns):
        pick = model.new_bool_var(f"column{i}")
        picks.append(pick)
        upgrade = column.table.meter_units if column.table.need.meter_upgrade else 0
        terms.append((round(float(column.table.fixed[column.hub])) - upgrade) * pick)
        if upgrade:
            model.add_implication(pick, meter)
        terms += _service_terms(model, column, pick)
    terms.append(max((c.table.meter_units for c in columns), default=0) * meter)
    model.add_exactly_one(picks)
    return model, cp_model.LinearExpr.sum(terms)


def _service_terms(model: cp_model.CpModel, column: _Column, pick: cp_model.IntVar) -> list[cp_model.LinearExpr]:
    terms: list[cp_model.LinearExpr] = []
    for service, offer in column.table.offers.items():
        costs = [float(v.cost[column.hub]) for v in offer.variants]
        ways = [model.new_bool_var(f"{service.value}{k}") for k in range(len(costs))]
        model.add(sum(ways) == pick)
        for way, cost in zip(ways, costs, strict=True):
            if np.isfinite(cost):
                terms.append(round(cost) * way)
            else:
                model.add(way == 0)
    return terms
