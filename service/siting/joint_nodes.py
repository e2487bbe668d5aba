"""What a joint search works on and ends with."""

from __future__ import annotations

from dataclasses import dataclass

from service.design import Design
from service.siting.as_done import Done
from service.siting.dwelling_search import Held
from service.siting.sleeves import Settled

INFEASIBLE = float("inf")


@dataclass(slots=True)
class JointOutcome:
    """Designs found, one for each dwelling, as they stand beside one another with all shared works done; costs in money
    units. ``bound_units``: no lawful set costs less. ``rounds``, ``planes``, ``states`` of all searches; ``nodes`` of
    the tree. ``limited``: some search covers its network only; ``in_the_way``: heaters stood in one another's way;
    ``unsettled``: something below the best set could not be split any more; ``without``: dwellings that have no lawful
    design even by themselves."""

    done: Done | None = None
    bound_units: float = 0.0
    cut_off: bool = False
    nodes: int = 0
    rounds: int = 0
    planes: int = 0
    states: int = 0
    limited: bool = False
    in_the_way: bool = False
    unsettled: bool = False
    without: tuple[str, ...] = ()

    @property
    def cost_units(self) -> float:
        """What the designs and shared works cost, infinite where there are none."""
        return INFEASIBLE if self.done is None else self.done.units


@dataclass(frozen=True, slots=True)
class Node:
    """A part of all sets of designs: what each dwelling is held to. ``stands``: of two dwellings in one another's way
    (by index) the one that stands where it could by itself. ``runs``: the longest run of gas pipe is longer than the
    one, and no longer than the other [mm]. ``settled``: what holes they share."""

    helds: tuple[Held, ...]
    stands: tuple[tuple[int, int, int], ...] = ()
    runs: tuple[int, float] = (0, INFEASIBLE)
    settled: tuple[Settled, ...] = ()


@dataclass(frozen=True, slots=True)
class Bounded:
    """A node with its bound and the designs that it rests on, none where some dwelling has none."""

    units: float
    designs: tuple[Design, ...]
