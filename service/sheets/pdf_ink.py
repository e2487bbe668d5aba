"""A sheet drawn on a page of a PDF."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from service.sheets.letters import BOLD, END_ISOLATE, ISOLATE, REGULAR, has_letter, typeface
from service.sheets.model import Ring
from service.sheets.paper import A4_HIGH, Fill, Ink, Page, Stroke, Words

LACKING = "?"
"""What stands for a letter that the typeface of the PDF lacks; the report says so."""
_EVEN_ODD = 0


def printable(text: str, bold: bool = False) -> str:
    """The text with a mark for every letter that the typeface lacks."""
    return "".join(c if has_letter(c, bold) else LACKING for c in text if c not in (ISOLATE, END_ISOLATE))


def is_printable(text: str) -> bool:
    """Whether the typeface has every letter."""
    return all(has_letter(c) or c in (ISOLATE, END_ISOLATE) for c in text)


def draw(canvas: Canvas, page: Page) -> None:
    """All inks of the sheet on the canvas' page, A4 on its side."""
    draw_inks(canvas, page.inks, A4_HIGH)


def draw_inks(canvas: Canvas, inks: Sequence[Ink], high: float) -> None:
    """Inks on paper of that height, its lower left corner at the canvas' origin [mm]."""
    for name in (False, True):
        typeface(name)
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
    canvas.setFont(BOLD if ink.bold else REGULAR, ink.size * mm)
    canvas.translate(*_point(ink.x, ink.y))
    canvas.rotate(ink.angle)
    told = printable(ink.text, ink.bold)
    place = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
    place[ink.anchor](0, 0, told)
