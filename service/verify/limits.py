"""Bounds on runs that a limit on length or elbows binds: prices on length (weak duality), label search at a place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from heapq import heappop, heappush
from math import inf

import numpy as np

from service.verify.network import Bools, Floats, Ints
from service.verify.spread import Ends, Rates, Spreader

MOST_LABELS = 400_000
"""A search at one place that needs more is given up: what it would have shown is then not known."""


class GivenUp(Exception):  # noqa: N818 - what happened
    """A label search took too many labels."""


@dataclass
class Way:
    """One way of serving all places of a case. Shapes (places,) unless said.

    ``starts`` holds the states a run may begin in, shape (places, k), the number of states for none. ``once`` is paid
    whatever the route; ``limit_mm`` is the most equivalent length, ``most_bends`` the most elbows.
    """

    spreader: Spreader
    name: str
    rates: Rates
    closed: Bools
    ends: Ends
    starts: Ints
    once: Floats
    limit_mm: Floats
    bend_mm: float = 0.0
    most_bends: float = inf
    flat: bool = False
    exact: bool = True
    bound: Floats = field(init=False)
    settled: Bools = field(init=False)

    def __post_init__(self) -> None:
        """Begin with the cheapest runs, limits aside."""
        self.bound = self.raw.copy()
        self.settled = np.full(len(self.starts), not self.is_limited)

    @property
    def is_limited(self) -> bool:
        """Whether any limit binds anywhere."""
        return bool(np.isfinite(self.limit_mm).any()) or self.most_bends < inf

    @cached_property
    def weights(self) -> Floats:
        """Money units of all arcs."""
        return self.spreader.weights(self.rates, self.closed)

    @cached_property
    def lengths(self) -> Floats:
        """Millimetres of all arcs that count against the limit."""
        return self.spreader.lengths(self.rates, self.closed, self.flat)

    @cached_property
    def field(self) -> Floats:
        """Least cost to the ends from every state, limits aside."""
        return self.spreader.least(self.weights, self.rates.bend, self.rates.climbs, self.ends, self.ends.units)

    @cached_property
    def shortest(self) -> Floats:
        """Least equivalent length to the ends from every state, whatever it costs."""
        open_ends = np.where(np.isfinite(self.ends.units), self.ends.used, np.inf)
        return self.spreader.least(self.lengths, self.bend_mm, self.rates.climbs, self.ends, open_ends)

    @cached_property
    def raw(self) -> Floats:
        """Cheapest at every place, limits aside."""
        return np.asarray(self.field[self.starts].min(axis=1) + self.once)

    def close_too_long(self) -> None:
        """Close the places of the network from which not even the shortest run keeps the limit."""
        if self.is_limited:
            hopeless = self.shortest[self.starts].min(axis=1) > self.limit_mm
            self.bound[hopeless], self.settled[hopeless] = np.inf, True

    def price_length(self, rate: int, place: int) -> float:
        """Raise bounds by a price on length: what is least with it, less the price of the whole limit. What it says of
        one place."""
        arcs = self.weights + rate * np.where(np.isfinite(self.lengths), self.lengths, 0.0)
        at_ends = self.ends.units + rate * self.ends.used
        priced = self.spreader.least(arcs, self.rates.bend + rate * self.bend_mm, self.rates.climbs, self.ends, at_ends)
        held = np.isfinite(self.limit_mm)
        least = np.floor(priced[self.starts].min(axis=1) + self.once - rate * np.where(held, self.limit_mm, 0.0))
        moved = held & ~self.settled
        self.bound = np.where(moved, np.maximum(self.bound, least), self.bound)
        return float(least[place])

    def settle(self, place: int, ceiling: float) -> None:
        """Find the cheapest run within the limits at a place, if it costs less than ``ceiling``; else the bound rises
        to that. Raises GivenUp."""
        found = self._search(place, ceiling - float(self.once[place]))
        self.settled[place] = found is not None
        self.bound[place] = ceiling if found is None else found + float(self.once[place])

    def settle_if_found(self, place: int, ceiling: float) -> bool:
        """Whether there is a run within the limits at a place that costs less than ``ceiling``; then it is the bound.
        Where there is none the bound stays: near by there may be one. Raises GivenUp."""
        found = self._search(place, ceiling - float(self.once[place]))
        if found is not None:
            self.settled[place], self.bound[place] = True, found + float(self.once[place])
        return found is not None

    @cached_property
    def _moves(self) -> tuple[Ints, Ints, Floats, Floats]:
        """Moves from the heater's side: pointer by state, goal, money units and length."""
        args = self.rates.climbs, self.ends
        cost = self.spreader.matrix(self.weights, self.rates.bend, *args, self.ends.units)
        used = self.spreader.matrix(self.lengths, self.bend_mm, *args, self.ends.units)
        n = self.spreader.network.count
        inner = slice(0, int(cost.indptr[n]))
        rows = np.repeat(np.arange(n), np.diff(cost.indptr[: n + 1]))
        order = np.argsort(cost.indices[inner], kind="stable")
        pointer = np.searchsorted(cost.indices[inner][order], np.arange(n + 1))
        return pointer, rows[order], cost.data[inner][order], used.data[inner][order]

    @cached_property
    def _at_ends(self) -> dict[int, list[tuple[float, float, int]]]:
        found: dict[int, list[tuple[float, float, int]]] = {}
        ends = self.ends
        behind = zip(ends.units.tolist(), ends.used.tolist(), ends.bends.tolist(), strict=True)
        for state, rest in zip(ends.states.tolist(), behind, strict=True):
            if rest[0] < inf:
                found.setdefault(state, []).append(rest)
        return found

    def _next(self, state: int) -> Iterator[tuple[int, float, float, int]]:
        """States after one on the way to an end, with cost, length and elbows of the move."""
        pointer, goals, cost, used = self._moves
        width = len(self.spreader.network.axes)
        for k in range(int(pointer[state]), int(pointer[state + 1])):
            goal = int(goals[k])
            yield goal, float(cost[k]), float(used[k]), int(goal // width == state // width)

    def _search(self, place: int, ceiling: float) -> float | None:
        """Least cost within the limits, None if that is not below the ceiling."""
        limit, labels = float(self.limit_mm[place]), 0
        heap: list[tuple[float, float, int, int, float]] = []
        kept: dict[int, list[tuple[float, float, int]]] = {}
        begin = [int(s) for s in set(self.starts[place].tolist()) if s < self.spreader.network.count]

        def offer(state: int, cost: float, used: float, bends: int) -> None:
            ahead = cost + self.field[state]
            if ahead >= ceiling or bends > self.most_bends or used + self.shortest[state] > limit:
                return
            known = kept.setdefault(state, [])
            if any(c <= cost and u <= used and b <= bends for c, u, b in known):
                return
            known.append((cost, used, bends))
            heappush(heap, (ahead, used, bends, state, cost))

        for state in begin:
            offer(state, 0.0, 0.0, 0)
        while heap:
            ahead, used, bends, state, cost = heappop(heap)
            if state < 0:
                return cost
            labels += 1
            if labels > MOST_LABELS:
                raise GivenUp
            for units, behind, turned in self._at_ends.get(state, ()):
                if used + behind <= limit and bends + turned <= self.most_bends and cost + units < ceiling:
                    heappush(heap, (cost + units, used + behind, bends, -1, cost + units))
            for goal, price, length, turn in self._next(state):
                offer(goal, cost + price, used + length, bends + turn)
        return None
