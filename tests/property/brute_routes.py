"""Cheapest runs on the brute force's grid: plain shortest paths from a service's ends to every place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from scipy.sparse.csgraph import dijkstra

from service.design import Piece, Service, Surface
from service.survey.equipment import PriceBook
from service.survey.model import GasMaterial
from tests.property.brute_ends import End, real, stub
from tests.property.brute_surfaces import Arc, Node, place

Numbers = NDArray[np.int64]
Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
FINISHED = (Surface.WALL_FINISHED, Surface.CEILING_FINISHED)
CROSSINGS = (Surface.WALL_CROSSING, Surface.FLOOR_CROSSING, Surface.OUTER_WALL)
CODES = tuple(Surface)


@dataclass(frozen=True)
class Rates:
    """Money units a millimetre, extra a millimetre on finished surfaces, a bend, and once by surface."""

    per_mm: int
    finished: int
    bend: int
    once: dict[Surface, int]

    def of(self, surface: Surface, length: int) -> int:
        """Price of a straight piece."""
        return self.each_mm(surface) * length + self.once.get(surface, 0)

    def each_mm(self, surface: Surface) -> int:
        """Price of a millimetre."""
        return self.per_mm + (self.finished if surface in FINISHED else 0)


def rates(book: PriceBook, service: Service, option: str) -> Rates:
    """What a service pays, read from the price book's keys."""
    trade = {Service.COLD: "water", Service.HOT: "water"}.get(service, service.value)
    sized = trade if service in (Service.DRAIN, Service.POWER) else f"{trade}.{option}"
    access = {Service.VENT: "vent", Service.POWER: "cable"}.get(service, "pipe")
    outer = "vent.outer_wall" if service is Service.VENT else f"{trade}.wall_crossing"
    once = {
        Surface.WALL_CROSSING: book[f"{trade}.wall_crossing"].units_each,
        Surface.FLOOR_CROSSING: book[f"{trade}.floor_crossing"].units_each,
        Surface.OUTER_WALL: book[outer].units_each,
    }
    finished = book[f"access.{access}.finished"].units_per_mm
    if service is Service.POWER:
        return Rates(book["power.cable"].units_per_mm, finished, 0, once)
    bend = 0 if option.startswith(GasMaterial.CSST) else book[f"{sized}.elbow"].units_each
    return Rates(book[f"{sized}.pipe"].units_per_mm, finished, bend, once)


@dataclass(frozen=True)
class Weights:
    """What a walk minimises: money, plus ``stretch`` units a millimetre of equivalent length.

    ``way`` is +1 if the run, seen from the heater, may never descend, -1 if never rise, 0 if free.
    """

    rates: Rates
    way: int = 0
    bend_mm: float = 0.0
    stretch: float = 0.0
    flat_only: bool = False


@dataclass(frozen=True)
class Goal:
    """A state at which a run reaches its end: what lies behind costs so much, is so long [mm], bends so often."""

    state: int
    cost: int
    length: float
    bends: int
    end: End


class Mesh:
    """The grid as arrays. A state is a node and an axis of travel: three states a node, joined by bends."""

    def __init__(self, arcs: Sequence[Arc]) -> None:
        self.nodes: list[Node] = sorted({n for a in arcs for n in (a.a, a.b)})
        self.ids = {n: i for i, n in enumerate(self.nodes)}
        self.count = 3 * len(self.nodes)
        self.arcs: dict[tuple[int, int], Arc] = {}
        rows = [row for i, a in enumerate(arcs) for row in self._both_ways(i, a)]
        self.u, self.v, self.length, self.flat, self.surface, self.rise, self.arc = np.array(rows, dtype=np.int64).T
        low = 3 * np.arange(len(self.nodes))
        pairs = [(low + i, low + j) for i in range(3) for j in range(3) if i != j]
        self.before = {a.b: a.a for a in arcs if a.surface is Surface.OUTER_WALL}
        """Outdoors, the node before each node of an outer wall."""
        self.bend_u, self.bend_v = (np.concatenate(side) for side in zip(*pairs, strict=True))

    def _both_ways(self, i: int, a: Arc) -> Iterable[tuple[int, ...]]:
        upright = int(a.axis == 2 and a.length > 0)
        flat, code = 0 if upright else a.length, CODES.index(a.surface)
        for axis in (a.axis,) if a.length else (0, 1, 2):
            u, v = self.state(a.a, axis), self.state(a.b, axis)
            if (u, v) not in self.arcs:
                self.arcs[u, v] = self.arcs[v, u] = a
                yield u, v, a.length, flat, code, upright, i
                yield v, u, a.length, flat, code, -upright, i

    def state(self, node: Node, axis: int) -> int:
        """Number of a state."""
        return 3 * self.ids[node] + axis


class Walks:
    """All cheapest walks from the goals back to every state, through the arcs that are open (by number)."""

    def __init__(self, mesh: Mesh, is_open: Mask, goals: Sequence[Goal], weights: Weights) -> None:
        self.mesh, self.goals, self.weights = mesh, goals, weights
        self.matrix = matrix = self._matrix(is_open)
        cost, before = dijkstra(matrix, indices=np.array(mesh.count), return_predecessors=True)
        self.cost: Floats = cost
        self.before: Numbers = before.astype(np.int64)

    def _matrix(self, is_open: Mask) -> sp.csr_array:
        mesh, w = self.mesh, self.weights
        each = np.array([float(w.rates.each_mm(s)) for s in CODES])
        once = np.array([float(w.rates.once.get(s, 0)) for s in CODES])
        used = mesh.flat if w.flat_only else mesh.length
        cost = each[mesh.surface] * mesh.length + once[mesh.surface] + w.stretch * used
        # walked from the end to the heater, so a run that may not descend is walked downwards
        kept = is_open[mesh.arc] & (mesh.rise * w.way <= 0)
        best = self._best_goals()
        bend = np.full(len(mesh.bend_u), w.rates.bend + w.stretch * w.bend_mm)
        u = [mesh.u[kept], mesh.bend_u, np.full(len(best), mesh.count)]
        v = [mesh.v[kept], mesh.bend_v, np.array(list(best), dtype=np.int64)]
        c = [cost[kept], bend, np.array([self.weight(g) for g in best.values()], dtype=float)]
        shape = (mesh.count + 1, mesh.count + 1)
        return sp.csr_array((np.concatenate(c), (np.concatenate(u), np.concatenate(v))), shape=shape)

    def weight(self, g: Goal) -> float:
        """What lies behind a goal, in the units of a walk's cost."""
        return g.cost + self.weights.stretch * (g.length + self.weights.bend_mm * g.bends)

    def _best_goals(self) -> dict[int, Goal]:
        best: dict[int, Goal] = {}
        for g in self.goals:
            if g.state not in best or self.weight(g) < self.weight(best[g.state]):
                best[g.state] = g
        self.goal_at = best
        return best

    def ends_of(self, states: Iterable[int]) -> list[Goal]:
        """Goals to which the runs from these states lead."""
        hop = np.where(self.before == self.mesh.count, np.arange(len(self.before)), self.before)
        hop = np.where(hop < 0, np.arange(len(hop)), hop)
        while not np.array_equal(onward := hop[hop], hop):
            hop = onward
        reached = {int(hop[s]) for s in states if np.isfinite(self.cost[s])}
        return [self.goal_at[s] for s in sorted(reached)]

    def chain(self, state: int) -> list[int]:
        """States from the heater to the goal."""
        states = [state]
        while self.before[states[-1]] != self.mesh.count:
            states.append(int(self.before[states[-1]]))
        return states

    def run(self, state: int) -> tuple[tuple[Piece, ...], Goal]:
        """The run from a state to its goal as straight pieces, the tail included."""
        states = self.chain(state)
        goal = self.goal_at[states[-1]]
        raw = [p for u, v in pairwise(states) if (p := self._piece(u, v))]
        return joined([*raw, *goal.end.tail]), goal

    def back(self, goal: Goal) -> tuple[Piece, ...]:
        """The run to a goal from where these walks begin, its tail included."""
        states = self.chain(goal.state)[::-1]
        return joined([*(p for u, v in pairwise(states) if (p := self._piece(u, v))), *goal.end.tail])

    def _piece(self, u: int, v: int) -> Piece | None:
        arc = self.mesh.arcs.get((u, v))
        if arc is None:
            return None
        return Piece(place(self.mesh.nodes[u // 3]), place(self.mesh.nodes[v // 3]), arc.surface)


def money(pieces: Sequence[Piece], price: Rates) -> int:
    """Money units of a drawn run."""
    return sum(price.of(p.surface, p.length_mm) for p in pieces) + turns(pieces) * price.bend


def goals_of(mesh: Mesh, ends: Iterable[End], price: Rates, flat_only: bool = False) -> list[Goal]:
    """One state for each end with a stub, the one that runs on into it; every axis where there is none. What lies
    beyond an outer wall is met from right before that too."""
    out = []
    for e in [seen for end in ends for seen in (end, *from_before(mesh, end))]:
        length = sum(_flat(p) if flat_only else p.length_mm for p in e.tail)
        for axis in (_axis(e.tail[0]),) if e.tail else (0, 1, 2):
            state = mesh.state(e.node, axis)
            out.append(Goal(state, money(e.tail, price), length, turns(e.tail), e))
    return out


def from_before(mesh: Mesh, e: End) -> Iterable[End]:
    """An end that lies beyond an outer wall as it is seen from right before that wall, where the mesh has the place."""
    through = e.tail[0] if e.tail else None
    if through is None or through.surface is not Surface.OUTER_WALL or e.node not in mesh.before:
        return
    out = _direction(through)
    if all(sum(a * b for a, b in zip(out, _direction(p), strict=True)) >= 0 for p in e.tail[1:]):
        before = mesh.before[e.node]
        yield replace(e, node=before, tail=stub(place(before), real(e)))


def _axis(p: Piece) -> int:
    return next(i for i in range(3) if p.start[i] != p.end[i])


def _flat(p: Piece) -> int:
    return 0 if p.start[2] != p.end[2] else p.length_mm


def flat_mm(pieces: Iterable[Piece]) -> int:
    """Level length of a run [mm]."""
    return sum(_flat(p) for p in pieces)


def joined(raw: Sequence[Piece]) -> tuple[Piece, ...]:
    """Neighbours of one direction and surface made one piece; crossings stay single."""
    out: list[Piece] = []
    for p in raw:
        last = out[-1] if out else None
        same = last is not None and last.surface is p.surface and _direction(last) == _direction(p)
        if last is not None and same and p.surface not in CROSSINGS:
            out[-1] = Piece(last.start, p.end, p.surface)
        else:
            out.append(p)
    return tuple(out)


def _direction(p: Piece) -> tuple[int, ...]:
    return tuple((b > a) - (b < a) for a, b in zip(p.start, p.end, strict=True))


def turns(pieces: Iterable[Piece]) -> int:
    """Changes of direction."""
    ways = [d for p in pieces if any(d := _direction(p))]
    return sum(a != b for a, b in pairwise(ways))


Walker = Callable[[float], Walks]
