"""Names in many scripts on paper: every letter there, in its order and form; what no typeface has is told."""

from __future__ import annotations

import io
import unicodedata

import pytest
from pypdf import PdfReader
from reportlab.pdfbase.pdfmetrics import stringWidth

from service.report.model import Bullets, Facts, Report, Section, Table
from service.report.pdf import pdf
from service.sheets.letters import as_printed, harmless, width_mm, wrapped
from service.sheets.typefaces import lacks, pieces

ONWARD = {
    "Polish": "Łódź żółć",
    "Romanian": "Țâță",
    "Vietnamese": "Phòng tắm ường",
    "Greek": "Κουζίνα ισόγειο",
    "Cyrillic": "Кухня ёлка",
    "Georgian": "სამზარეულო",
}
LEFTWARD = {"Hebrew": "מטבח", "Arabic": "مطبخ", "Persian": "گچپژ"}
BLOCKS = {
    "Latin-1": (0xA1, 0xFF),
    "Latin Extended-A": (0x100, 0x17F),
    "Latin Extended-B": (0x180, 0x24F),
    "Greek": (0x386, 0x3CE),
    "Cyrillic": (0x400, 0x45F),
    "Hebrew letters": (0x5D0, 0x5EA),
    "Arabic letters": (0x641, 0x64A),
    "Georgian": (0x10D0, 0x10F0),
    "Thai": (0xE01, 0xE3A),
}
"""Blocks of the Unicode Standard, or the letters in them."""


def read_back(name: str) -> str:
    """Text of a report's PDF whose title, facts and table tell a name."""
    blocks = (Facts((("Room", name),)), Bullets((name,)), Table("Rooms", ("name",), ((name,),)))
    report = Report(name, "Lawful", True, "Caution", "Origin", (Section("rooms", "Rooms", blocks),))
    told = "".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf(report))).pages)
    return " ".join(told.split())


@pytest.mark.parametrize("name", ONWARD.values(), ids=ONWARD)
def test_names_from_left_to_right_are_read_back(name: str) -> None:
    """In the title, a fact, a point, a row and the foot of the page."""
    told = read_back(name)
    assert told.count(name) == 5
    assert "question mark" not in told


@pytest.mark.parametrize("name", LEFTWARD.values(), ids=LEFTWARD)
def test_names_from_right_to_left_are_read_back(name: str) -> None:
    """By a reader that turns them again; forms of letters are letters by their compatibility mapping (Unicode Character
    Database)."""
    told = unicodedata.normalize("NFKC", read_back(name))
    assert told.count(name) == 5
    assert "question mark" not in told


@pytest.mark.parametrize(("low", "high"), BLOCKS.values(), ids=BLOCKS)
def test_no_letter_of_the_named_scripts_is_lacking(low: int, high: int) -> None:
    """Every assigned letter of the block."""
    letters = [chr(code) for code in range(low, high + 1) if unicodedata.name(chr(code), "")]
    assert [c for c in letters if lacks(c)] == []


def test_what_no_typeface_has_is_told() -> None:
    """As question marks, and in words; the rest of the name is there."""
    told = read_back("Haus \N{CJK UNIFIED IDEOGRAPH-6728} 7")
    assert "Haus ? 7" in told
    assert "question mark" in told


def test_arabic_letters_are_joined() -> None:
    """Each in the form that its neighbours ask for (Unicode Standard, 9.2); lam and alef are one."""
    names = [unicodedata.name(c) for c in as_printed("بيت")]
    assert names == ["ARABIC LETTER TEH FINAL FORM", "ARABIC LETTER YEH MEDIAL FORM", "ARABIC LETTER BEH INITIAL FORM"]
    assert [unicodedata.name(c) for c in as_printed("سلا")] == [
        "ARABIC LIGATURE LAM WITH ALEF FINAL FORM",
        "ARABIC LETTER SEEN INITIAL FORM",
    ]


def test_figures_keep_their_direction_beside_turned_words() -> None:
    """Digits run from left to right in words from right to left, which read on from the right (Unicode Standard
    Annex 9, rules W2, N1, L2); a figure after a name stays after it, in each line of several; a plain line is left as
    it is."""
    assert as_printed(harmless("אב 12")) == "12 בא"
    assert as_printed(harmless("hall אב: 3 ft")) == "hall בא: 3 ft"
    assert as_printed(harmless("אב: 3 ft, אב גד: 4 ft")) == "בא: 3 ft, דג בא: 4 ft"
    lines = wrapped(harmless("to אב גד: 3 ft"), 1.0, width_mm("גד: 3 ft", 1.0))
    assert [as_printed(line) for line in lines] == ["to בא", "דג: 3 ft"]
    assert as_printed("3 ft 6-3/8 in") == "3 ft 6-3/8 in"


@pytest.mark.parametrize("name", [*ONWARD.values(), *LEFTWARD.values(), "سلام عليكم", "utility 3"])
@pytest.mark.parametrize("bold", [False, True])
def test_words_are_no_wider_than_they_were_measured(name: str, bold: bool) -> None:
    """So what was found a place does not overlap on paper: widths of the letters as the PDF's library draws them."""
    drawn = sum(stringWidth(part, face, 10.0) for face, part in pieces(as_printed(harmless(name)), bold))
    assert drawn <= width_mm(harmless(name), 10.0, bold) * 1.02


def test_a_word_is_of_one_typeface() -> None:
    """No single letter of another look stands in it; the words beside it keep their own."""
    assert [part for _, part in pieces("hall Łódź 3")] == ["hall ", "Łódź ", "3"]
    assert len({face for face, _ in pieces("hall Łódź 3")}) == 2
