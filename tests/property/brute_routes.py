"""Cheapest runs on the brute force's grid by networkx, walked from a service's ends to the heater."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import networkx as nx

from service.design import Piece, Service, Surface
from service.survey.equipment import PriceBook
from tests.property.brute_surfaces import Arc, Node, enters, place

State = tuple[Node, int]
"""Node and axis of travel; axis -1 on the last stub, -2 is the root before all ends."""
ROOT: State = ((-1, 0, 0, 0), -2)
FINISHED = (Surface.WALL_FINISHED, Surface.CEILING_FINISHED)


@dataclass(frozen=True)
class Rates:
    """Money units a millimetre, extra a millimetre on finished surfaces, a bend, and once by surface."""

    per_mm: int
    finished: int
    bend: int
    once: dict[Surface, int]

    def of(self, surface: Surface, length: int) -> int:
        """Price of a straight piece."""
        per_mm = self.per_mm + (self.finished if surface in FINISHED else 0)
        return per_mm * length + self.once.get(surface, 0)


def rates(book: PriceBook, service: Service, option: str) -> Rates:
    """What a service pays, read from the price book's keys."""
    trade = {Service.COLD: "water", Service.HOT: "water"}.get(service, service.value)
    sized = "drain" if service is Service.DRAIN else "power" if service is Service.POWER else f"{trade}.{option}"
    run = "cable" if service is Service.POWER else "pipe"
    access = {Service.VENT: "vent", Service.POWER: "cable"}.get(service, "pipe")
    bend = 0 if service is Service.POWER else book[f"{sized}.elbow"].units_each
    once = {
        Surface.WALL_CROSSING: book[f"{trade}.wall_crossing"].units_each,
        Surface.FLOOR_CROSSING: book[f"{trade}.floor_crossing"].units_each,
        Surface.OUTER_WALL: book["vent.outer_wall" if service is Service.VENT else f"{trade}.wall_crossing"].units_each,
    }
    finished = book[f"access.{access}.finished"].units_per_mm
    return Rates(book[f"{sized}.{run}"].units_per_mm, finished, bend, once)


@dataclass(frozen=True)
class Goal:
    """A state from which a run ends: what lies behind costs so much, is so long [mm] and has so many bends."""

    state: State
    cost: int
    length: float
    bends: int
    tail: tuple[Piece, ...]
    name: object


@dataclass(frozen=True)
class Weights:
    """What a walk minimises: money, plus ``stretch`` units a millimetre of equivalent length."""

    rates: Rates
    bend_mm: float = 0.0
    stretch: float = 0.0
    flat_only: bool = False

    def arc(self, a: Arc) -> float:
        """Weight of an arc."""
        used = 0 if self.flat_only and a.axis == 2 else a.length
        return self.rates.of(a.surface, a.length) + self.stretch * used

    @property
    def bend(self) -> float:
        """Weight of a bend."""
        return self.rates.bend + self.stretch * self.bend_mm

    def goal(self, g: Goal) -> float:
        """Weight of what lies behind an end."""
        return g.cost + self.stretch * (g.length + self.bend_mm * g.bends)


class Walks:
    """All cheapest walks from the goals back to every state.

    ``way`` is +1 if the run, seen from the heater, may never descend, -1 if never rise, 0 if free.
    """

    def __init__(self, arcs: Iterable[Arc], goals: Iterable[Goal], weights: Weights, way: int = 0) -> None:
        self.weights = weights
        self.goals: dict[State, Goal] = {}
        self.graph = nx.DiGraph()
        for arc in arcs:
            self._add_arc(arc, way)
        for goal in goals:
            self._add_goal(goal)
        self._add_bends()
        before, self.cost = nx.dijkstra_predecessor_and_distance(self.graph, ROOT, weight="weight")
        self.before: dict[State, State] = {s: p[0] for s, p in before.items() if p}

    def _add_arc(self, arc: Arc, way: int) -> None:
        axes = (arc.axis,) if arc.length else (0, 1, 2)
        for axis in axes:
            low, high = (arc.a, axis), (arc.b, axis)
            upright = arc.axis == 2 and arc.length
            if not (upright and way > 0):
                self._edge(low, high, arc)
            if not (upright and way < 0):
                self._edge(high, low, arc)

    def _edge(self, u: State, v: State, arc: Arc) -> None:
        weight = self.weights.arc(arc)
        if not self.graph.has_edge(u, v) or self.graph[u][v]["weight"] > weight:
            self.graph.add_edge(u, v, weight=weight, arc=arc)

    def _add_goal(self, goal: Goal) -> None:
        weight = self.weights.goal(goal)
        known = self.goals.get(goal.state)
        if known is None or weight < self.weights.goal(known):
            self.goals[goal.state] = goal
            self.graph.add_edge(ROOT, goal.state, weight=weight)

    def _add_bends(self) -> None:
        at: dict[Node, list[State]] = {}
        for state in self.graph.nodes:
            if state != ROOT:
                at.setdefault(state[0], []).append(state)
        bends = [(s, t, self.weights.bend) for group in at.values() for s in group for t in group if s != t]
        self.graph.add_weighted_edges_from(bends)

    def best_at(self, node: Node, axes: Iterable[int]) -> tuple[float, State] | None:
        """Cheapest start at a node."""
        found = [(self.cost[node, k], (node, k)) for k in axes if (node, k) in self.cost]
        return min(found, default=None)

    def chain(self, state: State) -> tuple[list[State], Goal]:
        """States from the heater to the goal, and the goal."""
        states = [state]
        while self.before[states[-1]] != ROOT:
            states.append(self.before[states[-1]])
        return states, self.goals[states[-1]]

    def pieces(self, state: State) -> tuple[tuple[Piece, ...], Goal]:
        """The run from a state to its goal as straight pieces."""
        states, goal = self.chain(state)
        raw = []
        for u, v in zip(states, states[1:], strict=False):
            arc: Arc | None = self.graph[v][u].get("arc")
            if arc is not None:
                raw.append(Piece(place(u[0]), place(v[0]), arc.surface))
        return joined([*raw, *goal.tail]), goal

    def money(self, state: State) -> int:
        """Money units of the run from a state, whatever was minimised."""
        states, goal = self.chain(state)
        total = goal.cost
        for u, v in zip(states, states[1:], strict=False):
            arc: Arc | None = self.graph[v][u].get("arc")
            total += self.weights.rates.bend if arc is None else self.weights.rates.of(arc.surface, arc.length)
        return total

    def used(self, state: State) -> tuple[float, int]:
        """Length [mm] and bends of the run from a state."""
        states, goal = self.chain(state)
        length, bends = goal.length, goal.bends
        for u, v in zip(states, states[1:], strict=False):
            arc: Arc | None = self.graph[v][u].get("arc")
            bends += arc is None
            if arc is not None and not (self.weights.flat_only and arc.axis == 2):
                length += arc.length
        return length, bends


def joined(raw: list[Piece]) -> tuple[Piece, ...]:
    """Neighbours of one direction and surface made one piece; crossings stay single."""
    out: list[Piece] = []
    crossings = (Surface.WALL_CROSSING, Surface.FLOOR_CROSSING, Surface.OUTER_WALL)
    for p in raw:
        last = out[-1] if out else None
        if last and last.surface is p.surface and p.surface not in crossings and _direction(last) == _direction(p):
            out[-1] = Piece(last.start, p.end, p.surface)
        else:
            out.append(p)
    return tuple(out)


def _direction(p: Piece) -> tuple[int, ...]:
    return tuple((b > a) - (b < a) for a, b in zip(p.start, p.end, strict=True))


def turns(pieces: Iterable[Piece]) -> int:
    """Changes of direction."""
    ways = [d for p in pieces if any(d := _direction(p))]
    return sum(a != b for a, b in zip(ways, ways[1:], strict=False))


def open_arcs(arcs: Iterable[Arc], obstacles: dict[str, list[tuple[int, int, int, int]]], margin: int) -> list[Arc]:
    """Arcs that enter no obstacle grown by ``margin``."""
    return [a for a in arcs if not any(enters(a.box, o, margin) for o in obstacles.get(a.sheet, ()))]
