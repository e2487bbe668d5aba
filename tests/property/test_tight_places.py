"""Where a limit on a run decides, the best place is where the limit is just kept: lines near the answer's case and taps
find nothing cheaper. Houses in which they did, by up to one and a half per cent, before such places were told of every
run that is at stake."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from service.building.build import build
from service.design import Design, Service
from service.siting.ground import ground_of
from service.siting.outcome import Outcome
from service.siting.search import search
from service.siting.waiting_price import longest_wait
from service.siting.zones import Zones
from service.survey.model import Circuit, GasMethod, Point3, Receptacle, Survey
from service.usecases.waiting_report import waiting_report
from tests.property.brute_pressure import pressed_house
from tests.property.brute_waiting import priced_house
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.outdoor_houses import outdoor_house
from tests.property.roofs import roofed
from tests.property.solving import SECONDS, cost_of, solved
from tests.property.test_price_books import with_book

Plane = tuple[int, int]
KINDS: dict[str, Callable[[int], Survey]] = {
    "roofed": roofed,
    "waiting": lambda seed: priced_house(house(seed), seed),
    "pressed": lambda seed: pressed_house(house(seed), seed),
    "corded": lambda seed: corded(outdoor_house(seed), OUTLET),
}
OUTLET = (2758, 556, 507)
DECIDED = (("pressed", 21103), ("waiting", 21151), ("roofed", 9024), ("corded", 520016))
"""In the last two limits are met at once, of the heater's cord and of its gas."""
WAITS = ((131, 0.9), (173, 0.7), (154, 0.7), (122, 0.9), (139, 0.7))[: deep(2)]
"""Seed, and the longest wait as a share of what the cheapest design makes one wait."""
NEAR_MM = (1, 2, 4, 8, 16, 32, 64, 96, 128, 192, 256, 320)
SAME = 1 - 2e-5
"""Such places are told in whole millimetres: what a few of them cost is left."""


def corded(survey: Survey, at: Point3) -> Survey:
    """The house with gas pipe sized by the longest length, and an outlet for a heater's cord."""
    first = replace(survey.receptacles[0], circuit=Circuit(120.0, 15.0, 0.0, 0.0, False, "12"))
    near = Receptacle("near", at, circuit=Circuit(120.0, 20.0, 400.0, 400.0, False, "12"))
    return replace(
        survey, receptacles=(first, near), gas=replace(survey.gas, method=GasMethod.LONGEST_TABLES)
    )


def near(design: Design) -> list[Plane]:
    """Planes about the place of the manifold, and about where water is tapped."""
    manifold = min((r.pieces[0].start for r in design.routes), key=lambda p: p[2])
    taps = [r.pieces[-1].start for r in design.routes if r.service in (Service.HOT, Service.COLD)]
    shifts = [way * mm for mm in NEAR_MM for way in (-1, 1)]
    return sorted({(axis, p[axis] + by) for p in (manifold, *taps) for axis in range(3) for by in shifts})


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "seed"), DECIDED)
def test_lines_near_the_case_find_nothing_cheaper(kind: str, seed: int) -> None:
    """Limits on gas, water and drain decide in these houses."""
    survey = with_book(KINDS[kind](seed), seed)
    ours = solved(survey)
    assert ours.limited
    assert cost_of(solved(survey, extra_planes=near(ours.designs[0]))) >= SAME * cost_of(ours)


@cache
def wait_of(seed: int) -> tuple[Survey, float]:
    """A house where waiting costs nothing, and how long its cheapest design makes one wait [s]."""
    survey = with_book(priced_house(house(seed), seed), seed)
    survey = replace(survey, preferences=replace(survey.preferences, waiting_cents_per_s=None))
    report = waiting_report(survey, build(survey), solved(survey).designs[0])
    assert report is not None and report.mean_s is not None
    return survey, report.mean_s


def within(survey: Survey, seconds: float, planes: list[Plane]) -> Outcome:
    """The cheapest design with no longer a wait [s]."""
    building = build(survey)
    ground = replace(ground_of(survey, building), longest_wait=longest_wait(survey, building, seconds))
    return search(ground, Zones(building, survey), 1, time.monotonic() + SECONDS, extra_planes=planes)


@pytest.mark.slow
@pytest.mark.parametrize(("seed", "share"), WAITS)
def test_lines_near_the_case_wait_no_less_for_less(seed: int, share: float) -> None:
    """The wait for hot water is held below what the cheapest design has, so the hot run is as long as it may be."""
    survey, seconds = wait_of(seed)
    ours = within(survey, share * seconds, [])
    assert not ours.cut_off and ours.limited
    more = within(survey, share * seconds, near(ours.designs[0]))
    assert not more.cut_off and cost_of(more) >= SAME * cost_of(ours)
