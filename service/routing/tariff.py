"""What a service pays on the lattice, and where it may end: plain data that spreading and pricing share."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from service.design import Surface
from service.routing.lattice import SURFACES, Lattice
from service.routing.planes import Ints

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Tariff:
    """What a service pays: units a millimetre and units once, by surface; units a bend.

    ``one_way`` is +1 if, walking from the heater to the end, the run may never descend, -1 if it
    may never rise, 0 if it is free. A surface missing from ``per_mm`` is closed.
    """

    per_mm: dict[Surface, int]
    once: dict[Surface, int]
    bend: int
    one_way: int = 0

    def arc_costs(self, lattice: Lattice) -> Floats:
        """Cost of every arc, shape (arcs,); inf where closed."""
        per_mm = np.array([float(self.per_mm.get(s, np.inf)) for s in SURFACES])
        once = np.array([float(self.once.get(s, 0)) for s in SURFACES])
        code, length = lattice.arcs.surface, lattice.arcs.length
        with np.errstate(invalid="ignore"):
            costs = per_mm[code] * length + once[code]
        return np.where(np.isfinite(per_mm[code]), costs, np.inf)


@dataclass(frozen=True, slots=True)
class Sources:
    """Ends of a service as columns, shape (n,): state, cost, length [mm] and turns behind it; ``names`` tells which."""

    states: Ints
    costs: Floats
    run: Floats
    turns: Ints
    names: tuple[int, ...]
