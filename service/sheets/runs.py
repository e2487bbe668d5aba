"""Runs in plan, storey by storey, side by side where they lie over each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

from shapely import LineString, box
from shapely.geometry.base import BaseGeometry

from service.design import Piece, Route, Service
from service.sheets.model import Layer, Point

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


@dataclass(frozen=True, slots=True)
class Span:
    """Heights of one storey: from its floor to the next one's [mm]."""

    low: float
    high: float

    def holds(self, piece: Piece) -> bool:
        """Whether some of a piece lies in it."""
        low, high = sorted((piece.start[2], piece.end[2]))
        return low < self.high and high > self.low if low < high else self.low <= low < self.high


@dataclass(frozen=True, slots=True)
class Drawn:
    """One run on one storey: its lines, where it goes up or down, and how far it was moved aside [mm]."""

    route: Route
    lines: tuple[tuple[Point, ...], ...]
    risers: tuple[Point, ...]
    moved: Point

    def middle(self, window: tuple[float, float, float, float] | None) -> Point:
        """Middle of its longest straight piece within a window (None: anywhere), or of where it goes up or down."""
        pieces = [seen for line in self.lines for p in zip(line, line[1:], strict=False) if (seen := _seen(p, window))]
        if not pieces:
            return (self.risers or self.lines[0])[0]
        a, b = max(pieces, key=lambda p: hypot(p[1][0] - p[0][0], p[1][1] - p[0][1]))
        return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def _seen(piece: tuple[Point, Point], window: tuple[float, float, float, float] | None) -> tuple[Point, Point] | None:
    """What of a straight piece lies within a window."""
    if window is None:
        return piece
    found = LineString(piece).intersection(box(*window))
    if found.is_empty or not found.length:
        return None
    (x0, y0), (x1, y1) = found.coords[0], found.coords[-1]
    return (x0, y0), (x1, y1)


def drawn_runs(routes: Sequence[Route], span: Span, aside: Point, scale: int) -> Iterator[Drawn]:
    """The runs of a storey; ``aside`` (+-1, +-1) is the direction in which one makes room for another."""
    before: list[BaseGeometry] = []
    for route in routes:
        pieces = [p for p in route.pieces if span.holds(p)]
        if not pieces:
            continue
        chains, risers = list(_chains(pieces)), tuple(_risers(pieces))
        step = APART_MM * scale
        for slot in range(_SLOTS):
            by = (aside[0] * step * slot, aside[1] * step * slot)
            lines = tuple(tuple((x + by[0], y + by[1]) for x, y in c) for c in chains)
            if not any(_lies_over(line, before, step * 0.8) for line in lines):
                break
        before += [LineString(line) for line in lines]
        yield Drawn(route, lines, tuple((x + by[0], y + by[1]) for x, y in risers), by)


def _chains(pieces: Sequence[Piece]) -> Iterator[tuple[Point, ...]]:
    """Plan lines of pieces that follow each other, upright ones left out."""
    chain: list[Point] = []
    for piece in pieces:
        a, b = piece.start[:2], piece.end[:2]
        if a == b:
            continue
        if not chain or chain[-1] != a:
            if chain:
                yield tuple(chain)
            chain = [a]
        chain.append(b)
    if chain:
        yield tuple(chain)


def _risers(pieces: Sequence[Piece]) -> Iterator[Point]:
    seen: set[Point] = set()
    for piece in pieces:
        if piece.start[:2] == piece.end[:2] and piece.start[:2] not in seen:
            seen.add(piece.start[:2])
            yield piece.start[:2]


def _lies_over(line: Sequence[Point], others: Sequence[BaseGeometry], near: float) -> bool:
    shape = LineString(line)
    return any(shape.intersection(o.buffer(near, cap_style="flat")).length > 2.5 * near for o in others)
