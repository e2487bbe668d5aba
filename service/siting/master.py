"""CP-SAT as a second, independent judge of the choice among all hubs, variants and the meter.

The tables already hold exact minima, so the solver must come to the same cost; it takes over as the
decider where services share things (one meter serves all columns).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite

import numpy as np
from ortools.sat.python import cp_model

from service.siting.table import Table

SEED = 1
MOST_COLUMNS = 60
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
class Column:
    """One heater at one hub: what it costs besides its services, whether it needs the larger meter
    and at what price, and for each service the costs of all its variants [money units]."""

    fixed: int
    needs_meter: bool
    meter: int
    services: tuple[tuple[float, ...], ...]


def columns_of(tables: list[Table]) -> tuple[Column, ...]:
    """The cheapest hubs of all tables, by cost."""
    found = sorted((item for table in tables for item in _cheapest(table)), key=lambda item: item[0])
    return tuple(column for _, column in found[:MOST_COLUMNS])


def _cheapest(table: Table) -> Iterator[tuple[float, Column]]:
    """The cheapest hubs of one table with their totals, by cost."""
    order = np.argsort(table.total, kind="stable")[:MOST_COLUMNS]
    hubs = order[np.isfinite(table.total[order])]
    needs, meter = table.need.meter_upgrade, table.meter_units
    services = [list(zip(*(v.cost[hubs].tolist() for v in o.variants), strict=True)) for o in table.offers.values()]
    for total, fixed, *costs in zip(table.total[hubs].tolist(), table.fixed[hubs].tolist(), *services, strict=True):
        yield total, Column(round(fixed) - needs * meter, needs, meter, tuple(costs))


def cross_check(columns: tuple[Column, ...]) -> CrossCheck:
    """Choose again among columns."""
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


def _model(columns: tuple[Column, ...]) -> tuple[cp_model.CpModel, cp_model.LinearExpr]:
    """Exactly one column; each service of it by exactly one variant; the meter's upgrade paid once."""
    model = cp_model.CpModel()
    meter = model.new_bool_var("meter")
    terms: list[cp_model.LinearExpr] = [max((c.meter for c in columns), default=0) * meter]
    picks = [model.new_bool_var(f"column{i}") for i in range(len(columns))]
    for pick, column in zip(picks, columns, strict=True):
        terms.append(column.fixed * pick)
        if column.needs_meter:
            model.add_implication(pick, meter)
        for costs in column.services:
            terms += _service_terms(model, costs, pick)
    model.add_exactly_one(picks)
    return model, cp_model.LinearExpr.sum(terms)


def _service_terms(
    model: cp_model.CpModel, costs: tuple[float, ...], pick: cp_model.IntVar
) -> list[cp_model.LinearExpr]:
    """One variant of a service if the column is picked; a single one that can be had goes with it, and without any the
    column is closed."""
    units = [round(cost) for cost in costs if isfinite(cost)]
    if len(units) == 1:
        return [units[0] * pick]
    ways = [model.new_bool_var("way") for _ in units]
    model.add(sum(ways) == pick)
    return [cost * way for cost, way in zip(units, ways, strict=True)]
