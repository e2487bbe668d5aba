"""Runs in plan, storey by storey, side by side where they lie over each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

from shapely import LineString, box
from shapely.geometry.base import BaseGeometry

from service.design import Piece, Route, Service
from service.sheets.model import Layer, Point
from service.survey.model import Point3
from service.usecases.pictured import Installed

LAYER_OF: dict[Service, Layer] = {
    Service.VENT: Layer.VENT,
    Service.GAS: Layer.GAS,
    Service.COLD: Layer.COLD,
    Service.HOT: Layer.HOT,
    Service.DRAIN: Layer.DRAIN,
    Service.POWER: Layer.POWER,
}
APART_MM = 1.1
"""How far runs that lie over each other are drawn apart [mm on paper]."""
_SLOTS = 12
Bounds = tuple[float, float, float, float]
Straight = tuple[Point3, Point3]


@dataclass(frozen=True, slots=True)
class Span:
    """Heights of one storey: from its floor to the next one's [mm]."""

    low: float
    high: float

    def holds(self, start: Point3, end: Point3) -> bool:
        """Whether some of a straight piece lies in it."""
        low, high = sorted((start[2], end[2]))
        return low < self.high and high > self.low if low < high else self.low <= low < self.high


@dataclass(frozen=True, slots=True)
class Drawn:
    """A run or pipe on one storey: its lines in plan, and where it goes up or down [mm]."""

    lines: tuple[tuple[Point, ...], ...]
    risers: tuple[Point, ...]

    def middle(self, window: Bounds | None) -> Point:
        """Middle of its longest straight piece within a window (None: anywhere), or of where it goes up or down."""
        pieces = self.seen(window)
        if not pieces:
            return (self.risers or self.lines[0])[0]
        a, b = max(pieces, key=lambda p: hypot(p[1][0] - p[0][0], p[1][1] - p[0][1]))
        return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2

    def seen(self, window: Bounds | None) -> list[tuple[Point, Point]]:
        """What of its straight pieces lies within a window."""
        pairs = (p for line in self.lines for p in zip(line, line[1:], strict=False))
        return [seen for p in pairs if (seen := _seen(p, window))]


@dataclass(frozen=True, slots=True)
class Run:
    """One run of one heater as it is drawn, and how far it was moved aside [mm]."""

    of: Installed
    route: Route
    drawn: Drawn
    moved: Point


def _seen(piece: tuple[Point, Point], window: Bounds | None) -> tuple[Point, Point] | None:
    """What of a straight piece lies within a window."""
    if window is None:
        return piece
    found = LineString(piece).intersection(box(*window))
    if found.is_empty or not found.length:
        return None
    (x0, y0), (x1, y1) = found.coords[0], found.coords[-1]
    return (x0, y0), (x1, y1)


def drawn_runs(heaters: Sequence[tuple[Installed, Point]], span: Span, scale: int) -> Iterator[Run]:
    """The runs of a storey, heater by heater; beside each stands the direction (+-1, +-1) in which its runs make room
    for another."""
    before: list[BaseGeometry] = []
    for one, aside in heaters:
        for route in one.design.routes:
            pieces = [p for p in route.pieces if span.holds(p.start, p.end)]
            if pieces:
                drawn, moved = _beside(pieces, before, aside, APART_MM * scale)
                before += [LineString(line) for line in drawn.lines]
                yield Run(one, route, drawn, moved)


def _beside(
    pieces: Sequence[Piece], before: Sequence[BaseGeometry], aside: Point, step: float
) -> tuple[Drawn, Point]:
    """A run in the first of some places side by side that no other takes, or in the last."""
    straight = [(p.start, p.end) for p in pieces]
    chains, risers = list(in_plan(straight)), tuple(upright(straight))
    for slot in range(_SLOTS):
        by = (aside[0] * step * slot, aside[1] * step * slot)
        lines = tuple(tuple((x + by[0], y + by[1]) for x, y in c) for c in chains)
        if not any(_lies_over(line, before, step * 0.8) for line in lines):
            break
    return Drawn(lines, tuple((x + by[0], y + by[1]) for x, y in risers)), by


def in_plan(pieces: Sequence[Straight]) -> Iterator[tuple[Point, ...]]:
    """Plan lines of pieces that follow each other, upright ones left out."""
    chain: list[Point] = []
    for start, end in pieces:
        a, b = start[:2], end[:2]
        if a == b:
            continue
        if not chain or chain[-1] != a:
            if chain:
                yield tuple(chain)
            chain = [a]
        chain.append(b)
    if chain:
        yield tuple(chain)


def upright(pieces: Sequence[Straight]) -> Iterator[Point]:
    """Where pieces go up or down, each place once."""
    yield from dict.fromkeys(start[:2] for start, end in pieces if start[:2] == end[:2])


def _lies_over(line: Sequence[Point], others: Sequence[BaseGeometry], near: float) -> bool:
    shape = LineString(line)
    return any(shape.intersection(o.buffer(near, cap_style="flat")).length > 2.5 * near for o in others)
