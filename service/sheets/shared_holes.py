"""Holes in walls and floors that runs of several heaters pass together, in plan."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from service.design import Sleeve
from service.sheets.ground import strip
from service.sheets.marks import circle
from service.sheets.model import Item, KeyRow, Label, Layer, Line, Point
from service.sheets.runs import Bounds, Span
from service.sheets.subject import Subject
from service.usecases.pictured import Installed

HALF_MM = 70.0
"""Half of what is drawn round a hole, across it [mm]: it is seen at every scale, and is not its size."""


def hole_items(subject: Subject, span: Span, window: Bounds | None) -> Iterator[Item]:
    """Each hole of a storey that a view shows, with its number."""
    for number, hole, _ in _shown(subject, span, window):
        yield Line(_round(hole), Layer.SLEEVE, closed=True)
        yield Label(_middle(hole), (number,), Layer.SLEEVE, bold=True)


def hole_rows(subject: Subject, span: Span, window: Bounds | None) -> Iterator[KeyRow]:
    """What each number means: whose runs pass there."""
    for number, hole, passing in _shown(subject, span, window):
        names = ", ".join(one.dwelling for one in passing)
        yield KeyRow(number, f"one hole in a {through(hole)} for {hole.service.value} of {names}")


def through(hole: Sleeve) -> str:
    """What a hole leads through."""
    return hole.surface.value.removesuffix("_crossing")


def _shown(
    subject: Subject, span: Span, window: Bounds | None
) -> Iterator[tuple[str, Sleeve, tuple[Installed, ...]]]:
    x0, y0, x1, y1 = window or (float("-inf"),) * 2 + (float("inf"),) * 2
    for number, (hole, passing) in enumerate(subject.holes().items(), 1):
        x, y = _middle(hole)
        if span.holds(hole.start, hole.end) and x0 < x < x1 and y0 < y < y1:
            yield f"S{number}", hole, passing


def _middle(hole: Sleeve) -> Point:
    return (hole.start[0] + hole.end[0]) / 2, (hole.start[1] + hole.end[1]) / 2


def _round(hole: Sleeve) -> tuple[Point, ...]:
    """The hole from above: through a wall a box as long as it, through a floor a ring."""
    start, end = hole.start[:2], hole.end[:2]
    if start == end:
        return circle(_middle(hole), HALF_MM)
    long = hypot(end[0] - start[0], end[1] - start[1])
    return strip(start, end, (0.0, long), (-HALF_MM, HALF_MM))
