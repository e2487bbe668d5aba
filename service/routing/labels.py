"""Cheapest route within limits on equivalent length and bends: label setting under exact lower bounds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np

from service.deadline import OutOfTime
from service.routing.fields import Field, matrix_of
from service.routing.planes import Ints
from service.routing.tariff import Floats

LABELS_BETWEEN_LOOKS = 64


@dataclass(frozen=True, slots=True)
class Limits:
    """At most ``length_mm`` of run plus ``bend_mm`` a bend, and at most ``bends`` bends."""

    length_mm: float
    bend_mm: float
    bends: float = np.inf


@dataclass(frozen=True, slots=True)
class Price:
    """A price on length [money units a mm] and the least costs under it, shape (states,), see ``fields.penalised``."""

    rate: int
    cost: Floats


@dataclass(frozen=True, slots=True)
class _Bounds:
    """What is still to pay and to use from a state, at least."""

    field: Field
    least: Floats
    length_mm: float
    price: Price | None

    def cost(self, state: int, used: float) -> float:
        """Least still to pay [money units] where ``used`` [mm] of the length is gone."""
        plain = float(self.field.cost[state])
        if self.price is None:
            return plain
        return max(plain, float(self.price.cost[state]) - self.price.rate * (self.length_mm - used))

    def after(self, state: int, spent: float, used: float) -> tuple[float, float]:
        """Least cost and length of a route that has come to a state; at the root both are known."""
        if state == self.field.lattice.count:
            return spent, used
        return spent + self.cost(state, used), used + float(self.least[state])


@dataclass(frozen=True, slots=True)
class Limited:
    """A route found: cost [money units], length used [mm], states from the heater to the end, source index."""

    cost: float
    used: float
    states: tuple[int, ...]
    source: int


@dataclass(frozen=True, slots=True)
class Walk:
    """The graph seen from the heater, CSR by state: where a step leads, its cost, length [mm] and bends.

    ``source`` is the source's index on steps to the root, -1 elsewhere.
    """

    indptr: Ints
    after: Ints
    cost: Floats
    run: Floats
    bends: Ints
    source: Ints


def walk_of(field: Field, flat_only: bool = False) -> Walk:
    """Turn the end-to-heater graph of a field round."""
    lattice, s = field.lattice, field.sources
    arc = lattice.arcs.length.astype(np.float64)
    if flat_only:
        arc = np.where(lattice.arcs.axis == 2, 0.0, arc)
    none, once = np.zeros(len(arc)), np.ones(len(lattice.bends[0]))
    run = np.concatenate([np.concatenate([arc, arc, 0 * once, 0 * once])[lattice.perm], s.run])
    bends = np.concatenate([np.concatenate([none, none, once, once])[lattice.perm], s.turns])
    source = np.concatenate([np.full(len(lattice.perm), -1), np.arange(len(s.states))])
    matrix = matrix_of(lattice, field.tariff, field.closed, s)
    rows = np.repeat(np.arange(lattice.count + 1), np.diff(matrix.indptr))
    order = np.argsort(matrix.indices, kind="stable")
    counts = np.bincount(matrix.indices, minlength=lattice.count + 1)
    indptr = np.concatenate([[0], np.cumsum(counts)])
    data = matrix.data
    return Walk(indptr, rows[order], data[order], run[order], bends[order].astype(np.int64), source[order])


def cheapest_within(
    starts: list[int], limits: Limits, field: Field, walk: Walk, least: Floats, extra: Floats, ceiling: float,
    is_over: Callable[[], bool], price: Price | None = None,
) -> Limited | None:  # fmt: skip
    """Cheapest lawful route from any of ``starts`` to a source, or None if none costs at most ``ceiling`` (finite).

    ``field.cost`` bounds what is still to pay, ``least`` the equivalent length still to use [mm], ``price`` what
    is still to pay if the length left is not to be passed; all shape (states,). ``extra`` adds to the length at
    each source [mm]; ``least`` and ``price`` count it too.
    Raises OutOfTime once ``is_over`` says so.
    """
    bounds, root = _Bounds(field, least, limits.length_mm, price), field.lattice.count
    heap = [(bounds.cost(s, 0.0), 0.0, 0, i, s) for i, s in enumerate(starts)]
    heap.sort()
    labels: list[tuple[float, int, int, int]] = [(0.0, s, -1, -1) for s in starts]  # cost, state, before, source
    fronts: dict[int, list[tuple[float, int]]] = {}
    while heap:
        bound, used, bends, label, state = heappop(heap)
        if bound > ceiling:
            return None
        if state == root:
            return _unwound(labels, label, used)
        front = fronts.setdefault(state, [])
        if any(u <= used and b <= bends for u, b in front):
            continue
        if label % LABELS_BETWEEN_LOOKS == 0 and is_over():
            raise OutOfTime
        front.append((used, bends))
        cost = labels[label][0]
        for k in range(int(walk.indptr[state]), int(walk.indptr[state + 1])):
            after, source = int(walk.after[k]), int(walk.source[k])
            spent, turns = cost + float(walk.cost[k]), bends + int(walk.bends[k])
            far = used + float(walk.run[k]) + limits.bend_mm * int(walk.bends[k])
            far += float(extra[source]) if source >= 0 else 0.0
            bound, in_all = bounds.after(after, spent, far)
            if in_all > limits.length_mm or turns > limits.bends or bound > ceiling:
                continue
            labels.append((spent, after, label, source))
            heappush(heap, (bound, far, turns, len(labels) - 1, after))
    return None


def _unwound(labels: list[tuple[float, int, int, int]], label: int, used: float) -> Limited:
    cost, _, before, source = labels[label]
    states = []
    while before >= 0:
        _, state, onward, _ = labels[before]
        states.append(state)
        before = onward
    return Limited(cost, used, tuple(reversed(states)), source)
