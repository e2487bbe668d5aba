"""Where nothing is lawful: each change told opens just the design told, and what is not told opens none."""

from __future__ import annotations

import time
from dataclasses import replace
from functools import cache
from math import inf

import pytest

from service.building.build import build
from service.check.check import findings
from service.rules import catalogue
from service.rules.rulesets import rule_set
from service.siting.zones import Zones
from service.survey.model import Amendment, Opening, OpeningKind, Survey
from service.usecases.changes import FIXED, OFFERED, OUTDOORS, changes
from service.usecases.checked import BROKEN
from service.usecases.place import INSPECTOR
from service.usecases.results import Change
from tests.once import once
from tests.property.houses import house
from tests.property.outdoor_houses import outdoor_house
from tests.property.solving import CENT, cost_of, solved
from tests.property.test_deadlock import short

SEEDS = (0, 3, 4)
FAR_MM = 40_000


@cache
def by_windows(seed: int) -> Survey:
    """A house whose openable windows keep terminals off by farther than it is long, by local amendment."""
    survey = house(seed)
    rules = [r for r in rule_set(survey.site.rule_set).rules if "window_operable" in r.objects and r.required]
    far = tuple(Amendment(r.id, FAR_MM, "for the test") for r in rules if "window_fixed" not in r.objects)
    storeys = (
        replace(s, openings=tuple(o for o in s.openings if o.kind is OpeningKind.WINDOW)) for s in survey.storeys
    )
    site = replace(survey.site, amendments=far, air_inlets=())
    return replace(survey, site=site, storeys=tuple(storeys))


def told(survey: Survey) -> dict[str, Change]:
    """Changes by how their sentences begin."""
    return once(("changes", survey), lambda: _told(survey))


def _told(survey: Survey) -> dict[str, Change]:
    zones = Zones(build(survey), survey)
    found, untried = changes(zones.ground(survey, zones.whole), zones, time.monotonic() + 120, INSPECTOR)
    assert untried == ()
    return {c.what.partition(":")[0]: c for c in found}


def _begins(sentence: str) -> str:
    return sentence.partition(":")[0]


def _shut(survey: Survey, names: set[str] | None = None) -> Survey:
    """The house with some of its windows, or all, fixed by hand."""

    def fixed(o: Opening) -> Opening:
        return replace(o, operable=False) if names is None or o.id in names else o

    storeys = (replace(s, openings=tuple(map(fixed, s.openings))) for s in survey.storeys)
    return replace(survey, storeys=tuple(storeys))


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_windows_named_are_enough_to_be_fixed(seed: int) -> None:
    """With just those fixed by hand the design told is lawful and costs what the best design does; with all but one of
    them fixed it is not lawful."""
    survey = by_windows(seed)
    change = told(survey).get(_begins(FIXED))
    least = cost_of(solved(_shut(survey)))
    assert cost_of(solved(survey)) == inf
    assert (change is None) == (least == inf)
    if change is None:
        return
    names = set(change.what.removeprefix("Fixed instead of openable: ").removesuffix(".").split(", "))
    assert change.design.total_cents == pytest.approx(least / CENT, abs=1)
    enough = _shut(survey, names)
    assert not [f for f in findings(enough, build(enough), change.design) if f.verdict in BROKEN]
    for name in names:
        fewer = _shut(survey, names - {name})
        assert [f for f in findings(fewer, build(fewer), change.design) if f.verdict in BROKEN]


def test_windows_matter_in_some_house() -> None:
    """Or the test above would say nothing."""
    assert any(_begins(FIXED) in told(by_windows(seed)) for seed in SEEDS)


def test_a_heater_of_the_catalogue_is_told_where_it_would_do() -> None:
    """Where the vents of all offered are too short: the best of the catalogue's others, as by a plain search."""
    survey = replace(house(1), heaters=tuple(map(short, house(1).heaters)))
    change = told(survey)[_begins(OFFERED)]
    offered = {h.id for h in survey.heaters}
    others = [h for h in catalogue.heaters().values() if h.id not in offered and survey.site.fuel in h.fuels]
    least = cost_of(solved(replace(survey, heaters=tuple(h for h in others if h.indoors))))
    assert cost_of(solved(survey)) == inf
    assert change.design.total_cents == pytest.approx(least / CENT, abs=1)
    assert change.design.heater.id not in offered


def test_a_place_outdoors_is_told_where_it_would_do() -> None:
    """A house for heaters outdoors whose owner does not allow them there."""
    free = next(s for s in map(outdoor_house, range(20)) if solved(s).designs)
    survey = replace(free, preferences=replace(free.preferences, outdoors=False))
    if solved(survey).designs:
        survey = replace(survey, heaters=tuple(short(h) if h.indoors else h for h in survey.heaters))
        free = replace(free, heaters=survey.heaters)
    found = told(survey)
    assert found[OUTDOORS].design.total_cents == pytest.approx(cost_of(solved(free)) / CENT, abs=1)


def test_time_that_is_up_is_told() -> None:
    """Nothing tried is nothing known."""
    survey = by_windows(SEEDS[0])
    zones = Zones(build(survey), survey)
    found, untried = changes(zones.ground(survey, zones.whole), zones, time.monotonic(), INSPECTOR)
    assert found == ()
    assert untried
