"""From a chain of states to straight pieces with their surfaces."""

from __future__ import annotations

from itertools import groupby, pairwise

from service.design import Piece, Surface
from service.routing.fields import Field
from service.routing.lattice import SURFACES, Lattice
from service.survey.model import Point3


def pieces_of(field: Field, states: list[int]) -> tuple[Piece, ...]:
    """Pieces along a chain of a field, merged where direction and surface stay; crossings stay single."""
    raw = []
    for u, v in pairwise(states):
        surface = _surface(field, u, v)
        if surface is not None:
            raw.append(Piece(_point(field.lattice, u), _point(field.lattice, v), surface))
    return merged(raw)


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


CROSSINGS = (Surface.WALL_CROSSING, Surface.FLOOR_CROSSING, Surface.OUTER_WALL)


def direction(piece: Piece) -> tuple[float, float, float] | None:
    """Unit direction to three decimals, None for a piece without length."""
    d = [b - a for a, b in zip(piece.start, piece.end, strict=True)]
    length = sum(x * x for x in d) ** 0.5
    return (round(d[0] / length, 3), round(d[1] / length, 3), round(d[2] / length, 3)) if length else None


def merged(raw: list[Piece]) -> tuple[Piece, ...]:
    """Join neighbours of one direction and surface; each crossing keeps its own piece."""
    numbered = [(p.surface, direction(p), i if p.surface in CROSSINGS else -1, p) for i, p in enumerate(raw)]
    out = []
    for _, group in groupby(numbered, key=lambda e: e[:3]):
        run = [e[3] for e in group]
        out.append(Piece(run[0].start, run[-1].end, run[0].surface))
    return tuple(out)


def elbows(pieces: tuple[Piece, ...]) -> int:
    """Number of changes of direction; pieces without length turn nothing."""
    ways = [d for p in pieces if (d := direction(p)) is not None]
    return sum(a != b for a, b in pairwise(ways))
