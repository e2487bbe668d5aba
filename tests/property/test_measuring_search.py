"""The search where corners of zones are round and cut: as exact as elsewhere, and never dearer than the rectangle."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.rules.catalogue import heaters
from service.survey.model import Amendment, Measuring, Survey
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import cost_of, solved

SEEDS = (*range(3000, 3000 + deep(8)), 3024)
NEAR = Amendment("US18-ND2", 900, "so near that corners lie on small walls, invented")


def measured(survey: Survey, measuring: Measuring) -> Survey:
    """The house with a heater that the item list keeps from openings by rectangles."""
    site = replace(survey.site, measuring=measuring, rule_set="us-2018", amendments=(NEAR,))
    return replace(survey, site=site, heaters=(heaters()["nc-room-120"],))


@pytest.mark.slow
def test_the_string_is_never_dearer_and_both_searches_agree() -> None:
    """Lazy and full grid prove the same cost (see test_two_ways); what the rectangle allows the string allows."""
    wrong, cheaper = [], 0
    for seed in SEEDS:
        square, lazy = (solved(measured(house(seed), m)) for m in (Measuring.RECTANGLE, Measuring.STRING))
        full = lazy if lazy.limited else solved(measured(house(seed), Measuring.STRING), eager=True)
        cheaper += cost_of(lazy) < cost_of(square)
        if cost_of(lazy) > cost_of(square) or cost_of(lazy) != cost_of(full):
            wrong.append(seed)
    assert wrong == []
    assert cheaper >= 2, "too few houses in which the rounding matters: the test says nothing"
