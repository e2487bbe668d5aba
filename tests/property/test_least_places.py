"""Tables of what a heater costs at least at every place, against the search held to one place, and against trying every
millimetre; zones that go along a wall against those made there; dwellings alike against the same told apart."""

from __future__ import annotations

import time
from dataclasses import replace
from functools import cache
from itertools import product
from random import Random

import numpy as np
import pytest

from service.building.build import build
from service.clearance.model import Zone
from service.design import MANIFOLD_DROP_MM
from service.settings import Settings
from service.siting.cost_grids import CostGrid
from service.siting.dwelling_search import DwellingSearch, Gas, Held, Region
from service.siting.pairs import BELOW, Party, ZonesAlong, spots_of
from service.survey.model import Survey
from service.usecases.place import place
from service.usecases.results import Status
from tests.property.depth import deep
from tests.unit.joint_house import parallel, two_dwellings

HEATERS = (("us-2021", "co-direct-120"), ("ca-b149", "nc-direct-120"), ("us-2018", "co-room-199"))[: deep(2)]
SPREAD = 1.2
"""How far above the least a table reaches."""
FOREVER = 1e9


@cache
def apart(rules: str, heater: str) -> Party:
    """The first of two dwellings beside one another."""
    return party(two_dwellings((heater,), rules=rules, tee=1_700), 0)


@cache
def both(rules: str, heater: str) -> tuple[Party, Party]:
    """Two heaters in one room."""
    survey = parallel((heater,), rules=rules)
    return party(survey, 0), party(survey, 1)


def party(survey: Survey, index: int) -> Party:
    """One dwelling of a survey with its heater settled."""
    house = build(survey)
    search = DwellingSearch(survey, house, survey.dwellings[index])
    gas = Gas(replace(survey.gas, pressure_options=()), None, True)
    any_heater = search.found(Held(), gas, time.monotonic() + FOREVER)
    held = Held(heaters=frozenset({any_heater.designs[0].heater.label}))
    found = search.found(held, gas, time.monotonic() + FOREVER)
    assert found.cost_units is not None
    return Party(search, held, gas, found, found.cost_units)


@pytest.mark.parametrize("ends", [True, False])
@pytest.mark.parametrize(("rules", "heater"), HEATERS)
def test_no_place_costs_less_than_its_table_says(rules: str, heater: str, ends: bool) -> None:
    """At places on the lines and between them; where the search finds its cheapest, both say the same."""
    one, r = apart(rules, heater), Random(f"{rules} {heater} {ends}")
    told = one.least_places(SPREAD * one.units)
    assert told is not None
    grids = told.of(ends)
    assert 0.9 * one.units < min(g.least_units for g in grids.values()) <= one.units
    equal = 0
    for name, grid in grids.items():
        on = [place[:2] for place in grid.own_places(told.most)]
        any_s, any_z = (r.sample(range(int(v[0]), int(v[-1]) + 1), 3) for v in (grid.s, grid.z))
        for s, z in (*r.sample(on, min(4, len(on))), *zip(any_s, any_z, strict=True)):
            least = float(grid.at(np.array([s]), np.array([z]))[0])
            cost = least_at(one, name, s, z, ends)
            assert cost >= min(least, told.most) - 1e-3, (name, s, z)
            equal += cost == least
    assert equal


@pytest.mark.parametrize(("rules", "heater"), HEATERS)
def test_no_end_at_the_level_of_a_case_costs_less_than_its_table_says(rules: str, heater: str) -> None:
    """Such a level is in the lattice for the sake of cases, without a case whose vent goes straight out there."""
    one, r = apart(rules, heater), Random(f"{rules} {heater}")
    told = one.least_places(SPREAD * one.units)
    assert told is not None
    levels = sorted({int(z) - MANIFOLD_DROP_MM for grid in told.cases.values() for z in grid.z})
    places = [(name, int(r.choice(grid.s)), z) for name, grid in told.ends.items() for z in levels]
    for name, s, z in r.sample(places, 12):
        least = float(told.ends[name].at(np.array([s]), np.array([z]))[0])
        assert least_at(one, name, s, z, True) >= min(least, told.most) - 1e-3, (name, s, z)


def least_at(one: Party, surface: str, s: int, z: int, ends: bool) -> float:
    """What a heater costs if its vent ends, or its case hangs, at one place [money units]."""
    here = (Region(surface, (s, s), (z, z)),)
    held = replace(one.held, ends=here) if ends else replace(one.held, mounts=here)
    found = one.search.found(held, one.gas, time.monotonic() + FOREVER)
    return float("inf") if found.cost_units is None else found.cost_units


@pytest.mark.parametrize("seed", range(deep(20)))
def test_least_beside_zones_is_no_more_than_any_place_costs(seed: int) -> None:
    """A cost that is the least of some slopes in each cell, tried at every millimetre that boxes and arcs leave."""
    r = Random(seed)
    s, z = np.array([0, 30, 70, 100]), np.array([0, 25, 60])
    units = np.array([[float(r.randint(0, 500)) for _ in z] for _ in s])
    zones = [_zone(r) for _ in range(r.randint(1, 3))]
    grid = CostGrid(s, z, units)
    every = np.array(list(product(range(101), range(61))))
    cost = grid.at(every[:, 0], every[:, 1])
    open_ = np.array([not any(zone.covers(int(a), int(b)) for zone in zones) for a, b in every])
    tried = float(cost[open_].min(initial=np.inf))
    assert grid.least(zones) <= tried + 1e-9
    assert grid.least([]) == units.min() == cost.min()


def _zone(r: Random) -> Zone:
    s0, z0 = r.randint(-10, 90), r.randint(-10, 50)
    radius = r.choice([0, r.randint(1, 30)])
    return Zone("F", s0, s0 + r.randint(1, 40), z0, z0 + r.randint(1, 30), radius**2, "rule", "thing")


@pytest.mark.parametrize("ends", [True, False])
@pytest.mark.parametrize(("rules", "heater"), HEATERS)
def test_zones_go_along_with_what_makes_them(rules: str, heater: str, ends: bool) -> None:
    """Made at one place and moved, or made there: the same."""
    one, other = both(rules, heater)
    design = one.design
    surface = design.terminal.facade_id if ends else design.mount.face_id  # type: ignore[union-attr]
    z = design.terminal.z_mm if ends else design.mount.bottom_z_mm
    moved = ZonesAlong(one, other, ends)
    for s in (500, 777, 1_400, 2_001):
        assert set(moved.at(surface, s, z)) == set(ZonesAlong(one, other, ends).at(surface, s, z)) != set()


@pytest.mark.parametrize("ends", [True, False])
@pytest.mark.parametrize(("rules", "heater"), HEATERS)
def test_places_told_as_they_come_are_those_told_all_at_once(rules: str, heater: str, ends: bool) -> None:
    """None is missing, none too many, each with what both cost there, the least first and those alike by place."""
    one, other = both(rules, heater)
    most = SPREAD * (one.units + other.units)
    own, theirs = one.least_places(most - other.units), other.least_places(most - one.units)
    assert own is not None and theirs is not None
    zones, every = ZonesAlong(one, other, ends), []
    for name, grid in own.of(ends).items():
        for s, z, units in grid.own_places(most):
            cost = units + min(
                g.least(zones.at(name, s, z) if n == name else []) for n, g in theirs.of(ends).items()
            )
            every += [(cost, (name, s, z))] if cost <= most - BELOW else []
    told = spots_of(one, other, ends, most)
    assert told is not None
    assert [(spot.units, spot.place) for spot in told] == sorted(every) != []


def test_dwellings_alike_cost_what_they_cost_told_apart() -> None:
    """One of the two named with all that it may have anyway: no longer alike to the search, the same house."""
    survey = parallel(apart=1_000)
    cold, hot = survey.water.cold[0].id, survey.water.hot[0].id
    alike = tuple(
        replace(d, water_lines=(cold, hot), drains=None, receptacles=None, id=name)
        for d, name in zip(survey.dwellings, "ab", strict=True)
    )
    every = tuple(drain.id for drain in survey.drains)
    apart = (alike[0], replace(alike[1], drains=every))
    found = [place(replace(survey, dwellings=d), Settings(solver_seconds=60)) for d in (alike, apart)]
    assert [answer.status for answer in found] == [Status.OPTIMAL] * 2
    assert found[0].proof.cost_cents == found[1].proof.cost_cents
