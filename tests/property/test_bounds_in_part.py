"""Bounds of heaters before vents and condensate are looked at: no higher than after, and the optimum is the same."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from service.building.build import build
from service.http.schemas import load_survey
from service.settings import Settings
from service.siting import search
from service.siting.active import Active
from service.siting.ground import first_planes, ground_of
from service.siting.stage import LATE, Stage
from service.survey.model import Survey
from tests.benchmarks.typical_house import document
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.outdoor_houses import outdoor_house
from tests.property.roofs import roofed
from tests.property.solving import cost_of, solved, solved_anew

HOUSES = [make(seed) for make in (house, outdoor_house, roofed) for seed in range(deep(3))]


def _stage(survey: Survey, in_part: bool) -> Stage:
    ground = ground_of(survey, build(survey))
    return Stage(ground, Active(first_planes(ground, ground.needs)), ground.needs, loose=True, in_part=in_part)


@pytest.mark.parametrize("survey", HOUSES, ids=range(len(HOUSES)))
def test_a_part_bounds_the_whole(survey: Survey) -> None:
    """At every hub; completed, tables are those that are made whole at once."""
    parts, wholes = _stage(survey, in_part=True), _stage(survey, in_part=False)
    for part, whole in zip(parts.tables, wholes.tables, strict=True):
        assert not set(part.offers) & set(LATE)
        assert np.isfinite(part.total[np.isfinite(whole.total)]).all()
        assert (part.total <= whole.total).all()
        parts.complete(part)
        assert set(part.offers) == set(whole.offers)
        assert np.array_equal(part.total, whole.total)


@pytest.mark.parametrize("survey", HOUSES, ids=range(len(HOUSES)))
def test_bounds_whole_from_the_first_change_no_cost(survey: Survey, monkeypatch: pytest.MonkeyPatch) -> None:
    def whole(*args: Any, in_part: bool = False, **options: Any) -> Stage:
        return Stage(*args, **options)

    monkeypatch.setattr(search, "Stage", whole)
    assert cost_of(solved_anew(survey)) == cost_of(solved(survey))


def test_most_heaters_of_a_typical_house_need_no_more_than_a_part(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else the parts would be for nothing."""
    looked_at: list[str] = []
    complete = Stage.complete
    monkeypatch.setattr(Stage, "complete", lambda self, t: (looked_at.append(t.need.name), complete(self, t)))
    survey = load_survey(document(0), Settings())
    solved_anew(survey)
    assert len(set(looked_at)) <= len(ground_of(survey, build(survey)).needs) / 2
