"""Two heaters of which one or both hang outdoors: against pairs of places tried one by one, judged by the checker."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from heapq import nsmallest
from itertools import product

import pytest

from service.building.build import build
from service.design import Design
from service.siting.dwelling_search import DwellingSearch, Gas, Held, Region
from service.siting.terminals import place_of
from service.survey.equipment import MONEY_SCALE
from service.survey.model import GasMethod, Preferences, Survey
from service.usecases.results import Placement, Status
from tests.property.depth import deep
from tests.property.test_dwellings import together
from tests.unit.joint_house import two_dwellings
from tests.unit.test_neighbour_outdoors import refused
from tests.unit.test_neighbour_zones import joint

OUT, FOREVER = "nc-outdoor-160", 1e9
HOUSES = (
    ("ca-b149", OUT, OUT), ("us-2021", OUT, "co-direct-199"), ("ca-b149", "nc-direct-160", OUT), ("us-2021", OUT, OUT),
)[: deep(2)]  # fmt: skip
STEP_MM, ASIDE_MM, TRIED = 1_300, (-1, 0, 1), 400
Place = tuple[str, int, int]


def mild(rules: str, left: str, right: str) -> Survey:
    """Two dwellings with a heater each, where it never freezes; their water meets at the inner wall, so outdoors both
    would hang at one place. Each gas run is sized by itself."""
    ids = tuple(sorted({left, right}))
    plain = two_dwellings(ids, rules=rules, pipe="2")
    dwellings = tuple(replace(d, heaters=(h,)) for d, h in zip(plain.dwellings, (left, right), strict=True))
    site = replace(plain.site, winter_design_temperature_c=5.0)
    gas = replace(plain.gas, method=GasMethod.BRANCH_TABLES)
    return replace(plain, dwellings=dwellings, site=site, gas=gas, preferences=Preferences(outdoors=True))


def designs_of(answer: Placement) -> list[Design]:
    """One for each dwelling."""
    assert answer.dwellings is not None
    return [checked.design for _, checked in answer.dwellings.designs]


def where(design: Design) -> Place:
    """Surface, distance and height of the case outdoors, or of the vent's end."""
    mount = design.mount
    return (mount.facade_id, mount.s_mm, mount.bottom_z_mm) if design.outdoors else place_of(design.terminal)


def places(survey: Survey, found: list[Design], own: Design) -> Iterator[Place]:
    """All along the facade of a design at its own height, there and a little higher beside the places found."""
    surface, s, z = where(own)
    facade = build(survey).facade(surface)
    yield from product((surface,), range(STEP_MM // 2, facade.length_mm, STEP_MM), (z,))
    yield from product((surface,), (where(d)[1] + aside for d in found for aside in ASIDE_MM), (z,))
    yield surface, s, z + 250


def tabled(
    search: DwellingSearch, survey: Survey, every: Iterator[Place], outdoors: bool
) -> Iterator[tuple[float, Design]]:
    """The cheapest design through each place, with its cost [money units]."""
    gas = Gas(replace(survey.gas, pressure_options=()), None)
    for surface, s, z in dict.fromkeys(every):
        here = (Region(surface, (s, s), (z, z)),)
        found = search.found(Held(mounts=here) if outdoors else Held(ends=here), gas, time.monotonic() + FOREVER)
        if found.designs and found.cost_units is not None:
            yield found.cost_units, found.designs[0]


@pytest.mark.parametrize(("rules", "left", "right"), HOUSES)
def test_no_pair_of_places_tried_one_by_one_is_cheaper(rules: str, left: str, right: str) -> None:
    """Of all pairs of a raster, the answer's own places and their neighbours among them, the cheapest that the checker
    lets stand costs no less than the bound, and as much as the answer where that is proven."""
    survey = mild(rules, left, right)
    answer, house = together(survey), build(survey)
    found = designs_of(answer)
    assert [d.outdoors for d in found] == [h == OUT for h in (left, right)]
    assert "one another's way" in answer.proof.scope
    tables = []
    for dwelling, own in zip(survey.dwellings, found, strict=True):
        search = DwellingSearch(survey, house, dwelling)
        tables.append(list(tabled(search, survey, places(survey, found, own), own.outdoors)))
    pairs = nsmallest(TRIED, product(*tables), key=lambda pair: pair[0][0] + pair[1][0])
    stands = (a + b for (a, one), (b, other) in pairs if not refused(survey, house, joint(survey, one, other)))
    least = next(stands) / MONEY_SCALE
    assert answer.proof.bound_cents is not None and answer.proof.cost_cents is not None
    assert least >= answer.proof.bound_cents - 2
    if answer.status is Status.OPTIMAL:
        assert abs(least - answer.proof.cost_cents) <= 2  # each bill is rounded by itself
