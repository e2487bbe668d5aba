"""Drawings put on pages of A4: scale chosen, hatched, words placed, key beside them and on further pages if need be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, pi, sin

from service.sheets.frame import (
    BOTTOM,
    COLUMN_LEFT,
    COLUMN_WIDE,
    INNER,
    LEFT,
    LINE_HIGH,
    RIGHT,
    TOP,
    Entry,
    Head,
    border,
    columns,
)
from service.sheets.letters import HEAD_MM, LEADING, SMALL_MM
from service.sheets.model import Area, Drawing, Layer, Line, Mark, Symbol
from service.sheets.paper import Fill, Ink, Page, Stroke, Words, rectangle
from service.sheets.samples import sample
from service.sheets.scales import Bar, bar_for, scale_for
from service.sheets.style import INK, MEDIUM_MM, SYMBOL_WORDS, THIN_MM, WORDS, Pen
from service.sheets.view import Room, bounds_of, drawn

BAR_HIGH = 11.0
VIEW = Room(LEFT, TOP, COLUMN_LEFT - 3.0, BOTTOM)
"""Where the drawing of a sheet may be [mm]."""
EDGE_MM = 14.0
"""Kept round a drawing for dimension lines and words [mm]."""
_NORTH_MM = 4.2


def sheets_of(drawing: Drawing, head: Head) -> tuple[Page, ...]:
    """The drawing's page, and further ones where its key is long."""
    x0, y0, x1, y1 = drawing.window or bounds_of(drawing.items)
    room = (VIEW.wide - 2 * EDGE_MM, VIEW.high - 2 * EDGE_MM)
    scale = scale_for(x1 - x0, y1 - y0, room, head.units)
    inks, left_over = drawn(drawing, VIEW, scale)
    entries = [*legend(drawing), *key(drawing, left_over)]
    first, *others = columns(entries, COLUMN_WIDE, BOTTOM - TOP - BAR_HIGH)
    beside = tuple(column(first, COLUMN_LEFT, TOP, COLUMN_WIDE))
    under = f"Scale 1:{scale} on A4 at 100 %"
    page = Page(
        drawing.name, drawing.title, scale,
        (*border(head, drawing.title, under), *inks, *beside, _divider(), *_foot(drawing, bar_for(scale, head.units))),
        f"{drawing.title}. {under}.",
    )  # fmt: skip
    rest = [e for c in others for e in c]
    return (page, *key_pages(drawing.name, drawing.title, rest, head))


def key_pages(name: str, title: str, entries: Sequence[Entry], head: Head) -> Iterator[Page]:
    """Pages of key alone, three columns each."""
    wide = (RIGHT - LEFT - 2 * 4.0) / 3
    shared = columns(entries, wide, BOTTOM - TOP) if entries else []
    for n in range(0, len(shared), 3):
        told = f"{title}: key, continued"
        inks = [i for k, c in enumerate(shared[n : n + 3]) for i in column(c, LEFT + k * (wide + 4.0), TOP, wide)]
        number = n // 3 + 1
        yield Page(f"{name}-key-{number}", told, None, (*border(head, told, "Not to scale"), *inks), told)


def legend(drawing: Drawing) -> Iterator[Entry]:
    """What the lines and hatches of a drawing mean."""
    used = {item.layer for item in drawing.items if isinstance(item, Line | Area)}
    marks = {item.symbol for item in drawing.items if isinstance(item, Mark)}
    used |= {item.layer for item in drawing.items if isinstance(item, Mark) and item.symbol is Symbol.RISER}
    yield Entry("Lines and marks", heading=True)
    yield from (Entry(words, sample=layer) for layer, words in WORDS.items() if layer in used)
    yield from (Entry(words, sample=symbol) for symbol, words in SYMBOL_WORDS.items() if symbol in marks)


def key(drawing: Drawing, left_over: Sequence[str]) -> Iterator[Entry]:
    """Numbers, notes, and what found no room in the drawing."""
    if drawing.key:
        yield Entry("Key", heading=True)
        yield from (Entry(row.words, number=row.number) for row in drawing.key)
    notes = (*drawing.notes, *(f"No room in the drawing for: {words}" for words in left_over))
    if notes:
        yield Entry("Notes", heading=True)
        yield from (Entry(note) for note in notes)


def column(entries: Sequence[Entry], x: float, y: float, wide: float) -> Iterator[Ink]:
    """Entries one below the other from the upper left corner (x, y) [mm]."""
    for entry in entries:
        size = HEAD_MM if entry.heading else SMALL_MM
        pitch = HEAD_MM * LEADING if entry.heading else LINE_HIGH
        if entry.number:
            yield Words(x, y + 0.8 * pitch, entry.number, size, bold=True)
        if entry.sample:
            yield from sample(entry.sample, x, y, pitch)
        for i, line in enumerate(entry.lines(wide)):
            yield Words(x + entry.indent, y + (i + 0.8) * pitch, line, size, bold=entry.heading)
        y += entry.high(wide)


def _divider() -> Stroke:
    x = COLUMN_LEFT - 1.5
    return Stroke(((x, TOP - INNER), (x, BOTTOM)), Pen(THIN_MM), Layer.TEXT)


def _foot(drawing: Drawing, bar: Bar) -> Iterator[Ink]:
    """Scale bar, and the north arrow of a plan."""
    x, y = COLUMN_LEFT + 2.0, BOTTOM - 2.0
    for k, colour in enumerate((INK, "#ffffff")):
        box = rectangle(x + k * bar.part_mm, y - 1.4, bar.part_mm, 1.4)
        yield Fill((box,), colour, Layer.TEXT)
        yield Stroke(box, Pen(THIN_MM), Layer.TEXT, closed=True)
    for k, words in enumerate(bar.words):
        yield Words(x + k * bar.part_mm, y - 2.4, words, SMALL_MM, anchor="start" if k == 2 else "middle")
    if drawing.north_rad is not None:
        yield from _north(RIGHT - 12.0, BOTTOM - BAR_HIGH / 2, drawing.north_rad)


def _north(x: float, y: float, turn: float) -> Iterator[Ink]:
    angle = turn + pi / 2
    c, s = cos(angle) * _NORTH_MM, -sin(angle) * _NORTH_MM
    tip, tail = (x + c, y + s), (x - c, y - s)
    wing = ((x - 0.55 * s - 0.5 * c, y + 0.55 * c - 0.5 * s), tip, (x + 0.55 * s - 0.5 * c, y - 0.55 * c - 0.5 * s))
    yield Stroke((tail, tip), Pen(MEDIUM_MM), Layer.TEXT)
    yield Stroke(wing, Pen(MEDIUM_MM), Layer.TEXT)
    yield Words(x + 7.0, y + 1.0, "N", HEAD_MM, bold=True, anchor="middle")
