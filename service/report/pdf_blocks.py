"""Blocks of a report as the flowing parts of a PDF."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, LongTable, Spacer, TableStyle
from reportlab.platypus import Table as Grid

from service.report import pdf_words as look
from service.report.model import Blanks, Block, Bullets, Chart, Facts, Report, Step, Steps, Table, Words, texts
from service.report.pdf_words import words
from service.sheets.letters import harmless, width_mm
from service.sheets.pdf_ink import draw_inks, is_printable

WIDE_MM = 182.0
LINE, SOFT = HexColor("#8a8a8a"), HexColor("#f1efe9")
LACKS = (
    "The typefaces of this PDF lack some letters of the survey's names (Chinese, Japanese and Korean, say); "
    "each stands as a question mark."
)
_MOST_COLUMN_MM = 90.0


def heading(text: str) -> Flowable:
    """Title of a section."""
    return words(text, look.SECTION)


def title_blocks(report: Report) -> Iterator[Flowable]:
    """Name, verdict, caution; and that letters are lacking, where they are."""
    yield words(report.title, look.style(look.TITLE, bold=True, spaceAfter=6))
    verdict = Grid([[words(report.verdict, look.style(look.HEAD, bold=True))]], colWidths=[WIDE_MM * mm])
    verdict.setStyle(TableStyle([("BOX", (0, 0), (-1, -1), 1.5, HexColor("#00563f" if report.good else "#8a1f00"))]))
    yield verdict
    yield Spacer(0, 4)
    yield words(report.caution, look.STRONG)
    yield words(report.origin)
    if not all(is_printable(harmless(text)) for text in set(texts(report))):
        yield words(LACKS)


def flowables(block: Block) -> Iterator[Flowable]:
    """One block; pictures have pages of their own."""
    if isinstance(block, Words):
        yield words(block.text, look.STRONG if block.strong else look.WORDS)
    elif isinstance(block, Bullets):
        yield from (words(item, look.BULLET, bulletText="-") for item in block.items)
    elif isinstance(block, Facts):
        yield _grid([[words(term, look.CELL_HEAD), words(told)] for term, told in block.rows], [24.0, WIDE_MM - 24.0])
    elif isinstance(block, Table):
        yield from _table(block)
    elif isinstance(block, Chart):
        yield _Chart(block)
    elif isinstance(block, Blanks):
        rows = [[words(name), ""] for name in block.names]
        yield _grid(rows, [45.0, WIDE_MM - 45.0], row_mm=8.0)
    elif isinstance(block, Steps):
        for number, step in enumerate(block.steps, 1):
            yield KeepTogether(list(_step(step, f"{number}." if block.numbered else "")))


def _table(block: Table) -> Iterator[Flowable]:
    if not block.rows:
        return
    yield words(block.caption, look.CAPTION)
    heads = [words(h, look.FIGURE_HEAD if k in block.figures else look.CELL_HEAD) for k, h in enumerate(block.heads)]
    looks = [look.FIGURE if k in block.figures else look.IN_CELL for k in range(len(block.heads))]
    rows = [[words(c, looks[k]) for k, c in enumerate(row)] for row in block.rows]
    yield _grid([heads, *rows], _widths(block), head=True, total=block.total)
    yield Spacer(0, 4)


def _widths(block: Table) -> list[float]:
    """Widths of the columns by what stands in them, which fill the page together: where they cannot all have what they
    ask for, the narrow ones do [mm]."""
    size, rows = look.CELL / mm, (block.heads, *block.rows)
    wishes = [
        min(max(width_mm(row[k], size, bold=True) for row in rows) + 3.0, _MOST_COLUMN_MM)
        for k in range(len(block.heads))
    ]
    left, widths = WIDE_MM, dict.fromkeys(range(len(wishes)), 0.0)
    for rank, k in enumerate(sorted(widths, key=lambda k: wishes[k])):
        widths[k] = min(wishes[k], left / (len(wishes) - rank))
        left -= widths[k]
    spare = left / len(wishes)
    return [widths[k] + spare for k in range(len(wishes))]


def _grid(
    rows: Sequence[Sequence[object]],
    widths: Sequence[float],
    head: bool = False,
    total: bool = False,
    row_mm: float | None = None,
) -> Flowable:
    heights = None if row_mm is None else [row_mm * mm] * len(rows)
    grid = LongTable([list(r) for r in rows], colWidths=[w * mm for w in widths], rowHeights=heights,
                     repeatRows=1 if head else 0)  # fmt: skip
    rules: list[Any] = [
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, LINE), ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 1), ("RIGHTPADDING", (0, 0), (-1, -1), 4),
        ("TOPPADDING", (0, 0), (-1, -1), 1), ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]  # fmt: skip
    if head:
        rules.append(("BACKGROUND", (0, 0), (-1, 0), SOFT))
    if total:
        rules.append(("LINEABOVE", (0, -1), (-1, -1), 1.2, HexColor("#1a1a1a")))
    grid.setStyle(TableStyle(rules))
    return grid


class _Chart(Flowable):
    """A small picture among the words."""

    def __init__(self, chart: Chart) -> None:
        super().__init__()
        self._chart = chart

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - the library's names
        """Its size."""
        return self._chart.wide * mm, self._chart.high * mm

    def draw(self) -> None:
        """From its own upper left corner."""
        draw_inks(self.canv, self._chart.inks, self._chart.high)


class _Box(Flowable):
    """A box to tick."""

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - the library's names
        """Its size."""
        return 9.0, 9.0

    def draw(self) -> None:
        """An empty square."""
        self.canv.rect(0, 0, 8, 8)


def _step(step: Step, number: str) -> Iterator[Flowable]:
    """Box, title, who and why; what to do; readings with room to write."""
    told: list[Flowable] = [words(f"{number} {step.title}".strip(), look.STRONG if step.who else look.WORDS)]
    if step.who:
        told.append(words(f"{step.who} [{step.source}]", look.IN_CELL))
    if step.action:
        told.append(words(step.action))
    if step.caution:
        told.append(words(step.caution, look.STRONG))
    grid = Grid([[_Box(), told]], colWidths=[6.0 * mm, (WIDE_MM - 6.0) * mm])
    grid.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)]))
    yield grid
    rows = [[words(r.name), "", words(f"{r.unit} ({r.expected})", look.IN_CELL)] for r in step.readings]
    if rows:
        yield _grid(rows, [70.0, 40.0, WIDE_MM - 110.0])
