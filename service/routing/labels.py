"""Cheapest routes within limits on equivalent length and bends: label setting under exact lower bounds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np

from service.deadline import OutOfTime
from service.routing.fields import Field, matrix_of
from service.routing.planes import Ints
from service.routing.tariff import Floats

LABELS_BETWEEN_LOOKS = 64


@dataclass(frozen=True, slots=True)
class Plain:
    """A limit on run alone, bends not counted: at most ``length_mm``, ``extra`` [mm] added at each source; ``least`` is
    still to run from each state, that added [mm], shape (states,)."""

    length_mm: float
    extra: Floats
    least: Floats


@dataclass(frozen=True, slots=True)
class Limits:
    """At most ``length_mm`` of run plus ``bend_mm`` a bend, and at most ``bends`` bends; ``plain``: and a limit on the
    run alone."""

    length_mm: float
    bend_mm: float
    bends: float = np.inf
    plain: Plain | None = None


@dataclass(frozen=True, slots=True)
class Price:
    """A price on length [money units a mm] and the least costs under it, shape (states,), see ``fields.penalised``;
    ``plain``: on what the limit on the run alone counts."""

    rate: int
    cost: Floats
    plain: bool = False


@dataclass(frozen=True, slots=True)
class _Bounds:
    """What is still to pay and to use from a state, at least."""

    field: Field
    least: Floats
    extra: Floats
    limits: Limits
    price: Price | None

    def gone(self, walk: Walk, step: int, run: float, turns: int) -> tuple[float, float]:
        """Length used and run after one more step, the last of so many ``turns``, what limits add at a source included
        [mm]; the same for all ways of so much run and so many turns."""
        source, plain = int(walk.source[step]), self.limits.plain
        run += float(walk.run[step])
        used = run + self.limits.bend_mm * turns
        if source < 0:
            return used, run
        return used + float(self.extra[source]), run + (0.0 if plain is None else float(plain.extra[source]))

    def cost(self, state: int, used: float, run: float) -> float:
        """Least still to pay [money units] where ``used`` and, bends not counted, ``run`` [mm] are gone."""
        free = float(self.field.cost[state])
        if self.price is None:
            return free
        left = self.limits.length_mm - used
        if self.price.plain and self.limits.plain is not None:
            left = self.limits.plain.length_mm - run
        return max(free, float(self.price.cost[state]) - self.price.rate * left)

    def after(self, state: int, spent: float, used: float, run: float) -> float:
        """Least cost of a route that has come to a state, inf if it will be too long; at the root all is known."""
        plain, at_root = self.limits.plain, state == self.field.lattice.count
        if used + (0.0 if at_root else float(self.least[state])) > self.limits.length_mm:
            return np.inf
        if plain is not None and run + (0.0 if at_root else float(plain.least[state])) > plain.length_mm:
            return np.inf
        return spent if at_root else spent + self.cost(state, used, run)


@dataclass(frozen=True, slots=True)
class Limited:
    """A route found: cost [money units], length used and that of the run alone, each with what its limit adds at the
    source [mm], states from the heater to the end, source index."""

    cost: float
    used: float
    run: float
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


def routes_within(
    starts: list[int], limits: Limits, field: Field, walk: Walk, least: Floats, extra: Floats, ceiling: float,
    is_over: Callable[[], bool], price: Price | None = None,
) -> Iterator[Limited]:  # fmt: skip
    """Lawful routes from any of ``starts`` to a source that cost at most ``ceiling`` (finite): the cheapest, and then
    each that is shorter than all before, the cheapest of these first.

    ``field.cost`` bounds what is still to pay, ``least`` the equivalent length still to use [mm], ``price`` what
    is still to pay if the length left is not to be passed; all shape (states,). ``extra`` adds to the length at
    each source [mm]; ``least`` and ``price`` count it too.
    Raises OutOfTime once ``is_over`` says so.
    """
    bounds, root = _Bounds(field, least, extra, limits, price), field.lattice.count
    heap = sorted((bounds.cost(s, 0.0, 0.0), 0.0, 0, i, s, 0.0) for i, s in enumerate(starts))
    labels: list[tuple[float, int, int, int]] = [(0.0, s, -1, -1) for s in starts]  # cost, state, before, source
    fronts: dict[int, list[tuple[float, int, float]]] = {}
    while heap:
        bound, used, bends, label, state, run = heappop(heap)
        if bound > ceiling:
            return
        front, cost = fronts.setdefault(state, []), labels[label][0]
        own = used if limits.plain is None else run  # of two routes one may run less and yet, with its bends, use more
        if any(u <= own and (b <= bends or state == root) and c <= cost for u, b, c in front):
            continue
        if label % LABELS_BETWEEN_LOOKS == 0 and is_over():
            raise OutOfTime
        front.append((own, bends, cost))
        if state == root:
            yield _unwound(labels, label, used, run)
            continue
        for k in range(int(walk.indptr[state]), int(walk.indptr[state + 1])):
            after, source = int(walk.after[k]), int(walk.source[k])
            spent, turns = cost + float(walk.cost[k]), bends + int(walk.bends[k])
            far, on = bounds.gone(walk, k, run, turns)
            bound = bounds.after(after, spent, far, on)
            if turns > limits.bends or not bound <= ceiling:
                continue
            labels.append((spent, after, label, source))
            heappush(heap, (bound, far, turns, len(labels) - 1, after, on))


def _unwound(labels: list[tuple[float, int, int, int]], label: int, used: float, run: float) -> Limited:
    cost, _, before, source = labels[label]
    states = []
    while before >= 0:
        _, state, onward, _ = labels[before]
        states.append(state)
        before = onward
    return Limited(cost, used, run, tuple(reversed(states)), source)
