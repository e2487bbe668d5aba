"""What all places of the old piping ask for at once, as columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from service.piping.options import Option

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
NOWHERE = -1
"""Stands for a place that is on no carrier."""


@dataclass(frozen=True, slots=True)
class TapCost:
    """What a carrier asks for: ``units`` for whole pipes [money units]; ``upstream_mm`` of run from the zone's root
    to the tap, at the start of a cut; whole pipes ``renewed``, by index, with what takes their place; the choice for
    both parts of a cut pipe and its ``length_mm``."""

    units: int
    upstream_mm: int
    renewed: tuple[tuple[int, Option], ...] = ()
    before: Option | None = None
    after: Option | None = None
    length_mm: int = 0


class Ask(NamedTuple):
    """``TapCost`` in figures: ``units`` are inf where a carrier cannot be tapped; of the parts of a cut pipe the money
    units by the millimetre and once."""

    units: float = np.inf
    upstream_mm: float = 0.0
    length_mm: float = 0.0
    before_per_mm: float = 0.0
    before_once: float = 0.0
    after_per_mm: float = 0.0
    after_once: float = 0.0


class TapCosts:
    """What some carriers ask for while runs are held to one length."""

    def __init__(self, asks: Sequence[Ask]) -> None:
        """In the order of the carriers."""
        self._columns = np.array([*asks, Ask()], dtype=np.float64).T

    def __eq__(self, other: object) -> bool:
        return isinstance(other, TapCosts) and np.array_equal(self._columns, other._columns)

    __hash__ = None  # type: ignore[assignment]

    def at(self, carriers: Ints, cut_mm: Floats) -> tuple[Floats, Floats]:
        """Money units if the branch leaves so far along the carriers of these numbers, or NOWHERE, and the run from
        the zone's root to there [mm], shape as ``carriers``: inf and 0 where it cannot."""
        units, upstream, length, pipe, once, after_pipe, after_once = self._columns[:, carriers]
        rest = length - cut_mm
        units = units + pipe * cut_mm + once * (cut_mm > 0) + after_pipe * rest + after_once * (rest > 0)
        return units, np.where(np.isfinite(units), upstream + cut_mm, 0.0)


def ask_of(cost: TapCost | None) -> Ask:
    """The figures of what a carrier asks for, None if it cannot be tapped."""
    if cost is None:
        return Ask()
    parts = (p for o in (cost.before, cost.after) for p in ((0, 0) if o is None else (o.units_per_mm, o.units_once)))
    return Ask(cost.units, cost.upstream_mm, cost.length_mm, *parts)


class Sums:
    """What all pipes of a tree cost with a tap at each place: on the way there they carry more than off it."""

    def __init__(self, parents: Sequence[int], off_way: Sequence[float], on_way: Sequence[float]) -> None:
        """Parents stand before their children, -1 is none; costs of each pipe, inf where it cannot be had."""
        self._on_way, every = on_way, range(len(parents))
        children: dict[int, list[int]] = {}
        for i in every:
            children.setdefault(parents[i], []).append(i)
        self._behind = dict.fromkeys((-1, *every), 0.0)
        for i in (*reversed(every), -1):
            self._behind[i] = sum(off_way[j] + self._behind[j] for j in children.get(i, ()))
        self._rest = dict[int, float]()
        for i in every:
            p = parents[i]
            beside = sum(off_way[j] + self._behind[j] for j in children[p] if j != i)
            self._rest[i] = beside + (0.0 if p < 0 else self._rest[p] + on_way[p])

    def at_end(self, pipe: int) -> float:
        """With a tap at the end of a pipe, or where all begins (-1)."""
        return self._behind[pipe] if pipe < 0 else self.within(pipe) + self._on_way[pipe]

    def within(self, pipe: int) -> float:
        """With a tap within a pipe, that itself not counted."""
        return self._rest[pipe] + self._behind[pipe]
