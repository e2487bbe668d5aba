"""Where words stand on a page: never over other words or off the page, rather beside lines than over them, near what
they belong to, and joined to it by a line where they are not at it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import cos, hypot, pi, sin

import numpy as np
from shapely import LineString, MultiPoint, Point, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from service.sheets import model
from service.sheets.model import Ring

CLEAR_MM = 0.5
"""Least distance between words [mm]."""
_AT_MM = 3.0
"""Words nearer than this to their point need no line to it [mm]."""
_DISTANCES_MM = (1.2, 2.5, 4.0, 6.0, 9.0, 12.0, 16.0, 21.0, 27.0, 34.0, 42.0, 52.0, 64.0, 80.0, 100.0, 125.0)
_ANGLES = 24
_OFF_MIDDLE = 0.3
"""What a millimetre off the middle of a thing counts, as distance."""
_OVER_LINE_MM, _LOST_MM = 8.0, 4.0
_IN_BAND_MM, _LEADER_OVER_LINE_MM, _LEADER_ALONG_LINE_MM, _LEADERS_CROSS_MM, _OVER_POINT_MM = 20.0, 0.6, 15.0, 4.0, 40.0
"""What a line under the words, a place to be kept clear, a line under their leader or one that hides it, a leader that
crosses another, or a point that other words belong to, counts in the choice, as distance [mm]."""


@dataclass(frozen=True, slots=True)
class Place:
    """Upper left corner of a box of words [mm], and the line to its point, if it needs one."""

    x: float
    y: float
    leader: Ring = ()


@dataclass
class Board:
    """A page's room for words: what is taken already, the lines drawn, and the points that words belong to."""

    area: tuple[float, float, float, float]
    lines: Sequence[LineString]
    points: Sequence[model.Point] = ()

    def __post_init__(self) -> None:
        self._tree = STRtree(list(self.lines))
        self._shapes: list[BaseGeometry] = []
        self._bounds = np.empty((64, 4))
        self._clear: list[Polygon] = []

    def fits(self, corners: Ring) -> bool:
        """Whether words may stand there."""
        xs, ys = [c[0] for c in corners], [c[1] for c in corners]
        left, top, right, bottom = self.area
        if min(xs) < left or max(xs) > right or min(ys) < top or max(ys) > bottom:
            return False
        reach = (min(xs) - CLEAR_MM, min(ys) - CLEAR_MM, max(xs) + CLEAR_MM, max(ys) + CLEAR_MM)
        near = self._near(reach)
        return not near or not _meets_any(Polygon(corners).buffer(CLEAR_MM, join_style="mitre"), near)

    def hidden(self, corners: Ring) -> int:
        """How many lines words there would hide."""
        return len(self._tree.query(Polygon(corners), predicate="intersects"))

    def hides_point(self, corners: Ring) -> bool:
        """Whether words there would lie over a point that other words belong to."""
        return bool(self.points) and Polygon(corners).intersects(MultiPoint(self.points))

    def _near(self, reach: tuple[float, float, float, float]) -> list[BaseGeometry]:
        """What of the words and leaders placed so far may meet a box."""
        count = len(self._shapes)
        b = self._bounds[:count]
        apart = (b[:, 0] > reach[2]) | (b[:, 2] < reach[0]) | (b[:, 1] > reach[3]) | (b[:, 3] < reach[1])
        return [self._shapes[i] for i in np.flatnonzero(~apart)]

    def keep_clear(self, corners: Ring) -> None:
        """Rather keep words off."""
        self._clear.append(Polygon(corners))

    def take(self, corners: Ring) -> None:
        """Keep other words off."""
        self._keep(Polygon(corners))

    def _keep(self, shape: BaseGeometry) -> None:
        count = len(self._shapes)
        if count == len(self._bounds):
            self._bounds = np.concatenate([self._bounds, np.empty((max(count, 64), 4))])
        self._bounds[count] = shape.bounds
        self._shapes.append(shape)

    def place(self, at: model.Point, wide: float, high: float) -> Place | None:
        """The best place of a box for words about a point, which is then taken; None where no room is left."""
        best: tuple[float, Place] | None = None
        own = Point(at)
        for cost, x, y in _candidates(at, wide, high):
            if best is not None and cost >= best[0]:
                break
            corners = ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))
            if not self.fits(corners):
                continue
            leader = _leader(at, x, y, wide, high)
            if leader and self._crosses_words(LineString(leader), own):
                continue
            total = cost + self._over(corners, leader)
            if best is None or total < best[0]:
                total += self._lost(leader)  # takes longest to find out
            if best is None or total < best[0]:
                best = (total, Place(x, y, leader))
        if best is None:
            return None
        self._settle(best[1], wide, high)
        return best[1]

    def place_within(self, at: model.Point, wide: float, high: float, reach: tuple[float, float]) -> Place | None:
        """As ``place``, but only where the box stays within ``reach`` (half width, half height) of the point, without
        a line to it."""
        if wide > 2 * reach[0] or high > 2 * reach[1]:
            return None
        best: tuple[float, Place] | None = None
        for u, v in product([k / 6 for k in range(-6, 7)], repeat=2):
            dx, dy = u * (reach[0] - wide / 2), v * (reach[1] - high / 2)
            if best is not None and hypot(dx, dy) * _OFF_MIDDLE >= best[0]:
                continue
            x, y = at[0] + dx - wide / 2, at[1] + dy - high / 2
            corners = ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))
            cost = hypot(dx, dy) * _OFF_MIDDLE + self._over(corners, ())
            if (best is None or cost < best[0]) and self.fits(corners):
                best = (cost, Place(x, y))
        if best is None:
            return None
        self._settle(best[1], wide, high)
        return best[1]

    def _crosses_words(self, leader: LineString, own: Point) -> bool:
        """Whether a leader would run over words that do not hold its own point."""
        words = [t for t in self._near(leader.bounds) if isinstance(t, Polygon) and not t.covers(own)]
        return _meets_any(leader, words)

    def _over(self, corners: Ring, leader: Ring) -> float:
        under = self.hidden(corners) * _OVER_LINE_MM
        (x0, y0), (x1, y1) = corners[0], corners[2]
        under += sum(band.intersects(Polygon(corners)) for band in self._clear) * _IN_BAND_MM
        under += sum(x0 < x < x1 and y0 < y < y1 for x, y in self.points) * _OVER_POINT_MM
        if leader:
            line = LineString(leader)
            under += len(self._tree.query(line, predicate="intersects")) * _LEADER_OVER_LINE_MM
            others = [t for t in self._near(line.bounds) if isinstance(t, LineString)]
            under += _LEADERS_CROSS_MM * sum(line.intersects(other) for other in others)
        return under

    def _lost(self, leader: Ring) -> float:
        """What lines count that run so close along a leader that it is lost in them."""
        if not leader:
            return 0.0
        beside = LineString(leader).buffer(_LOST_MM / 6, cap_style="flat")
        met = (self.lines[i] for i in self._tree.query(beside, predicate="intersects"))
        lost: int = sum(beside.intersection(line).length > _LOST_MM for line in met)
        return lost * _LEADER_ALONG_LINE_MM

    def _settle(self, place: Place, wide: float, high: float) -> None:
        x, y = place.x, place.y
        self.take(((x, y), (x + wide, y), (x + wide, y + high), (x, y + high)))
        if place.leader:
            self._keep(LineString(place.leader))


def _meets_any(shape: BaseGeometry, others: Sequence[BaseGeometry]) -> bool:
    return any(shape.intersects(other) for other in others)


def _candidates(at: model.Point, wide: float, high: float) -> Iterator[tuple[float, float, float]]:
    """Distance, and the box's corner, ever farther away; to the right and above first."""
    for distance in _DISTANCES_MM:
        for k in range(_ANGLES):
            angle = 2 * pi * k / _ANGLES - pi / 4
            dx, dy = cos(angle) * distance, sin(angle) * distance
            x = at[0] + dx - (0.0 if dx > 0.3 else wide if dx < -0.3 else wide / 2)
            y = at[1] + dy - (0.0 if dy > 0.3 else high if dy < -0.3 else high / 2)
            yield distance + 0.01 * k, x, y


def _leader(at: model.Point, x: float, y: float, wide: float, high: float) -> Ring:
    """From the point to the nearest point of the box, if that is not beside it."""
    end = (min(max(at[0], x), x + wide), min(max(at[1], y), y + high))
    gap = hypot(end[0] - at[0], end[1] - at[1])
    if gap < _AT_MM:
        return ()
    short = 0.4 / gap
    return (at, (end[0] + (at[0] - end[0]) * short, end[1] + (at[1] - end[1]) * short))
