"""A front as a small picture: what is gained from left to right, cost upwards, every design a numbered point."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from service.report.model import Chart
from service.sheets.letters import SMALL_MM, cut, width_mm
from service.sheets.marks import circle
from service.sheets.model import Layer, Point
from service.sheets.paper import Fill, Ink, Stroke, Words
from service.sheets.style import INK, MEDIUM_MM, THIN_MM, Pen

WIDE, HIGH = 120.0, 62.0
"""Size of the picture [mm]."""
_LEFT, _RIGHT, _TOP, _BOTTOM = 26.0, 112.0, 8.0, 50.0
_STEP = Pen(MEDIUM_MM, (1.6, 0.8), "#005b94")
_BAND, _APART = 0.08, 4.0


def chart(points: Sequence[tuple[float, float]], across: str, up: str, ends: tuple[tuple[str, str], tuple[str, str]],
          about: str) -> Chart:  # fmt: skip
    """Points (gain, cost), named along both axes; ``ends`` tells the least and greatest of each in words."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    placed = [(_on(x, xs, _LEFT, _RIGHT), _on(y, ys, _BOTTOM, _TOP)) for x, y in points]
    inks = (*_axes(across, up), *_ends(ends, placed), *_front(placed))
    return Chart(inks, WIDE, HIGH, about)


def _on(value: float, among: Sequence[float], start: float, end: float) -> float:
    """Where a value lies between two ends of an axis, a little off both [mm]."""
    low, high = min(among), max(among)
    share = 0.5 if low == high else _BAND + (1 - 2 * _BAND) * (value - low) / (high - low)
    return start + share * (end - start)


def _axes(across: str, up: str) -> Iterator[Ink]:
    yield Stroke(((_LEFT, _TOP - 4.0), (_LEFT, _BOTTOM), (_RIGHT + 4.0, _BOTTOM)), Pen(MEDIUM_MM), Layer.TEXT)
    yield Words(_RIGHT + 4.0, HIGH - 2.0, across, SMALL_MM, anchor="end")
    yield Words(2.0, 3.0, up, SMALL_MM)


def _ends(ends: tuple[tuple[str, str], tuple[str, str]], placed: Sequence[Point]) -> Iterator[Ink]:
    """Marks at the least and the greatest; one where both are the same."""
    (least, most), (cheap, dear) = ends
    xs, ys = [p[0] for p in placed], [p[1] for p in placed]
    for x, words in dict.fromkeys(((min(xs), least), (max(xs), most))):
        yield Stroke(((x, _BOTTOM), (x, _BOTTOM + 1.2)), Pen(THIN_MM), Layer.TEXT)
        yield Words(x, _BOTTOM + 5.0, words, SMALL_MM, anchor="middle")
    for y, words in dict.fromkeys(((max(ys), cheap), (min(ys), dear))):
        yield Stroke(((_LEFT - 1.2, y), (_LEFT, y)), Pen(THIN_MM), Layer.TEXT)
        yield Words(_LEFT - 2.0, y + 0.9, cut(words, SMALL_MM, _LEFT - 3.0), SMALL_MM, anchor="end")


def _front(placed: Sequence[Point]) -> Iterator[Ink]:
    """Steps from each design to the next, and a point with its number for each."""
    for a, b in pairwise(placed):
        yield Stroke((a, (b[0], a[1]), b), _STEP, Layer.TEXT)
    last = -2 * _APART
    for number, (x, y) in enumerate(placed, 1):
        yield Fill((circle((x, y), 0.9),), INK, Layer.TEXT)
        if abs(x - last) >= max(_APART, width_mm(str(number), SMALL_MM) + 1.0):
            yield Words(x - 1.2, y - 1.6, str(number), SMALL_MM, anchor="end", bold=True)
            last = x
