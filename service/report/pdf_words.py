"""Words of the report as paragraphs of a PDF. Text is escaped before it reaches the library's own markup."""

from __future__ import annotations

from html import escape

from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Paragraph

from service.sheets.letters import as_printed, harmless, leftwards, wrapped
from service.sheets.typefaces import BOLD, REGULAR, first, pieces

BODY, HEAD, TITLE, CELL = 8.5, 12.0, 15.0, 7.0
"""Sizes of letters [points]."""


def style(size: float, bold: bool = False, **more: object) -> ParagraphStyle:
    """Words of one size [points]; ``more`` by the library's names."""
    told = {"fontName": BOLD if bold else REGULAR, "fontSize": size, "leading": size * 1.3, "splitLongWords": 1}
    return ParagraphStyle("x", **{**told, **more})  # type: ignore[arg-type]  # the library takes any of its names


WORDS, STRONG = style(BODY, spaceAfter=3), style(BODY, bold=True, spaceAfter=3)
BULLET = style(BODY, leftIndent=10, bulletIndent=2, spaceAfter=1.5)
IN_CELL, FIGURE, CAPTION = style(CELL), style(CELL, alignment=TA_RIGHT), style(BODY, bold=True, spaceBefore=5)
CELL_HEAD, FIGURE_HEAD = style(CELL, bold=True), style(CELL, bold=True, alignment=TA_RIGHT)
SECTION = style(HEAD, bold=True, spaceBefore=12, spaceAfter=4, keepWithNext=1)


def words(text: str, look: ParagraphStyle = WORDS, **more: object) -> Flowable:
    """A paragraph of plain text: nothing in it is taken for markup."""
    told = harmless(text)
    paragraph = _Turned if leftwards(told) else Paragraph
    made = paragraph(_markup(told, look), look, **more)  # type: ignore[arg-type]  # passed on as they come
    if isinstance(made, _Turned):
        made.told = told
    return made


def _markup(text: str, look: ParagraphStyle) -> str:
    bold = look.fontName == BOLD
    own = first(bold).fontName
    told = ((name, escape(part)) for name, part in pieces(as_printed(text), bold))
    return "".join(part if name == own else f'<font name="{name}">{part}</font>' for name, part in told)


class _Turned(Paragraph):
    """A paragraph with words from right to left: broken into lines as it is read, and each line then turned."""

    told: str | None = None
    """What it says, as it is read; a part of one that was split has its lines already."""

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - the library's names
        """Lines for that width."""
        if self.told is not None:
            look = self.style
            room = (aW - look.leftIndent - look.rightIndent) / mm
            lines = wrapped(self.told, look.fontSize / mm, room, look.fontName == BOLD)
            self.frags = Paragraph("<br/>".join(_markup(part, look) for part in lines), look).frags
        return super().wrap(aW, aH)
