"""From a chain of states to straight pieces with their surfaces."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from service.design import Piece, Surface
from service.routing.fields import Field
from service.routing.house_grids import SURFACES
from service.routing.lattice import Lattice
from service.routing.turns import merged
from service.survey.model import Point3


def pieces_of(field: Field, states: list[int]) -> tuple[Piece, ...]:
    """Pieces along a chain of a field, merged where direction and surface stay; crossings stay single."""
    raw = []
    for u, v in pairwise(states):
        surface = _surface(field, u, v)
        if surface is not None:
            raw.append(Piece(_point(field.lattice, u), _point(field.lattice, v), surface))
    return merged(raw)


def elbows_on(field: Field, states: Sequence[int], source: int) -> int:
    """Elbows of a chain and of what lies behind its source, as the search counts them: the points alone, rounded as
    they are beside skew walls, would not always tell."""
    turns = sum(_surface(field, u, v) is None for u, v in pairwise(states))
    return turns + int(field.sources.turns[source])


def _point(lattice: Lattice, state: int) -> Point3:
    x, y, z = lattice.xyz[state]
    return int(x), int(y), int(z)


def _surface(field: Field, u: int, v: int) -> Surface | None:
    """Surface of the cheapest open arc between two states, None for a bend."""
    lattice, tariff = field.lattice, field.tariff
    row = slice(lattice.indptr[u], lattice.indptr[u + 1])
    slots = lattice.perm[row][lattice.indices[row] == v]
    n = len(lattice.arcs.a)
    arcs = [k for k in (int(k) % n for k in slots if k < 2 * n) if not field.closed[k]]
    surfaces = [(SURFACES[lattice.arcs.surface[k]], int(lattice.arcs.length[k])) for k in arcs]
    open_ones = [(tariff.per_mm[s] * length + tariff.once.get(s, 0), s) for s, length in surfaces if s in tariff.per_mm]
    return min(open_ones)[1] if open_ones else None
