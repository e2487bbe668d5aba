"""A sample plan whose names are hostile: markup, scripts, formulas, turned writing, 200 letters, codes of formats."""

from __future__ import annotations

from functools import cache
from itertools import cycle
from typing import Any

from service.http.schemas import load_survey
from service.http.sheet_book import SheetBook, of_placement
from service.settings import Settings
from tests.scenarios.scenarios import document, solved_by

NAMES = (
    "<script>alert(1)</script><svg onload=alert(1)>\"'&amp;&#x6a;",
    "\N{RIGHT-TO-LEFT OVERRIDE}gnp.exe \N{ARABIC LETTER MEEM}\N{ARABIC LETTER TAH} 12 \N{HEBREW LETTER ALEF}",
    "W" * 190,
    "=cmd|' /C calc'!A0",
    "+1+1 ]]> <!-- --> <?xml ?>",
    "-2+3\\P{\\fArial|b1;X}%%d%%n^I",
    "@SUM(A1) <b>bold</b> <font color=red>red</font> <a href='javascript:alert(1)'>x</a>",
    "{{ 7 * 7 }}{% raw %}${7*7} #{7*7}",
    "\N{FULLWIDTH EQUALS SIGN}1+1 \N{CJK UNIFIED IDEOGRAPH-6728}\N{DUCK}\N{ZERO WIDTH SPACE}",
    "\N{FIRST STRONG ISOLATE}\N{LEFT-TO-RIGHT MARK}=1+1",
)
"""Each with what it is meant to do harm to; no format may take any of it for more than letters."""


_WORDS = ("use", "kind", "material", "rule_set", "fuel")
"""Members that hold words of ours."""


def hostile(plan: str) -> dict[str, Any]:
    """A plan with every id renamed, everywhere it is referred to."""
    raw = document(plan)
    ids = sorted(_ids(raw))
    turns = cycle(NAMES)
    renamed = {name: f"{next(turns)}{number}" for number, name in enumerate(ids)}
    found: dict[str, Any] = _renamed(raw, renamed)
    return {**found, "name": NAMES[0] + NAMES[1]}


def _ids(value: object) -> set[str]:
    """What the plan names itself; the catalogue's and rules' names are not among it."""
    if isinstance(value, list):
        return set().union(*map(_ids, value))
    if isinstance(value, dict):
        own = {value["id"]} if isinstance(value.get("id"), str) else set()
        return own.union(*map(_ids, value.values()))
    return set()


def _renamed(value: Any, names: dict[str, str]) -> Any:
    if isinstance(value, list):
        return [_renamed(v, names) for v in value]
    if isinstance(value, dict):
        return {k: v if k in _WORDS else _renamed(v, names) for k, v in value.items()}
    return names.get(value, value) if isinstance(value, str) else value


@cache
def book(plan: str) -> SheetBook:
    """Its book, solved."""
    survey = load_survey(hostile(plan), Settings())
    return of_placement(survey, solved_by(survey))
