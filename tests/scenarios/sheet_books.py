"""Books of sheets of the sample plans, made once for all tests."""

from __future__ import annotations

from functools import cache

from service.http.sheet_book import SheetBook, of_placement
from tests.scenarios.scenarios import EVERY as NAMES
from tests.scenarios.scenarios import solved, with_designs

__all__ = ["NAMES", "SITED", "book"]
SITED = with_designs()
"""Plans with one heater that has a lawful place."""


@cache
def book(name: str) -> SheetBook:
    """The book of a plan as it was solved."""
    plan = solved(name)
    return of_placement(plan.survey, plan.answer)
