"""What a joint search works on and ends with."""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from service.design import Design
from service.siting.as_done import Done
from service.siting.dwelling_search import Held
from service.siting.outcome import Outcome
from service.siting.sleeves import Settled
from service.survey.model import Dwelling

INFEASIBLE = float("inf")
DIVES = 3
"""So often in a row is a node followed down whatever its bound, in search of a better set."""


class Why(StrEnum):
    """Why a node cannot be split any more."""

    PLACES = "heaters whose places are settled are still in one another's way, with their runs"
    HOLES = "a hole that several runs share would lie between the lines that are looked at"
    GAS = (
        "taps and inputs are settled, and the gas system as a whole costs more than its parts were counted for: pipe "
        "that several heaters load is sized by the longest run of all, or by losses that add up, of which no part knows"
    )


@dataclass(slots=True)
class JointOutcome:
    """Designs found, one for each dwelling, as they stand beside one another with all shared works done; costs in money
    units. ``bound_units``: no lawful set costs less. ``rounds``, ``planes``, ``states`` of all searches; ``nodes`` of
    the tree. ``limited``: some search covers its network only; ``in_the_way``: heaters stood in one another's way;
    ``unsettled``: why something below the best set could not be split any more; ``without``: dwellings that have no
    lawful design even by themselves."""

    done: Done | None = None
    bound_units: float = 0.0
    cut_off: bool = False
    nodes: int = 0
    rounds: int = 0
    planes: int = 0
    states: int = 0
    limited: bool = False
    in_the_way: bool = False
    unsettled: tuple[str, ...] = ()
    without: tuple[str, ...] = ()

    def note(self, found: Outcome, is_bound: bool) -> None:
        """Add up what a search did; ``is_bound``: it was for a bound."""
        self.rounds += found.rounds
        self.limited |= found.limited and is_bound
        self.planes, self.states = max(self.planes, found.planes), max(self.states, found.states)
        self.cut_off |= found.cut_off

    @property
    def cost_units(self) -> float:
        """What the designs and shared works cost, infinite where there are none."""
        return INFEASIBLE if self.done is None else self.done.units


@dataclass(frozen=True, slots=True)
class Node:
    """A part of all sets of designs: what each dwelling is held to. ``stands``: of two dwellings in one another's way
    (by index) the one that stands where it could by itself. ``runs``: the longest run of gas pipe is longer than the
    one, and no longer than the other [mm]. ``settled``: what holes they share. ``tried``: of the places at which one of
    two in one another's way may stand, with its terminal (True) or its case, those that are looked through (surface,
    distance, height [mm]); what is left costs ``floor`` [money units] at least."""

    helds: tuple[Held, ...]
    stands: tuple[tuple[int, int, int], ...] = ()
    runs: tuple[int, float] = (0, INFEASIBLE)
    settled: tuple[Settled, ...] = ()
    tried: tuple[bool, frozenset[tuple[str, int, int]]] | None = None
    floor: float = 0.0


def whole(dwellings: Iterable[Dwelling]) -> Node:
    """All sets of designs of some dwellings."""
    taps = (d.gas_taps for d in dwellings)
    return Node(tuple(Held(taps=None if ids is None else frozenset(ids)) for ids in taps))


@dataclass(frozen=True, slots=True)
class Bounded:
    """A node with its bound and the designs that it rests on, none where some dwelling has none."""

    units: float
    designs: tuple[Design, ...]


def least_in(found: Outcome, ceiling: float = INFEASIBLE) -> float:
    """What a search proves that a dwelling costs at least [money units], the ceiling where nothing lawful is below."""
    if not found.designs:
        return min(found.bound_units, ceiling) if found.cut_off else ceiling
    return found.bound_units if found.cut_off else found.cost_units or 0.0


@dataclass(slots=True)
class OpenNodes:
    """Nodes still to be looked at, with their bounds [money units]: the least first, but now and then, and after each
    better set, first what came of the one before, to find sets early."""

    _heap: list[tuple[float, int, Node]] = field(default_factory=list)
    _count: int = 0
    _below: int = 0
    _dives: int = DIVES
    _best: float = INFEASIBLE
    _stuck: list[tuple[float, str]] = field(default_factory=list)

    @property
    def least(self) -> float:
        """The least bound, infinite where nothing is left."""
        return self._heap[0][0] if self._heap else INFEASIBLE

    def put(self, units: float, node: Node) -> None:
        """Keep a node."""
        self._count += 1
        heapq.heappush(self._heap, (units, self._count, node))

    @property
    def stuck(self) -> float:
        """The least bound of nodes that cannot be split any more, infinite where there are none."""
        return min((units for units, _ in self._stuck), default=INFEASIBLE)

    def stick(self, units: float, why: str) -> None:
        """Keep the bound of a node that cannot be split, and why."""
        self._stuck.append((units, why))

    def reasons(self, most: float) -> tuple[str, ...]:
        """Why nodes below ``most`` cannot be split, each once."""
        return tuple(dict.fromkeys(why for units, why in self._stuck if why and units < most))

    def next(self, best: float) -> tuple[float, Node]:
        """Take the next node, with its bound; ``best``: what the best set costs."""
        if best < self._best:
            self._best, self._dives = best, DIVES
        own = [entry for entry in self._heap if entry[1] > self._below and entry[2].tried is None]
        self._below = self._count
        if own and self._dives:
            entry = min(own)
            self._heap.remove(entry)
            heapq.heapify(self._heap)
            return entry[0], entry[2]
        self._dives = max(self._dives - 1, 0)
        units, _, node = heapq.heappop(self._heap)
        return units, node
