"""Cheapest ways from the ends of a service to every state of a network, by SciPy's Dijkstra on a matrix built here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from itertools import permutations

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import dijkstra

from service.design import Surface
from service.verify.network import UPRIGHT, Bools, Floats, Ints, Network


@dataclass(frozen=True, slots=True)
class Rates:
    """Money units of a millimetre and of passing, by surface (one that is missing is closed), and of an elbow.
    ``climbs``: +1 where a run may never descend on its way from the heater, -1 never rise, 0 is free."""

    per_mm: Mapping[Surface, int]
    once: Mapping[Surface, int]
    bend: int
    climbs: int = 0


@dataclass(frozen=True, slots=True)
class Ends:
    """Where runs may end, shape (n,): states, money units there, equivalent length [mm] and elbows behind."""

    states: Ints
    units: Floats
    used: Floats
    bends: Ints


@dataclass(frozen=True)
class Spreader:
    """Matrices of one network, its frame kept for all weights; what was spread once is not spread again."""

    network: Network
    _known: dict[bytes, Floats] = field(default_factory=dict)

    @cached_property
    def _frame(self) -> tuple[Ints, Ints, Ints, Ints]:
        """Order of all moves by (from, to), where each pair begins, column and row pointer of the matrix."""
        columns, n = self.network.columns, self.network.count
        lower, upper = self._bends
        a = np.concatenate([columns.a, columns.b, lower])
        b = np.concatenate([columns.b, columns.a, upper])
        key = a * n + b
        order = np.argsort(key, kind="stable")
        begins = np.flatnonzero(np.diff(key[order], prepend=-1))
        rows = a[order][begins]
        pointer = np.searchsorted(rows, np.arange(n + 1))
        return order, begins, b[order][begins], pointer

    @cached_property
    def _bends(self) -> tuple[Ints, Ints]:
        width = len(self.network.axes)
        pairs = np.array(list(permutations(range(width), 2)), dtype=np.int64).reshape(-1, 2)
        base = np.arange(len(self.network.nodes), dtype=np.int64)[:, None] * width
        return (base + pairs[:, 0]).ravel(), (base + pairs[:, 1]).ravel()

    def weights(self, rates: Rates, closed: Bools) -> Floats:
        """Money units of every arc, infinite where it is closed."""
        columns = self.network.columns
        per_mm, once = columns.rates(rates.per_mm, np.inf), columns.rates(rates.once, 0.0)
        shut = closed | ~np.isfinite(per_mm)
        return np.where(shut, np.inf, np.where(shut, 0.0, per_mm) * columns.length + once)

    def lengths(self, rates: Rates, closed: Bools, flat: bool) -> Floats:
        """Millimetres of every open arc; ``flat`` leaves uprights out."""
        columns = self.network.columns
        length = np.where(columns.axis == UPRIGHT, 0, columns.length) if flat else columns.length
        return np.where(np.isfinite(self.weights(rates, closed)), length, np.inf)

    def matrix(self, arcs: Floats, bend: float, climbs: int, ends: Ends, at_ends: Floats) -> sp.csr_array:
        """Weighted moves from the ends to the heater, the last row leading into the ends."""
        columns, n = self.network.columns, self.network.count
        forth, back = arcs, arcs
        if climbs:
            upright = np.where((columns.axis == UPRIGHT) & (columns.length > 0), np.inf, arcs)
            forth, back = (upright, arcs) if climbs > 0 else (arcs, upright)
        order, begins, goals, pointer = self._frame
        moves = np.concatenate([forth, back, np.full(len(self._bends[0]), float(bend))])[order]
        data = np.minimum.reduceat(moves, begins)
        into = np.full(n, np.inf)
        np.minimum.at(into, ends.states, at_ends)
        first = np.flatnonzero(np.isfinite(into))
        indices = np.concatenate([goals, first])
        return sp.csr_array(
            (np.concatenate([data, into[first]]), indices, np.append(pointer, len(indices))), shape=(n + 1, n + 1)
        )

    def least(self, arcs: Floats, bend: float, climbs: int, ends: Ends, at_ends: Floats) -> Floats:
        """Least sum from the ends to every state, shape (states + 1,): the last is infinite, for states not there."""
        asked = (arcs, np.array([bend, climbs], dtype=float), ends.states, at_ends)
        key = sha256(b"".join(a.tobytes() for a in asked)).digest()
        if key not in self._known:
            self._known[key] = self._least(self.matrix(arcs, bend, climbs, ends, at_ends))
        return self._known[key]

    def _least(self, matrix: sp.csr_array) -> Floats:
        found = dijkstra(matrix, indices=np.array(self.network.count))
        return np.append(np.asarray(found)[:-1], np.inf)
