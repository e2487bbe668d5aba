"""Changes of direction along straight pieces, and pieces that are one."""

from __future__ import annotations

from itertools import groupby, pairwise
from math import hypot

from service.design import Piece, Surface

CROSSINGS = (Surface.WALL_CROSSING, Surface.FLOOR_CROSSING, Surface.OUTER_WALL)
ROUNDING_MM = 2.9
"""Two pieces of one straight line, points rounded to whole millimetres: the end of the shorter lies off the longer,
drawn on, by less than this [mm]. Each point is off by sqrt(1/2) at most, the one in the middle counts twice."""
Move = tuple[int, int, int]


def merged(raw: list[Piece]) -> tuple[Piece, ...]:
    """Join neighbours of one direction and surface. Each crossing keeps its own piece, and so does each piece that is
    parallel to no axis: its ends are rounded, so the joined piece would be of another length than its parts."""
    numbered = [(p.surface, _heading(move(p)), i if _stays_alone(p) else -1, p) for i, p in enumerate(raw)]
    out = []
    for _, group in groupby(numbered, key=lambda e: e[:3]):
        run = [e[3] for e in group]
        out.append(Piece(run[0].start, run[-1].end, run[0].surface))
    return tuple(out)


def elbows(pieces: tuple[Piece, ...]) -> int:
    """Number of changes of direction; pieces without length turn nothing."""
    moves = [m for p in pieces if any(m := move(p))]
    return sum(_turned(a, b) for a, b in pairwise(moves))


def move(piece: Piece) -> Move:
    """From its start to its end [mm]."""
    (ax, ay, az), (bx, by, bz) = piece.start, piece.end
    return bx - ax, by - ay, bz - az


def _heading(way: Move) -> Move:
    """Sign along each axis."""
    x, y, z = ((v > 0) - (v < 0) for v in way)
    return x, y, z


def _on_axis(way: Move) -> bool:
    return sum(v != 0 for v in way) == 1


def _stays_alone(piece: Piece) -> bool:
    return piece.surface in CROSSINGS or sum(v != 0 for v in move(piece)) > 1


def _turned(a: Move, b: Move) -> bool:
    """Whether two moves differ by more than the rounding of their ends; along the axes, at all."""
    if (_on_axis(a) and _on_axis(b)) or sum(v * w for v, w in zip(a, b, strict=True)) <= 0:
        return _heading(a) != _heading(b)
    across = (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
    return hypot(*across) > ROUNDING_MM * max(hypot(*a), hypot(*b))
