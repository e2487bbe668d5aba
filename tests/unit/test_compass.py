"""Sides of a house by the compass: the survey's y axis is north, however the house is turned."""

from __future__ import annotations

from math import cos, hypot, radians, sin
from typing import Any

import pytest

from service.building.build import build
from service.http.compass import side
from tests.unit.survey_documents import load, smallest

EIGHTHS = {
    "N": (0, 1),
    "NE": (1, 1),
    "E": (1, 0),
    "SE": (1, -1),
    "S": (0, -1),
    "SW": (-1, -1),
    "W": (-1, 0),
    "NW": (-1, 1),
}


def turned(value: Any, degrees: float) -> Any:
    """Points of a document turned counter-clockwise about the origin."""
    if isinstance(value, dict):
        return {k: turned(v, degrees) for k, v in value.items()}
    if isinstance(value, list) and len(value) in (2, 3) and all(isinstance(v, int | float) for v in value):
        c, s = cos(radians(degrees)), sin(radians(degrees))
        return [c * value[0] - s * value[1], s * value[0] + c * value[1], *value[2:]]
    return [turned(v, degrees) for v in value] if isinstance(value, list) else value


@pytest.mark.parametrize("degrees", [0, 20, 45, 70, 90, 110, 135, 180, 225, 290, 315])
def test_a_facade_looks_away_from_the_middle_of_a_rectangular_house(degrees: float) -> None:
    """From the middle of the house to the middle of the facade, to the nearest of eight directions."""
    building = build(load(turned(smallest(), degrees)))
    ends = [[building.frame.to_survey(p) for p in (f.start, f.end)] for f in building.facades]
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in ends]
    centre = sum(x for x, _ in middles) / 4, sum(y for _, y in middles) / 4
    for facade, (x, y) in zip(building.facades, middles, strict=True):
        dx, dy = x - centre[0], y - centre[1]
        nearest = max(EIGHTHS, key=lambda n: (dx * EIGHTHS[n][0] + dy * EIGHTHS[n][1]) / hypot(*EIGHTHS[n]))
        assert side(facade, building.frame) == nearest
    assert len({side(f, building.frame) for f in building.facades}) == len(building.facades) == 4
