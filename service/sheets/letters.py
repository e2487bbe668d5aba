"""Words on paper: made harmless, measured and cut to fit.

Widths are those of the typefaces that the PDF embeds. The first is wider than most that a viewer may put in its place
in an SVG, so what does not overlap here does not overlap there.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from functools import cache
from itertools import pairwise

from bidi import get_display  # type: ignore[import-untyped]  # it has no types of its own

from service.sheets.typefaces import em

SMALL_MM, NAME_MM, HEAD_MM, TITLE_MM = 2.5, 2.9, 3.4, 4.6
"""Sizes of letters on paper [mm]; nothing is smaller than the first, some 7 points."""
LEADING = 1.28
ELLIPSIS = "..."
ISOLATE, END_ISOLATE = "\N{FIRST STRONG ISOLATE}", "\N{POP DIRECTIONAL ISOLATE}"
UNSEEN = "\N{REPLACEMENT CHARACTER}"
_LEFTWARDS = {"R", "AL", "AN"}
_KINDS = {**dict.fromkeys(_LEFTWARDS, "<"), "L": ">", "NSM": "'"}
_GLUE = "\N{NO-BREAK SPACE}"
_GLUED = re.compile(r"(?<=\d) (?=(?:ft|in|mm|m|m2|L|gal|gpm|W|kW|Btu/h|Pa|kPa|psi|A|V|s|deg[CF])\b)|(?<=\d ft) (?=\d)")
"""Blanks within a quantity, where no line ends."""
_RUN = re.compile("<(?:[^>]*<)?'*")
"""From a letter written leftwards to the last before one written to the right, with the marks on it."""


def harmless(text: str) -> str:
    """The text without what a reader cannot see but a program acts on: controls, marks that turn the direction of
    writing round, halves of pairs, private and unassigned letters, each shown as a replacement; blanks are plain.

    Words written from right to left are isolated, so that figures beside them keep their places.
    """
    if text.isascii() and text.isprintable():
        return text
    seen = "".join(_seen(c) for c in unicodedata.normalize("NFC", text))
    return isolated(seen)


def isolated(text: str) -> str:
    """Each run of words from right to left between marks of ours; a text that holds nothing else is one run."""
    if not leftwards(text):
        return text
    kinds = "".join(_KINDS.get(unicodedata.bidirectional(c), "-") for c in text)
    if ">" not in kinds:
        return f"{ISOLATE}{text}{END_ISOLATE}"
    return "".join(
        f"{ISOLATE}{part}{END_ISOLATE}" if leftwards(part) else part
        for begin, end in pairwise([0, *(at for run in _RUN.finditer(kinds) for at in run.span()), len(text)])
        if (part := text[begin:end])
    )


def leftwards(text: str) -> bool:
    """Whether any of it is written from right to left."""
    return not text.isascii() and any(unicodedata.bidirectional(c) in _LEFTWARDS for c in text)


def plain(text: str) -> str:
    """The text without our own marks of direction."""
    return text.replace(ISOLATE, "").replace(END_ISOLATE, "")


def as_printed(line: str) -> str:
    """Letters of a line from left to right as they stand on paper: what is written from right to left is turned, and
    Arabic letters take the form that joins their neighbours (Unicode Standard Annex 9; Unicode Standard, 9.2)."""
    return plain(get_display(_joiner()(line)) if leftwards(line) else line)


@cache
def _joiner() -> Callable[[str], str]:
    # it takes a while to load and hardly any survey needs it
    from arabic_reshaper import ArabicReshaper  # type: ignore[import-untyped]  # it has no types of its own

    # the typeface has letters that join none as themselves, not as forms
    told = {"use_unshaped_instead_of_isolated": True, "delete_harakat": False}
    joiner: Callable[[str], str] = ArabicReshaper(told).reshape
    return joiner


def _seen(letter: str) -> str:
    kind = unicodedata.category(letter)
    if kind.startswith("Z"):
        return " "
    return UNSEEN if kind.startswith("C") else letter


def width_mm(text: str, size: float, bold: bool = False) -> float:
    """Width of a line of letters of ``size`` [mm]."""
    return sum(_em(c, bold) for c in text) * size


def _em(letter: str, bold: bool) -> float:
    return 0.0 if letter in (ISOLATE, END_ISOLATE) or unicodedata.combining(letter) else em(letter, bold)


def cut(text: str, size: float, room: float, bold: bool = False) -> str:
    """The text, or its beginning and an ellipsis, no wider than ``room`` [mm]."""
    if width_mm(text, size, bold) <= room:
        return text
    text = plain(text)
    while text and width_mm(text + ELLIPSIS, size, bold) > room:
        text = text[:-1]
    return isolated(text.rstrip() + ELLIPSIS)


def wrapped(text: str, size: float, room: float, bold: bool = False) -> list[str]:
    """Lines no wider than ``room`` [mm]; words that are too long are broken."""
    lines, line = [], ""
    for word in _GLUED.sub(_GLUE, plain(text)).split(" "):
        for part in _broken(word, size, room, bold) if word else ():
            longer = f"{line} {part}" if line else part
            if width_mm(longer, size, bold) <= room:
                line = longer
            else:
                lines.append(line)
                line = part
    return [isolated(told.replace(_GLUE, " ")) for told in ([*lines, line] if line else lines or [""])]


def _broken(word: str, size: float, room: float, bold: bool) -> list[str]:
    parts, part = [], ""
    for letter in word:
        if part and width_mm(part + letter, size, bold) > room:
            parts.append(part)
            part = ""
        part += letter
    return [*parts, part]
