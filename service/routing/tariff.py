"""What a service pays on the lattice, and where it may end: plain data that spreading and pricing share."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from service.design import Surface
from service.routing.house_grids import SURFACES
from service.routing.lattice import Bools, Lattice
from service.routing.planes import Ints
from service.survey.model import Point3

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Passage:
    """Ways through a wall or floor, all along one axis and ``through_mm`` long: those whose lesser end lies in a box,
    its faces included [mm]."""

    surface: Surface
    low: Point3
    high: Point3
    through_mm: int

    def holds(self, at: Point3, surface: Surface, length_mm: int) -> bool:
        """Whether a way through, of which the lesser end is told, is one of these."""
        inside = all(lo <= v <= hi for lo, v, hi in zip(self.low, at, self.high, strict=True))
        return inside and (surface, length_mm) == (self.surface, self.through_mm)

    def among(self, surface: Ints, length: Ints, at: tuple[Ints, ...]) -> Bools:
        """Which of some arcs are such ways, told by surface, length and lesser end (x, y, z), all shape (n,)."""
        found: Bools = (surface == SURFACES.index(self.surface)) & (length == self.through_mm)
        for lo, v, hi in zip(self.low, at, self.high, strict=True):
            found &= (lo <= v) & (v <= hi)
        return found


@dataclass(frozen=True, slots=True)
class Tariff:
    """What a service pays: units a millimetre and units once, by surface; units a bend.

    ``one_way`` is +1 if, walking from the heater to the end, the run may never descend, -1 if it
    may never rise, 0 if it is free. A surface missing from ``per_mm`` is closed. ``passing``: what is paid once in some
    passages in place of their surface's price.
    """

    per_mm: dict[Surface, int]
    once: dict[Surface, int]
    bend: int
    one_way: int = 0
    passing: tuple[tuple[Passage, int], ...] = ()

    def arc_costs(self, lattice: Lattice) -> Floats:
        """Cost of every arc, shape (arcs,); inf where closed."""
        per_mm = np.array([float(self.per_mm.get(s, 0)) for s in SURFACES])
        once = np.array([float(self.once.get(s, 0)) if s in self.per_mm else np.inf for s in SURFACES])
        code = lattice.arcs.surface
        return per_mm[code] * lattice.arcs.length + self._once(lattice, once[code])

    def _once(self, lattice: Lattice, once: Floats) -> Floats:
        if not self.passing:
            return once
        arcs, surfaces = lattice.arcs, {SURFACES.index(passage.surface) for passage, _ in self.passing}
        through = np.flatnonzero(np.isin(arcs.surface, sorted(surfaces)))
        ways = arcs.surface[through], arcs.length[through], lattice.keys.unpack(arcs.a[through])[1:]
        paid = once[through]
        for passage, units in self.passing:
            paid = np.where(passage.among(*ways) & np.isfinite(paid), np.minimum(paid, units), paid)
        once[through] = paid
        return once


@dataclass(frozen=True, slots=True)
class Sources:
    """Ends of a service as columns, shape (n,): state, cost, length [mm] and turns behind it; ``names`` tells which."""

    states: Ints
    costs: Floats
    run: Floats
    turns: Ints
    names: tuple[int, ...]
