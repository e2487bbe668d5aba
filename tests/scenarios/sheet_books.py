"""Books of sheets of the sample plans, made once for all tests."""

from __future__ import annotations

from functools import cache

from service.http.sheet_book import SheetBook, of_placement
from tests.scenarios.scenarios import NAMES, solved

__all__ = ["NAMES", "book"]


@cache
def book(name: str) -> SheetBook:
    """The book of a plan as it was solved."""
    plan = solved(name)
    return of_placement(plan.survey, plan.answer)
