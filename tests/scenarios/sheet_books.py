"""Books of sheets of the sample plans, made once for all tests."""

from __future__ import annotations

from functools import cache

from service.design import RoofTerminal
from service.http.sheet_book import SheetBook, of_placement
from tests.scenarios.scenarios import EVERY as NAMES
from tests.scenarios.scenarios import solved, with_designs

__all__ = ["NAMES", "SITED", "book", "from_edges"]
SITED = with_designs()
"""Plans with one heater that has a lawful place."""


@cache
def book(name: str) -> SheetBook:
    """The book of a plan as it was solved."""
    plan = solved(name)
    return of_placement(plan.survey, plan.answer)


def from_edges(told: SheetBook, number: int) -> list[float]:
    """How far the terminal of one of the heaters is from each end of its wall, its top and the ground, or from each
    side of its roof plane, in the survey's unit."""
    end = told.installed[number].design.terminal
    if isinstance(end, RoofTerminal):
        xs, ys = zip(*told.building.roof_plane(end.roof_id).outline, strict=True)
        apart = [abs(end.x_mm - x) for x in xs] + [abs(end.y_mm - y) for y in ys]
    else:
        wall = told.building.facade(end.facade_id)
        levels = [z1 for *_, z1 in wall.spans] + [g.z for g in wall.grade]
        apart = [end.s_mm, wall.length_mm - end.s_mm, *(abs(z - end.z_mm) for z in levels)]
    return [mm / (304.8 if told.answer["units"]["length"] == "ft" else 1000.0) for mm in apart]
