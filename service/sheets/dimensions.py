"""Dimension lines: extension lines from the measured points, oblique strokes at the ends, words above the line."""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, cos, degrees, hypot, pi, radians, sin

from service.sheets.letters import SMALL_MM, harmless, width_mm
from service.sheets.model import Layer, Point
from service.sheets.paper import Stroke, Words
from service.sheets.style import MEDIUM_MM, PENS, Pen

_TICK, _BEYOND, _GAP = 1.1, 1.2, 0.8


def _line(a: Point, b: Point, off: float) -> tuple[Point, Point]:
    """The dimension line on paper: the points moved ``off`` to the left as one goes from a to b [mm]."""
    length = hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    n = ((b[1] - a[1]) / length * off, -(b[0] - a[0]) / length * off)
    return (a[0] + n[0], a[1] + n[1]), (b[0] + n[0], b[1] + n[1])


def dimension_lines(a: Point, b: Point, off: float) -> Iterator[Stroke]:
    """Line, its ends and extension lines for two points on paper [mm]."""
    p, q = _line(a, b, off)
    pen = PENS[Layer.DIMENSION]
    yield Stroke((p, q), pen, Layer.DIMENSION)
    along = atan2(q[1] - p[1], q[0] - p[0])
    for end in (p, q):
        dx, dy = _TICK * cos(along - pi / 4), _TICK * sin(along - pi / 4)
        yield Stroke(((end[0] - dx, end[1] - dy), (end[0] + dx, end[1] + dy)), Pen(MEDIUM_MM), Layer.DIMENSION)
    if abs(off) > _GAP:
        for start, end in ((a, p), (b, q)):
            d = hypot(end[0] - start[0], end[1] - start[1])
            u = ((end[0] - start[0]) / d, (end[1] - start[1]) / d)
            first = (start[0] + u[0] * _GAP, start[1] + u[1] * _GAP)
            yield Stroke((first, (end[0] + u[0] * _BEYOND, end[1] + u[1] * _BEYOND)), pen, Layer.DIMENSION)


def dimension_words(a: Point, b: Point, off: float, text: str) -> Words | None:
    """Words above the middle of the line, to be read from below or from the right; None where the line is too short."""
    p, q = _line(a, b, off)
    text = harmless(text)
    if width_mm(text, SMALL_MM) + 1.0 > hypot(q[0] - p[0], q[1] - p[1]):
        return None
    angle = -degrees(atan2(q[1] - p[1], q[0] - p[0]))
    angle = angle + 180.0 if angle <= -90.0 + 1e-6 else angle - 180.0 if angle > 90.0 + 1e-6 else angle
    up = radians(angle) + pi / 2
    x, y = (p[0] + q[0]) / 2 + 1.0 * cos(up), (p[1] + q[1]) / 2 - 1.0 * sin(up)
    return Words(x, y, text, SMALL_MM, Layer.DIMENSION, "middle", angle=round(angle, 3) + 0.0)
