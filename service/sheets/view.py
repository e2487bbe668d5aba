"""One drawing at its scale in a room of a page: lines, hatches, marks, dimension lines and words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import copysign

from shapely import LineString
from shapely.geometry import box

from service.sheets.dimensions import dimension_band, dimension_line, dimension_lines, dimension_words
from service.sheets.hatching import face_of, hatched, straight_pieces
from service.sheets.letters import LEADING, NAME_MM, SMALL_MM, cut, harmless, width_mm
from service.sheets.marks import circle, earth, marked
from service.sheets.model import Area, Dimension, Drawing, Item, Label, Layer, Line, Mark, Point, Ring
from service.sheets.paper import ASCENT, DESCENT, Fill, Ink, Stroke, Words, blank
from service.sheets.placing import Board, Place
from service.sheets.scales import scale_for
from service.sheets.style import HATCHES, INK, PAPER, PENS, THIN_MM, Pen
from service.survey.model import UnitSystem

LONGEST_LABEL_MM = 46.0
"""Words of a label are cut to this width [mm]; ids may have hundreds of letters."""
PANE = Pen(THIN_MM, (6.0, 2.0), "#5a5a5a")
_PAD, _DOT, _MOST_HIDDEN, _NOT_FIRST = 0.4, 0.35, 3, 2
"""Blank round words and radius of a leader's end [mm], how many lines words at their own line may hide, and how many a
place other than the first counts."""
_CURVED = 12
"""Lines of more points than this are curves."""


@dataclass(frozen=True, slots=True)
class Room:
    """Upright box on paper [mm]."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def wide(self) -> float:
        """Width [mm]."""
        return self.right - self.left

    @property
    def high(self) -> float:
        """Height [mm]."""
        return self.bottom - self.top


@dataclass(frozen=True, slots=True)
class Projection:
    """Model to paper: ``at`` of the model lies at ``to`` on paper."""

    scale: int
    at: Point
    to: Point

    def __call__(self, p: Point) -> Point:
        """Model point [mm] -> point on paper [mm]."""
        return self.to[0] + (p[0] - self.at[0]) / self.scale, self.to[1] - (p[1] - self.at[1]) / self.scale

    def back(self, p: Point) -> Point:
        """Point on paper [mm] -> model point [mm]."""
        return self.at[0] + (p[0] - self.to[0]) * self.scale, self.at[1] - (p[1] - self.to[1]) * self.scale

    def ring(self, points: Iterable[Point]) -> Ring:
        """Each of them."""
        return tuple(self(p) for p in points)


def bounds_of(items: Sequence[Item]) -> tuple[float, float, float, float]:
    """Box round all but words [mm]."""
    points = [p for item in items for p in _points(item)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def _points(item: Item) -> Iterable[Point]:
    if isinstance(item, Line):
        return item.points
    if isinstance(item, Area):
        return (p for ring in item.rings for p in ring)
    return (item.start, item.end) if isinstance(item, Dimension) else (item.at,)


def filled_window(
    window: tuple[float, float, float, float], room: Room, edge: float, system: UnitSystem
) -> tuple[float, float, float, float]:
    """The window grown, at its own scale, to all of a room of paper but ``edge`` [mm on paper] all round."""
    x0, y0, x1, y1 = window
    wide, high = room.wide - 2 * edge, room.high - 2 * edge
    scale = scale_for(x1 - x0, y1 - y0, (wide, high), system)
    dx, dy = (wide * scale - (x1 - x0)) / 2, (high * scale - (y1 - y0)) / 2
    return x0 - dx, y0 - dy, x1 + dx, y1 + dy


def drawn(drawing: Drawing, room: Room, scale: int) -> tuple[tuple[Ink, ...], tuple[str, ...]]:
    """The view in the middle of a room of paper, and the words that found no place in it."""
    window = drawing.window or bounds_of(drawing.items)
    centre = ((window[0] + window[2]) / 2, (window[1] + window[3]) / 2)
    to = Projection(scale, centre, ((room.left + room.right) / 2, (room.top + room.bottom) / 2))
    items = drawing.items if drawing.window is None else tuple(_clipped(drawing.items, drawing.window))
    shapes = [*_pane(drawing.window, to), *(ink for item in items for ink in _shape(item, to))]
    lines = [piece for s in shapes if _in_the_way(s) for piece in _pieces(s)]
    points = [to(i.at) for i in items if isinstance(i, Label) and i.within is None]
    area = (room.left, room.top, room.right, room.bottom)
    tries = []
    for turn in _TURNS:
        tries.append(_words(items, to, Board(area, lines, points), turn))
        if not tries[-1][1]:
            break
    words, left_over = min(tries, key=lambda t: len(t[1]))
    return (*shapes, *words), left_over


def _pane(window: tuple[float, float, float, float] | None, to: Projection) -> Iterator[Ink]:
    """Edge of a view that shows a part only."""
    if window is not None:
        x0, y0, x1, y1 = window
        ring = to.ring(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
        yield Stroke(ring, PANE, Layer.TEXT, closed=True)


def _shape(item: Item, to: Projection) -> Iterator[Ink]:
    if isinstance(item, Area):
        rings = tuple(to.ring(r) for r in item.rings)
        if item.covers:
            yield Fill(rings, PAPER, item.layer)
        if item.layer in HATCHES:
            yield from hatched(rings, HATCHES[item.layer], item.layer)
        yield from (Stroke(r, PENS[item.layer], item.layer, closed=True) for r in rings)
    elif isinstance(item, Line):
        yield Stroke(to.ring(item.points), PENS[item.layer], item.layer, item.closed)
        if item.layer is Layer.GRADE:
            yield from earth(to.ring(item.points))
    elif isinstance(item, Mark):
        yield from marked(item.symbol, to(item.at), item.layer)
    elif isinstance(item, Dimension):
        yield from dimension_lines(to(item.start), to(item.end), _off(item, to))


def _off(item: Dimension, to: Projection) -> float:
    """How far off its line is, to the left [mm on paper]."""
    return item.off + copysign(item.beyond / to.scale, item.off)


def _in_the_way(ink: Ink) -> bool:
    """Whether words are better kept off it: hatches are behind them anyway."""
    return isinstance(ink, Stroke) and ink.pen not in [h.pen for h in HATCHES.values()] and len(ink.points) > 1


def _pieces(ink: Ink) -> Iterator[LineString]:
    """Straight pieces of a stroke, each of which counts by itself; of a curve all together."""
    assert isinstance(ink, Stroke)
    points = (*ink.points, ink.points[0]) if ink.closed else ink.points
    if len(points) > _CURVED:
        yield LineString(points)
    else:
        yield from (LineString(p) for p in pairwise(points))


def _words(
    items: Sequence[Item], to: Projection, board: Board, turn: Callable[[Label], tuple[bool, int]]
) -> tuple[list[Ink], tuple[str, ...]]:
    """Dimensions first, whose places are given; names inside their things; then all else, in its turn."""
    inks: list[Ink] = []
    left_over: list[str] = []
    labels = [i for i in items if isinstance(i, Label)]
    dimensions = [i for i in items if isinstance(i, Dimension)]
    for item in dimensions:
        told = _beside_line(item, to, board)
        if told is not None:
            board.take(told.corners())
            inks += _on_blank(told)
        else:
            labels.insert(0, Label(to.back(_line_middle(item, to)), (item.text,), Layer.DIMENSION))
    for item in dimensions:
        board.keep_clear(dimension_band(to(item.start), to(item.end), _off(item, to)))
    for label in sorted(labels, key=turn):
        placed = _placed(label, to, board)
        inks += placed
        if not placed:
            left_over.append(", ".join(label.lines))
    return inks, tuple(left_over)


def _short_first(label: Label) -> tuple[bool, int]:
    """Short words near their points, as long ones can be led away, if need be far."""
    return label.within is None, max(map(len, label.lines)) * len(label.lines)


def _long_first(label: Label) -> tuple[bool, int]:
    within, size = _short_first(label)
    return within, -size


def _as_given(label: Label) -> tuple[bool, int]:
    return label.within is None, 0


_TURNS = (_short_first, _as_given, _long_first)
"""Orders in which words look for places; a later one is tried where some found none."""


def _beside_line(item: Dimension, to: Projection, board: Board) -> Words | None:
    """A dimension's words at its own line, where they hide least; None if they have no place there, or a poor one."""
    told = list(dimension_words(to(item.start), to(item.end), _off(item, to), item.text))
    free = [w for w in told if board.fits(w.corners()) and not board.hides_point(w.corners())]
    best = min(free, key=lambda w: board.hidden(w.corners()) + _NOT_FIRST * told.index(w), default=None)
    return None if best is None or board.hidden(best.corners()) > _MOST_HIDDEN else best


def _line_middle(item: Dimension, to: Projection) -> Point:
    """Middle of a dimension's line [mm on paper]."""
    p, q = dimension_line(to(item.start), to(item.end), _off(item, to))
    return (p[0] + q[0]) / 2, (p[1] + q[1]) / 2


def _placed(label: Label, to: Projection, board: Board) -> list[Ink]:
    """The label's words, its leader first; nothing where there is no room."""
    size = NAME_MM if label.bold else SMALL_MM
    lines = [cut(harmless(t), size, LONGEST_LABEL_MM, label.bold) for t in label.lines]
    wide = max(width_mm(t, size, label.bold) for t in lines) + 2 * _PAD
    high = (len(lines) - 1) * size * LEADING + size * (ASCENT + DESCENT) + 2 * _PAD
    at, place = to(label.at), None
    if label.within is not None:
        half = (label.within[0] / to.scale, label.within[1] / to.scale)
        place = board.place_within(at, wide, high, half)
    place = place or board.place(at, wide, high)
    return [] if place is None else list(_lettered(label, lines, place, (size, wide, high)))


def _lettered(label: Label, lines: list[str], place: Place, box_of: tuple[float, float, float]) -> Iterator[Ink]:
    size, wide, high = box_of
    if place.leader:
        yield Stroke(place.leader, PENS[Layer.LEADER], Layer.LEADER)
        yield Fill((circle(place.leader[0], _DOT),), INK, Layer.LEADER)
    yield blank(place.x, place.y, wide, high)
    for i, line in enumerate(lines):
        y = place.y + _PAD + ASCENT * size + i * size * LEADING
        yield Words(place.x + _PAD, y, line, size, label.layer, bold=label.bold)


def _on_blank(words: Words) -> Iterator[Ink]:
    yield Fill((words.corners(),), PAPER, words.layer)
    yield words


def _clipped(items: Sequence[Item], window: tuple[float, float, float, float]) -> Iterator[Item]:
    """What of the items lies within a window."""
    pane = box(*window)
    for item in items:
        if isinstance(item, Line):
            points = (*item.points, item.points[0]) if item.closed else item.points
            yield from (Line(p, item.layer) for p in straight_pieces(LineString(points).intersection(pane)))
        elif isinstance(item, Area):
            rings = tuple(_outlines(face_of(item.rings).intersection(pane)))
            if rings:
                yield Area(rings, item.layer, item.covers)
        elif all(window[0] <= x <= window[2] and window[1] <= y <= window[3] for x, y in _points(item)):
            yield item


def _outlines(face: object) -> Iterator[Ring]:
    for part in getattr(face, "geoms", [face]):
        if hasattr(part, "exterior") and not part.is_empty:
            for ring in (part.exterior, *part.interiors):
                yield tuple((x, y) for x, y in ring.coords[:-1])
