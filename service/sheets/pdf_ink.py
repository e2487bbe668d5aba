"""A sheet drawn on a page of a PDF."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from service.sheets.letters import as_printed, plain
from service.sheets.model import Ring
from service.sheets.paper import A4_HIGH, Fill, Ink, Page, Stroke, Words
from service.sheets.typefaces import lacks, pieces

_EVEN_ODD = 0
_SHARE_BEFORE = {"start": 0.0, "middle": 0.5, "end": 1.0}
"""Share of its width that words stand before their point."""


def is_printable(text: str) -> bool:
    """Whether the typefaces have every letter."""
    return text.isascii() or not any(map(lacks, as_printed(plain(text))))


def line(canvas: Canvas, x: float, y: float, text: str, size: float, bold: bool = False, anchor: str = "start") -> None:
    """A line of words, each in the typeface that has its letters [points]."""
    told = [(name, part, stringWidth(part, name, size)) for name, part in pieces(as_printed(text), bold)]
    x -= _SHARE_BEFORE[anchor] * sum(wide for _, _, wide in told)
    for name, part, wide in told:
        canvas.setFont(name, size)
        canvas.drawString(x, y, part)
        x += wide


def draw(canvas: Canvas, page: Page) -> None:
    """All inks of the sheet on the canvas' page, A4 on its side."""
    draw_inks(canvas, page.inks, A4_HIGH)


def draw_inks(canvas: Canvas, inks: Sequence[Ink], high: float) -> None:
    """Inks on paper of that height, its lower left corner at the canvas' origin [mm]."""
    for ink in inks:
        canvas.saveState()
        canvas.translate(0.0, (high - A4_HIGH) * mm)
        if isinstance(ink, Words):
            _words(canvas, ink)
        elif isinstance(ink, Stroke):
            _stroke(canvas, ink)
        else:
            _fill(canvas, ink)
        canvas.restoreState()


def _point(x: float, y: float) -> tuple[float, float]:
    return x * mm, (A4_HIGH - y) * mm


def _path(canvas: Canvas, path: PDFPathObject, ring: Ring, closed: bool) -> None:
    for k, (x, y) in enumerate(ring):
        (path.lineTo if k else path.moveTo)(*_point(x, y))
    if closed:
        path.close()


def _stroke(canvas: Canvas, ink: Stroke) -> None:
    canvas.setStrokeColor(HexColor(ink.pen.colour))
    canvas.setLineWidth(ink.pen.width * mm)
    if ink.pen.dashes:
        canvas.setDash([d * mm for d in ink.pen.dashes])
    path = canvas.beginPath()
    _path(canvas, path, ink.points, ink.closed)
    canvas.drawPath(path, stroke=1, fill=0)


def _fill(canvas: Canvas, ink: Fill) -> None:
    canvas.setFillColor(HexColor(ink.colour))
    path = canvas.beginPath()
    for ring in ink.rings:
        _path(canvas, path, ring, closed=True)
    canvas.drawPath(path, stroke=0, fill=1, fillMode=_EVEN_ODD)


def _words(canvas: Canvas, ink: Words) -> None:
    canvas.setFillColor(HexColor(ink.colour))
    canvas.translate(*_point(ink.x, ink.y))
    canvas.rotate(ink.angle)
    line(canvas, 0.0, 0.0, ink.text, ink.size * mm, ink.bold, ink.anchor)
