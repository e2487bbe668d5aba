"""Cheapest cost from a service's ends to every state of the lattice, and the routes behind it.

Costs are whole money units (see MONEY_SCALE), held in float64, where they are exact below 2**53.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import dijkstra

from service.routing.lattice import Bools, Lattice
from service.routing.planes import Ints
from service.routing.tariff import Floats, Sources, Tariff

NOWHERE = -9999
"""SciPy's mark for 'no predecessor'."""
LENGTH_BITS = 40
LENGTH = (1 << LENGTH_BITS) - 1
"""Longer than any run [mm]; the bits above it count bends, up to some millions."""


@dataclass(frozen=True, slots=True)
class Field:
    """Cost from the nearest source to every state, shape (states,), with predecessors.

    ``previous`` is NOWHERE at unreachable states and ``count`` (the root) at sources. ``tariff`` and
    ``closed`` arcs make the graph again where it is needed: kept, it would be the largest part.
    """

    lattice: Lattice
    tariff: Tariff
    closed: Bools
    sources: Sources
    cost: Floats
    previous: Ints

    def path(self, state: int) -> list[int]:
        """States from ``state`` to its source, both included."""
        out = [state]
        while self.previous[out[-1]] != self.lattice.count:
            out.append(int(self.previous[out[-1]]))
        return out

    def straight_path(self, state: int) -> list[int]:
        """As dear a path that goes straight on wherever it can: for runs that bend for nothing and may be of any
        length."""
        out, way, xyz = [state], None, self.lattice.xyz
        costs = np.where(self.closed, np.inf, self.tariff.arc_costs(self.lattice))
        while self.previous[out[-1]] != self.lattice.count:
            ahead = self._ahead(out[-1], way, costs)
            out.append(int(self.previous[out[-1]]) if ahead is None else ahead)
            step = np.sign(xyz[out[-1]] - xyz[out[-2]])
            way = step if step.any() else way
        return out

    def _ahead(self, state: int, way: Ints | None, costs: Floats) -> int | None:
        """The next state in a direction on some cheapest path, None if there is none. What costs nothing is no step:
        one could go on there for ever."""
        lattice = self.lattice
        row = slice(lattice.indptr[state], lattice.indptr[state + 1])
        onward, arcs = lattice.indices[row], lattice.perm[row] % len(costs)
        cheapest = (costs[arcs] > 0) & (self.cost[onward] + costs[arcs] == self.cost[state])
        ahead = cheapest & (np.sign(lattice.xyz[onward] - lattice.xyz[state]) == way).all(axis=1)
        return int(onward[np.argmax(ahead)]) if way is not None and ahead.any() else None


def matrix_of(lattice: Lattice, tariff: Tariff, closed: Bools, sources: Sources) -> sp.csr_array:
    """Weighted graph walked from the ends to the heater, with a root node before all sources."""
    costs = np.where(closed, np.inf, tariff.arc_costs(lattice))
    return _matrix(lattice, costs, tariff.bend, tariff.one_way, sources.states, sources.costs)


def _matrix(lattice: Lattice, arcs: Floats, bend: float, one_way: int, states: Ints, at_states: Floats) -> sp.csr_array:
    forth, back = arcs, arcs
    if one_way:
        # the walk here is from end to heater: against the run's own direction
        upright = np.where((lattice.arcs.axis == 2) & (lattice.arcs.length > 0), np.inf, arcs)
        forth, back = (upright, arcs) if one_way > 0 else (arcs, upright)
    bends = np.full(len(lattice.bends[0]), float(bend))
    data = np.concatenate([forth, back, bends, bends])[lattice.perm]
    return _with_root(lattice, data, states, at_states)


def _with_root(lattice: Lattice, data: Floats, states: Ints, costs: Floats) -> sp.csr_array:
    n = lattice.count
    indices = np.concatenate([lattice.indices, states.astype(np.int32)])
    indptr = np.append(lattice.indptr, np.int32(len(indices)))
    return sp.csr_array((np.concatenate([data, costs]), indices, indptr), shape=(n + 1, n + 1))


def spread(lattice: Lattice, tariff: Tariff, closed: Bools, sources: Sources, limit: float = np.inf) -> Field:
    """One-to-all cheapest costs; states dearer than ``limit`` count as unreachable."""
    matrix = matrix_of(lattice, tariff, closed, sources)
    cost, previous = dijkstra(matrix, indices=np.array(lattice.count), return_predecessors=True, limit=limit)
    return Field(lattice, tariff, closed, sources, cost[:-1], previous[:-1].astype(np.int64))


def onward(field: Field, states: Ints, costs: Floats, limit: float) -> Floats:
    """Least cost of the rest of a run, from where its field has come to up to some states, with what is paid at each of
    these, shape (states,); inf where it is above ``limit``."""
    arcs = np.where(field.closed, np.inf, field.tariff.arc_costs(field.lattice))
    matrix = _matrix(field.lattice, arcs, field.tariff.bend, -field.tariff.one_way, states, costs)
    return np.asarray(dijkstra(matrix, indices=np.array(field.lattice.count), limit=limit)[:-1])


def least_used(field: Field, bend_mm: float, extra: Floats, flat_only: bool = False) -> Floats:
    """Least equivalent length [mm] by any open route from the field's sources, shape (states,);
    ``extra`` [mm] is added at each source, shape (sources,)."""
    lattice, tariff, closed, s = field.lattice, field.tariff, field.closed, field.sources
    length = np.where(lattice.arcs.axis == 2, 0, lattice.arcs.length) if flat_only else lattice.arcs.length
    shut = closed | ~np.isfinite(tariff.arc_costs(lattice))
    arcs = np.where(shut, np.inf, length.astype(np.float64))
    matrix = _matrix(lattice, arcs, bend_mm, tariff.one_way, s.states, s.run + bend_mm * s.turns + extra)
    return np.asarray(dijkstra(matrix, indices=np.array(lattice.count))[:-1])


def penalised(field: Field, rate: int, bend_mm: float, extra: Floats, flat_only: bool = False) -> Floats:
    """Least cost from every state if each millimetre of equivalent length costs ``rate`` more, shape (states,)
    [money units]. Less ``rate`` times a limit on length, it bounds the cost within that limit (weak duality)."""
    lattice, tariff, s = field.lattice, field.tariff, field.sources
    length = np.where(lattice.arcs.axis == 2, 0, lattice.arcs.length) if flat_only else lattice.arcs.length
    arcs = np.where(field.closed, np.inf, tariff.arc_costs(lattice) + rate * length)
    behind = s.costs + rate * (s.run + bend_mm * s.turns + extra)
    matrix = _matrix(lattice, arcs, tariff.bend + rate * bend_mm, tariff.one_way, s.states, behind)
    return np.asarray(dijkstra(matrix, indices=np.array(lattice.count))[:-1])


@dataclass(frozen=True, slots=True)
class Trace:
    """What each state's cheapest route uses, shape (states,): length [mm], bends, source index.

    Unreachable states have length inf and source -1.
    """

    run: Floats
    bends: Ints
    source: Ints

    def used(self, bend_mm: float) -> Floats:
        """Equivalent length [mm] with an allowance a bend."""
        return self.run + bend_mm * self.bends


def trace(field: Field, flat_only: bool = False) -> Trace:
    """Follow all predecessor chains at once by pointer doubling; ``flat_only`` leaves uprights out."""
    n, lattice = field.lattice.count, field.lattice
    ends = (field.previous == n) | (field.previous == NOWHERE)
    hop = np.where(ends, np.arange(n), field.previous)
    used = _steps(lattice, hop, flat_only)
    while not np.array_equal(onward := hop[hop], hop):
        used, hop = used + used[hop], onward
    source = best_sources(field)[hop]
    run = (used & LENGTH) + np.append(field.sources.run, np.inf)[source]
    return Trace(run, (used >> LENGTH_BITS) + np.append(field.sources.turns, 0)[source], source)


def _steps(lattice: Lattice, hop: Ints, flat_only: bool) -> Ints:
    """Length of each state's next step [mm], with its bend counted above ``LENGTH_BITS``: both add up at once."""
    dx, dy, dz = (np.abs(column - column[hop]) for column in lattice.xyz.T)
    flat, skew = np.maximum(dx, dy), np.flatnonzero((dx > 0) & (dy > 0))
    flat[skew] = np.rint(np.hypot(dx[skew], dy[skew])).astype(np.int64)
    turned = (lattice.axis != lattice.axis[hop]) & (flat + dz == 0)
    return np.asarray((flat if flat_only else flat + dz) + (turned.astype(np.int64) << LENGTH_BITS))


def best_sources(field: Field) -> Ints:
    """Index of the source that a state is, if the root enters the graph there; -1 elsewhere."""
    out = np.full(field.lattice.count, -1, dtype=np.int64)
    s = field.sources
    order = np.lexsort((s.run, s.costs))[::-1]
    out[s.states[order]] = order  # the cheapest comes last and stays
    out[field.previous != field.lattice.count] = -1
    return out
