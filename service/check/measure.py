"""Distances in exact arithmetic: whole millimetres in, rational squares out, so equality is equality."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import isqrt

from service.building.model import Facade, Face
from service.survey.model import Point2

SKEW_TOLERANCE_MM = 1
"""A point of a skew line is rounded to whole millimetres, so it lies off the line by up to this."""
SKEW_SQUARE_MM = 4
"""What goes square through a skew wall may come out so far aside. Rounded to whole millimetres are both points and an
end of the facade (sqrt(1/2) each at most) and four distances along the two (a half each): 4.1 in all, two at most in
80,000 places."""


def interval_gap(a0: int, a1: int, b0: int, b1: int) -> int:
    """Distance between two closed intervals, 0 when they touch [mm]."""
    return max(a0 - b1, b0 - a1, 0)


def point_segment_gap2(p: Point2, a: Point2, b: Point2) -> Fraction:
    """Squared plan distance of a point from a segment [mm2], exact."""
    ux, uy, wx, wy = b[0] - a[0], b[1] - a[1], p[0] - a[0], p[1] - a[1]
    length2, dot = ux * ux + uy * uy, ux * wx + uy * wy
    if dot <= 0 or not length2:
        return Fraction(wx * wx + wy * wy)
    if dot >= length2:
        return Fraction((p[0] - b[0]) ** 2 + (p[1] - b[1]) ** 2)
    return Fraction((ux * wy - uy * wx) ** 2, length2)


def edges(outline: tuple[Point2, ...]) -> tuple[tuple[Point2, Point2], ...]:
    """Edges of a closed outline."""
    return tuple(zip(outline, outline[1:] + outline[:1], strict=True))


def contains(outline: tuple[Point2, ...], p: Point2) -> bool:
    """Whether a point lies in a closed outline, its edge counting as inside; exact."""
    odd = False
    for a, b in edges(outline):
        cross = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
        if not cross and min(a[0], b[0]) <= p[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= p[1] <= max(a[1], b[1]):
            return True
        if (a[1] > p[1]) != (b[1] > p[1]) and (cross > 0) == (b[1] > a[1]):
            odd = not odd
    return odd


def reaches(outline: tuple[Point2, ...], p: Point2) -> bool:
    """Whether a point lies in a closed outline or on a skew edge of it, to the rounding of the frame."""
    skew = (e for e in edges(outline) if e[0][0] != e[1][0] and e[0][1] != e[1][1])
    return contains(outline, p) or any(point_segment_gap2(p, *e) <= SKEW_TOLERANCE_MM**2 for e in skew)


def point_outline_gap2(p: Point2, outline: tuple[Point2, ...]) -> Fraction:
    """Squared plan distance of a point from a closed outline, 0 inside [mm2], exact."""
    return Fraction(0) if contains(outline, p) else min(point_segment_gap2(p, a, b) for a, b in edges(outline))


def segments_gap2(a: Point2, b: Point2, c: Point2, d: Point2) -> Fraction:
    """Squared plan distance of two segments [mm2], 0 where they meet, exact."""
    if _cross(a, b, c, d):
        return Fraction(0)
    ends = ((a, c, d), (b, c, d), (c, a, b), (d, a, b))
    return min(point_segment_gap2(*end) for end in ends)


def _cross(a: Point2, b: Point2, c: Point2, d: Point2) -> bool:
    """Whether each segment has its ends on both sides of the other."""
    return _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0


def _turn(a: Point2, b: Point2, p: Point2) -> int:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def segment_outline_gap2(a: Point2, b: Point2, outline: tuple[Point2, ...]) -> Fraction:
    """Squared plan distance of a segment from a closed outline, 0 inside [mm2], exact."""
    return Fraction(0) if contains(outline, a) else min(segments_gap2(a, b, *edge) for edge in edges(outline))


def floor_root(square: Fraction) -> int:
    """Greatest whole number whose square is not above ``square`` [mm]."""
    return isqrt(square.numerator // square.denominator)


def apart(first: Iterable[Point2], second: Iterable[Point2], slack_mm: int = 0) -> bool:
    """Whether the bounding boxes of two sets of points do not even touch; a quick no before exact work."""
    a, b = tuple(first), tuple(second)
    return any(
        max(p[i] for p in a) + slack_mm < min(p[i] for p in b) or max(p[i] for p in b) + slack_mm < min(p[i] for p in a)
        for i in (0, 1)
    )


def side(line: Face | Facade, p: Point2) -> int:
    """Positive left of start -> end, negative right, 0 on the line; length times distance [mm2]."""
    (ax, ay), (bx, by) = line.start, line.end
    return (bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax)


def offset_mm(line: Face | Facade, p: Point2) -> float:
    """Distance to the left of start -> end, negative to the right [mm]."""
    return side(line, p) / _length(line)


def along_mm(line: Face | Facade, p: Point2) -> int:
    """Distance of a point along start -> end, rounded (exact along an axis) [mm]."""
    (ax, ay), (bx, by) = line.start, line.end
    return round(((bx - ax) * (p[0] - ax) + (by - ay) * (p[1] - ay)) / _length(line))


def is_on(line: Face | Facade, p: Point2) -> bool:
    """Whether a plan point lies on the line between its ends; to the rounding of the frame if skew."""
    slack = 0 if line.axis is not None else SKEW_TOLERANCE_MM
    s = along_mm(line, p)
    return abs(offset_mm(line, p)) <= slack and -slack <= s <= line.length_mm + slack


def is_square_to(line: Face | Facade, a: Point2, b: Point2) -> bool:
    """Whether a -> b runs square to the line; to the rounding of the frame if skew."""
    slack = 0 if line.axis is not None else SKEW_SQUARE_MM
    return abs(along_mm(line, a) - along_mm(line, b)) <= slack


def _length(line: Face | Facade) -> float:
    (ax, ay), (bx, by) = line.start, line.end
    square = (bx - ax) ** 2 + (by - ay) ** 2
    root = isqrt(square)
    return float(root) if root * root == square else float(square**0.5)
