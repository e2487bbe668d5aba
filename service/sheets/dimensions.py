"""Dimension lines: extension lines from the measured points, oblique strokes at the ends, words above the line."""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, cos, degrees, hypot, pi, radians, sin

from service.sheets.letters import SMALL_MM, harmless, width_mm
from service.sheets.model import Layer, Point, Ring
from service.sheets.paper import ASCENT, Stroke, Words
from service.sheets.style import MEDIUM_MM, PENS, Pen

_TICK, _BEYOND, _GAP = 1.1, 1.2, 0.8
_ABOVE, _END_GAP, _CLEAR, _CLEAR_END = 1.0, 1.8, 1.6, 5.0
"""How far words are from their line and from its ends, and other words rather from it and from its ends [mm]."""


def dimension_line(a: Point, b: Point, off: float) -> tuple[Point, Point]:
    """The dimension line on paper: the points moved ``off`` to the left as one goes from a to b [mm]."""
    length = hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    n = ((b[1] - a[1]) / length * off, -(b[0] - a[0]) / length * off)
    return (a[0] + n[0], a[1] + n[1]), (b[0] + n[0], b[1] + n[1])


def dimension_lines(a: Point, b: Point, off: float) -> Iterator[Stroke]:
    """Line, its ends and extension lines for two points on paper [mm]."""
    p, q = dimension_line(a, b, off)
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


def dimension_words(a: Point, b: Point, off: float, text: str) -> Iterator[Words]:
    """Words at the line, to be read from below or from the right: above its middle, below it, or, where it is too short
    for them, beyond one of its ends."""
    p, q = dimension_line(a, b, off)
    text = harmless(text)
    length, wide = hypot(q[0] - p[0], q[1] - p[1]), width_mm(text, SMALL_MM)
    angle = -degrees(atan2(q[1] - p[1], q[0] - p[0]))
    angle = angle + 180.0 if angle <= -90.0 + 1e-6 else angle - 180.0 if angle > 90.0 + 1e-6 else angle
    way = (cos(radians(angle)), -sin(radians(angle)))
    up = (way[1], -way[0])
    middle, high = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2), ASCENT * SMALL_MM
    beyond = length / 2 + _END_GAP + wide / 2
    if wide + 1.0 <= length:
        places = [(0.0, _ABOVE), (0.0, -_ABOVE - high)]
    else:
        places = [(beyond, -high / 2), (-beyond, -high / 2)]
    for along, above in places:
        x, y = (middle[k] + along * way[k] + above * up[k] for k in (0, 1))
        yield Words(x, y, text, SMALL_MM, Layer.DIMENSION, "middle", angle=round(angle, 3) + 0.0)


def dimension_band(a: Point, b: Point, off: float) -> Ring:
    """Where no other words stand, lest they be taken for the dimension's."""
    p, q = dimension_line(a, b, off)
    length = hypot(q[0] - p[0], q[1] - p[1]) or 1.0
    u = ((q[0] - p[0]) / length, (q[1] - p[1]) / length)
    corners = ((p, -_CLEAR_END, 1), (q, _CLEAR_END, 1), (q, _CLEAR_END, -1), (p, -_CLEAR_END, -1))
    return tuple((x + e * u[0] + k * _CLEAR * u[1], y + e * u[1] - k * _CLEAR * u[0]) for (x, y), e, k in corners)
