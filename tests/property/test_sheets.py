"""Sheets of generated houses and of real ones: whatever the house, words keep apart and within the frame."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import Polygon, STRtree

from service.http.sheet_book import SheetBook, of_placement
from service.settings import Settings
from service.sheets.frame import MARGIN
from service.sheets.paper import A4_HIGH, A4_WIDE, Page, Words
from service.survey.model import Survey
from tests.once import placed
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.roofs import roofed
from tests.property.transforms import turned
from tests.property.twins import with_twins
from tests.scenarios.test_open_plans import FEW
from tests.scenarios.test_open_plans import house as real_house
from tests.unit.open_plans import NAMES

SEEDS = range(deep(4, 2))


def book(survey: Survey) -> SheetBook:
    """The sheets of the cheapest design alone."""
    alone = replace(survey, preferences=replace(survey.preferences, alternatives=1))
    return of_placement(alone, placed(alone, Settings()))


def faults(page: Page) -> list[str]:
    """Words that overlap others or leave the frame."""
    told = [(w.text, Polygon(w.corners()).buffer(-0.02)) for w in page.inks if isinstance(w, Words) and w.text]
    tree = STRtree([shape for _, shape in told])
    pairs = tree.query([shape for _, shape in told], predicate="intersects").T
    clashes = [f"{page.name}: {told[a][0]} over {told[b][0]}" for a, b in pairs if a < b]
    inside = (MARGIN, MARGIN, A4_WIDE - MARGIN, A4_HIGH - MARGIN)
    out = [
        f"{page.name}: {text} outside"
        for text, shape in told
        if not (
            shape.bounds[0] >= inside[0]
            and shape.bounds[1] >= inside[1]
            and shape.bounds[2] <= inside[2]
            and shape.bounds[3] <= inside[3]
        )
    ]
    return clashes + out


@pytest.mark.parametrize("seed", SEEDS)
def test_sheets_of_generated_houses_are_in_order(seed: int) -> None:
    """Also with a roof, and turned against the axes."""
    for survey in (house(seed), roofed(seed), turned(house(seed), 1)):
        assert [f for page in book(survey).pages for f in faults(page)] == []


def test_both_terminals_of_twin_pipe_are_drawn() -> None:
    """On the plan and the elevation, in the house's first seed that has a lawful place for both."""
    books = (book(with_twins(house(seed))) for seed in range(20))
    made = next(b for b in books if b.design is not None and b.design.intake is not None)
    for sheet in ("plan-1", "elevation", "elevation-detail"):
        page = next(p for p in made.pages if p.name == sheet)
        assert "intake" in [w.text for w in page.inks if isinstance(w, Words)]
        assert faults(page) == []


@pytest.mark.parametrize("name", NAMES)
def test_sheets_of_real_houses_are_in_order(name: str) -> None:
    """Rotated axes, split levels, many rooms; skipped where the open plans are absent."""
    made = book(real_house(name, FEW))
    assert made.design is not None
    assert [f for page in made.pages for f in faults(page)] == []
