"""Symbols of one size on paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import cos, hypot, pi, sin

from service.sheets.model import Layer, Point, Ring, Symbol
from service.sheets.paper import Fill, Ink, Stroke
from service.sheets.style import INK, MEDIUM_MM, PAPER, THIN_MM, Pen

_SIDES = 24
_STROKES_APART, _STROKE = 3.0, 1.0


def circle(at: Point, radius: float, sides: int = _SIDES, turn: float = 0.0) -> Ring:
    """Points on a circle [mm]."""
    return tuple(
        (at[0] + radius * cos(turn + 2 * pi * k / sides), at[1] + radius * sin(turn + 2 * pi * k / sides))
        for k in range(sides)
    )


def earth(points: Sequence[Point]) -> Iterator[Stroke]:
    """Oblique strokes below a line of ground on paper [mm]."""
    for (x0, y0), (x1, y1) in pairwise(points):
        count = int(hypot(x1 - x0, y1 - y0) / _STROKES_APART)
        for k in range(count):
            t = (k + 0.5) / count
            x, y = x0 + t * (x1 - x0), y0 + t * (y1 - y0)
            yield Stroke(((x, y), (x - _STROKE, y + _STROKE)), Pen(THIN_MM), Layer.GRADE)


def marked(symbol: Symbol, at: Point, layer: Layer) -> Iterator[Ink]:
    """A symbol at a point on paper [mm]."""
    if symbol in (Symbol.TAP, Symbol.POINT):
        ring = circle(at, 0.9)
        yield Fill((ring,), INK, layer)
    elif symbol is Symbol.RISER:
        ring = circle(at, 0.9)
        yield Fill((ring,), PAPER, layer)
        yield Stroke(ring, Pen(MEDIUM_MM), layer, closed=True)
    elif symbol is Symbol.METER:
        ring = circle(at, 2.0, 4, pi / 4)
        yield Fill((ring,), PAPER, layer)
        yield Stroke(ring, Pen(MEDIUM_MM), layer, closed=True)
        yield Stroke((ring[0], ring[2]), Pen(THIN_MM), layer)
        yield Stroke((ring[1], ring[3]), Pen(THIN_MM), layer)
    elif symbol is Symbol.TERMINAL:
        ring = circle(at, 1.6)
        yield Fill((ring,), PAPER, layer)
        yield Stroke(ring, Pen(MEDIUM_MM), layer, closed=True)
        for dx, dy in ((2.4, 0.0), (0.0, 2.4)):
            yield Stroke(((at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy)), Pen(THIN_MM), layer)
    else:
        yield Stroke(circle(at, 0.8, 3, -pi / 2), Pen(MEDIUM_MM), layer, closed=True)
