"""What every sheet bears: its frame, title block, cautions, and a column for legend, key and notes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.sheets.letters import HEAD_MM, LEADING, SMALL_MM, TITLE_MM, cut, harmless, wrapped
from service.sheets.model import Layer, Symbol
from service.sheets.paper import A4_HIGH, A4_WIDE, Ink, Stroke, Words, rectangle
from service.sheets.style import MEDIUM_MM, THIN_MM, Pen
from service.survey.model import UnitSystem

MARGIN = 8.0
INNER = 2.0
BLOCK_HIGH, CAUTION_LINES = 13.0, 2
COLUMN_WIDE = 80.0
LEFT, RIGHT, TOP = MARGIN + INNER, A4_WIDE - MARGIN - INNER, MARGIN + INNER
BOTTOM = A4_HIGH - MARGIN - BLOCK_HIGH - CAUTION_LINES * SMALL_MM * LEADING - 2 * INNER
"""Where drawings, key and notes must end [mm]."""
COLUMN_LEFT = RIGHT - COLUMN_WIDE
LINE_HIGH = SMALL_MM * LEADING
_PITCH = 3.05
"""From line to line in the title block [mm]."""
CAUTION = (
    "Gas can explode, carbon monoxide and scalding water kill or maim, electricity can kill: only licensed people "
    "design, install and test. Local code, the authority having jurisdiction, the gas supplier and the listed "
    "instructions prevail over this sheet. Measure again before a hole is cut."
)


@dataclass(frozen=True, slots=True)
class Head:
    """What the title block says of all sheets alike: the survey's name, the verdict, rule set and engine."""

    name: str
    verdict: str
    origin: str
    units: UnitSystem


def border(head: Head, title: str, under_title: str) -> Iterator[Ink]:
    """Frame, title block and cautions of one sheet."""
    pen = Pen(MEDIUM_MM)
    wide, block_top = A4_WIDE - 2 * MARGIN, A4_HIGH - MARGIN - BLOCK_HIGH
    caution_top = block_top - CAUTION_LINES * LINE_HIGH - INNER
    yield Stroke(rectangle(MARGIN, MARGIN, wide, A4_HIGH - 2 * MARGIN), pen, Layer.TEXT, closed=True)
    for y in (block_top, caution_top):
        yield Stroke(((MARGIN, y), (A4_WIDE - MARGIN, y)), Pen(THIN_MM), Layer.TEXT)
    room = RIGHT - LEFT
    for i, line in enumerate(wrapped(CAUTION, SMALL_MM, room)):
        yield Words(LEFT, caution_top + INNER / 2 + (i + 0.8) * LINE_HIGH, line, SMALL_MM)
    half = room * 0.56
    yield Words(LEFT, block_top + 5.2, cut(title, TITLE_MM, half, bold=True), TITLE_MM, bold=True)
    yield Words(LEFT, block_top + 10.6, cut(under_title, SMALL_MM, half), SMALL_MM)
    x = LEFT + half + 3.0
    for i, (line, bold) in enumerate(_told(head, RIGHT - x)):
        yield Words(x, block_top + (i + 0.96) * _PITCH, cut(line, SMALL_MM, RIGHT - x, bold), SMALL_MM, bold=bold)


def _told(head: Head, room: float) -> Iterator[tuple[str, bool]]:
    """Name, in two lines if it needs them, verdict and origin; what is bold."""
    first, *others = wrapped(harmless(head.name), SMALL_MM, room)
    yield from ((line, False) for line in ((first, " ".join(others)) if others else (first,)))
    yield head.verdict, True
    yield harmless(head.origin), False


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a column: words with a heading, number or sample before them."""

    words: str
    number: str = ""
    heading: bool = False
    sample: Layer | Symbol | None = None

    def lines(self, wide: float) -> list[str]:
        """Its words in lines [mm]."""
        size = HEAD_MM if self.heading else SMALL_MM
        return wrapped(harmless(self.words), size, wide - self.indent, bold=self.heading)

    def high(self, wide: float) -> float:
        """Its height in a column of that width [mm]."""
        if self.heading:
            return len(self.lines(wide)) * HEAD_MM * LEADING + 1.8
        return len(self.lines(wide)) * LINE_HIGH + 0.7

    @property
    def indent(self) -> float:
        """How far its words stand in [mm]."""
        return 12.0 if self.sample else 8.0 if self.number else 0.0


def columns(entries: Sequence[Entry], wide: float, high: float) -> list[list[Entry]]:
    """Entries shared out to columns of a size [mm]; a heading stays with what follows."""
    shared: list[list[Entry]] = [[]]
    used = 0.0
    for i, entry in enumerate(entries):
        after = entries[i + 1].high(wide) if entry.heading and i + 1 < len(entries) else 0.0
        if shared[-1] and used + entry.high(wide) + after > high:
            shared.append([])
            used = 0.0
        shared[-1].append(entry)
        used += entry.high(wide)
    return shared
