"""Changes of direction along straight pieces, and pieces that are one."""

from __future__ import annotations

from itertools import groupby, pairwise

from service.design import Piece, Surface

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
