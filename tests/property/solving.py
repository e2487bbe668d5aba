"""One way for all property tests to solve a survey, and to say what came of it."""

from __future__ import annotations

import time
from collections.abc import Iterable
from functools import cache
from math import inf

from service.building.build import build
from service.siting.ground import ground_of
from service.siting.outcome import Outcome
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.equipment import MONEY_SCALE
from service.survey.model import Survey
from tests.once import once
from tests.property.houses import house

SECONDS = 180.0
CENT = MONEY_SCALE


def solved(survey: Survey, eager: bool = False, extra_planes: Iterable[tuple[int, int]] = ()) -> Outcome:
    """The proven optimum of a survey, found once a run. AssertionError if the search stopped before its proof."""
    planes = tuple(extra_planes)
    return once(("solved", survey, eager, planes), lambda: solved_anew(survey, eager, planes))


def solved_anew(survey: Survey, eager: bool = False, extra_planes: Iterable[tuple[int, int]] = ()) -> Outcome:
    """The same searched for here and now, for tests that change what the search does."""
    building = build(survey)
    ground = ground_of(survey, building)
    deadline = time.monotonic() + SECONDS
    outcome = search(ground, Zones(building, survey), 1, deadline, eager=eager, extra_planes=extra_planes)
    assert not outcome.cut_off, f"{survey.name}: no proof within {SECONDS:g} s"
    return outcome


@cache
def solved_house(seed: int) -> Outcome:
    """The proven optimum of a generated house as it is."""
    return solved(house(seed))


def cost_of(outcome: Outcome) -> float:
    """Money units of the optimum, inf where nothing is lawful."""
    return inf if outcome.cost_units is None else outcome.cost_units


def heater_of(outcome: Outcome) -> str:
    """Heater of the optimum, empty where nothing is lawful."""
    return outcome.designs[0].heater.id if outcome.designs else ""
