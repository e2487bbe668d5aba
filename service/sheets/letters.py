"""Words on paper: made harmless, measured and cut to fit.

Widths are those of the typeface that the PDF embeds. It is wider than most that a viewer may put in its place in an
SVG, so what does not overlap here does not overlap there.
"""

from __future__ import annotations

import unicodedata
from functools import cache

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR, BOLD = "Vera", "VeraBd"
SMALL_MM, NAME_MM, HEAD_MM, TITLE_MM = 2.5, 2.9, 3.4, 4.6
"""Sizes of letters on paper [mm]; nothing is smaller than the first, some 7 points."""
LEADING = 1.28
ELLIPSIS = "..."
ISOLATE, END_ISOLATE = "\N{FIRST STRONG ISOLATE}", "\N{POP DIRECTIONAL ISOLATE}"
UNSEEN = "\N{REPLACEMENT CHARACTER}"
_LEFTWARDS = {"R", "AL", "AN"}
_WIDE = 1.0
"""Width of a letter that the typeface lacks [em]: that of the widest scripts."""


@cache
def typeface(bold: bool = False) -> TTFont:
    """The typeface, registered for the PDF too."""
    name = BOLD if bold else REGULAR
    font = TTFont(name, f"{name}.ttf")
    pdfmetrics.registerFont(font)
    return font


def has_letter(letter: str, bold: bool = False) -> bool:
    """Whether the typeface can show a letter."""
    return ord(letter) in typeface(bold).face.charToGlyph


def harmless(text: str) -> str:
    """The text without what a reader cannot see but a program acts on: controls, marks that turn the direction of
    writing round, halves of pairs, private and unassigned letters, each shown as a replacement; blanks are plain.

    Words written from right to left are isolated, so that figures beside them keep their places.
    """
    seen = "".join(_seen(c) for c in unicodedata.normalize("NFC", text))
    return f"{ISOLATE}{seen}{END_ISOLATE}" if any(unicodedata.bidirectional(c) in _LEFTWARDS for c in seen) else seen


def _seen(letter: str) -> str:
    kind = unicodedata.category(letter)
    if kind.startswith("Z"):
        return " "
    return UNSEEN if kind.startswith("C") else letter


def width_mm(text: str, size: float, bold: bool = False) -> float:
    """Width of a line of letters of ``size`` [mm]."""
    return sum(_em(c, bold) for c in text) * size


@cache
def _em(letter: str, bold: bool) -> float:
    if unicodedata.combining(letter) or letter in (ISOLATE, END_ISOLATE):
        return 0.0
    return float(pdfmetrics.stringWidth(letter, typeface(bold).fontName, 1.0)) if has_letter(letter, bold) else _WIDE


def cut(text: str, size: float, room: float, bold: bool = False) -> str:
    """The text, or its beginning and an ellipsis, no wider than ``room`` [mm]."""
    if width_mm(text, size, bold) <= room:
        return text
    while text and width_mm(text + ELLIPSIS, size, bold) > room:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS


def wrapped(text: str, size: float, room: float, bold: bool = False) -> list[str]:
    """Lines no wider than ``room`` [mm]; words that are too long are broken."""
    lines, line = [], ""
    for word in text.split():
        for part in _broken(word, size, room, bold):
            longer = f"{line} {part}" if line else part
            if width_mm(longer, size, bold) <= room:
                line = longer
            else:
                lines.append(line)
                line = part
    return [*lines, line] if line else lines or [""]


def _broken(word: str, size: float, room: float, bold: bool) -> list[str]:
    parts, part = [], ""
    for letter in word:
        if part and width_mm(part + letter, size, bold) > room:
            parts.append(part)
            part = ""
        part += letter
    return [*parts, part]
