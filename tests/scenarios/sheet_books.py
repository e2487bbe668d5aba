"""Books of sheets of the sample plans, made once for all tests."""

from __future__ import annotations

from functools import cache

from service.http.sheet_book import SheetBook, of_placement
from tests.scenarios.scenarios import NAMES as EVERY
from tests.scenarios.scenarios import document, solved, with_designs

NAMES = tuple(name for name in EVERY if not document(name).get("dwellings"))
"""Sheets draw one heater: surveys of several dwellings are refused."""
SITED = tuple(name for name in with_designs() if name in NAMES)


@cache
def book(name: str) -> SheetBook:
    """The book of a plan as it was solved."""
    plan = solved(name)
    return of_placement(plan.survey, plan.answer)
