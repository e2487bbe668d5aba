"""The typefaces that the PDF embeds: one for nearly every text, and one of more scripts for words that the first lacks.

The second knows Latin with all accents, Greek, Cyrillic, Georgian, Hebrew, Arabic, Thai and Devanagari (which is not
joined). It is opened where a word asks for it, and not before.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from functools import cache
from itertools import groupby

from pymupdf_fonts import myfont  # type: ignore[import-untyped]  # it has no types of its own
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR, BOLD = "Vera", "VeraBd"
LACKING = "?"
"""What stands for a letter that neither typeface has."""
_FURTHER = {False: ("FiraGO", "figo"), True: ("FiraGOBd", "figbo")}
"""Our name of the second typeface and its package's."""
_WIDE = 1.0
"""Width of a letter that neither has, in an SVG [em]: that of the widest scripts."""
_WORD = re.compile(r"\S+\s*|\s+")


@cache
def first(bold: bool = False) -> TTFont:
    """The typeface of nearly every text, registered for the PDF too."""
    name = BOLD if bold else REGULAR
    return _registered(TTFont(name, f"{name}.ttf"))


@cache
def further(bold: bool = False) -> TTFont:
    """The typeface of more scripts, registered for the PDF too."""
    ours, theirs = _FURTHER[bold]
    return _registered(TTFont(ours, io.BytesIO(myfont(theirs))))


def _registered(font: TTFont) -> TTFont:
    pdfmetrics.registerFont(font)
    return font


def has(font: TTFont, letter: str) -> bool:
    """Whether a typeface can show a letter."""
    return ord(letter) in font.face.charToGlyph


def lacks(letter: str) -> bool:
    """Whether neither typeface can show a letter."""
    return not (has(first(), letter) or has(further(), letter))


@cache
def em(letter: str, bold: bool) -> float:
    """Width of a letter [em]."""
    for font in (first, further):
        if has(font(bold), letter):
            return float(pdfmetrics.stringWidth(letter, font(bold).fontName, 1.0))
    return _WIDE


def pieces(text: str, bold: bool = False) -> Iterator[tuple[str, str]]:
    """The text in parts of one typeface each, with its name: a word is of one, so that no accent stands out."""
    if text.isascii() and text.isprintable():
        yield first(bold).fontName, text
        return
    words = _WORD.findall(text)
    for font, part in groupby(words, lambda word: _of_word(word.rstrip(), bold)):
        yield font.fontName, "".join(c if c == " " or has(font, c) else LACKING for c in "".join(part))


def _of_word(word: str, bold: bool) -> TTFont:
    if all(has(first(bold), c) for c in word):
        return first(bold)
    return max((first(bold), further(bold)), key=lambda font: sum(has(font, c) for c in word))
