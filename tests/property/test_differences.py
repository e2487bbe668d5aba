"""What two designs differ in: what the checker takes from both (quantities, places) against what is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from functools import cache

import pytest

from service.building.build import build
from service.check.prices import quantities
from service.design import Design, Mount, Piece, Service, Surface, Terminal
from service.differs_summary import differs_text
from service.siting.features import Featured
from service.siting.ground import ground_of
from service.siting.zones import Zones
from service.survey.model import UnitSystem
from service.usecases.differences import Aspect, differences
from service.usecases.explain_results import Rival
from tests.property.houses import house
from tests.property.solving import solved, solved_house
from tests.property.test_sureness import SEEDS, survey_of, told_of

HOUSES = (0, 1, 4, 9)
UNTOLD = {"heater", "lines", "total_cents", "given", "weighed_cents", "air_openings", "mount", "terminal", "gas",
          "sleeves"}  # fmt: skip


@cache
def design() -> Design:
    """Any design."""
    return next(d for seed in HOUSES for d in solved_house(seed).designs)


def told(other: Design, own: Design) -> list[tuple[str, str | None, int | None]]:
    """What is told, without the words."""
    found = differences(other, own, UnitSystem.SI)
    return [(d.aspect.value, d.service and d.service.value, d.by_mm) for d in found]


def _moved(own: Design) -> Design:
    return replace(own, mount=replace(own.mount, s_mm=own.mount.s_mm + 120, bottom_z_mm=own.mount.bottom_z_mm - 7))


def _ended(own: Design) -> Design:
    end = own.terminal
    assert isinstance(end, Terminal)
    return replace(own, terminal=replace(end, s_mm=end.s_mm + 30, z_mm=end.z_mm + 40))


def _longer(own: Design) -> Design:
    run = own.route(Service.HOT)
    assert run is not None
    end = run.pieces[-1].end
    more = Piece(end, (end[0] + 250, end[1], end[2]), Surface.WALL)
    grown = replace(run, pieces=(*run.pieces, more), elbows=run.elbows + 1)
    return replace(own, routes=tuple(grown if r is run else r for r in own.routes))


def _larger(own: Design) -> Design:
    return replace(own, routes=tuple(replace(r, option="9") if r.service is Service.GAS else r for r in own.routes))


CHANGES: list[tuple[Callable[[Design], Design], list[tuple[str, str | None, int | None]]]] = [
    (_moved, [("place_on_wall", None, 120), ("height", None, 7)]),
    (_ended, [("place_of_terminal", None, 50)]),
    (_longer, [("route", "hot", 250)]),
    (_larger, [("size", "gas", None)]),
    (lambda d: replace(d, mount=Mount("another", 0, 0)), [("wall", None, None)]),
    (lambda d: replace(d, meter_upgrade=not d.meter_upgrade), [("meter", None, None)]),
    (lambda d: replace(d, gas=replace(d.gas, pressure_option="2 psi")), [("delivery_pressure", None, None)]),
    (lambda d: replace(d, cold_fitting=not d.cold_fitting), [("cold_fitting", None, None)]),
]


@pytest.mark.parametrize(("change", "expected"), CHANGES)
def test_each_change_made_by_hand_is_told_and_nothing_else(
    change: Callable[[Design], Design], expected: list[tuple[str, str | None, int | None]]
) -> None:
    """A design that was changed in one thing, both ways round; by itself it differs in nothing."""
    own = change(design())
    assert told(design(), own) == expected
    assert [t[:2] for t in told(own, design())] == [e[:2] for e in expected]
    assert told(own, own) == []


def test_every_part_of_a_design_is_told() -> None:
    """Or a new part would be forgotten: what is not told is told by the features, the bill, or in parts."""
    compared = {"routes", "meter_upgrade", "cold_fitting", "air", "water_items", "intake"}
    assert {f.name for f in fields(Design)} == UNTOLD | compared


@pytest.mark.parametrize("seed", HOUSES)
def test_designs_that_use_other_things_differ_in_something(seed: int) -> None:
    """Each pair of designs of a house of which the checker counts other quantities, or the case hangs elsewhere."""
    survey = house(seed)
    building = build(survey)
    designs = [d for s in (survey, replace(survey, heaters=survey.heaters[:1])) for d in solved(s).designs]
    for one in designs:
        for other in designs:
            alike = quantities(survey, building, one) == quantities(survey, building, other)
            assert (alike and one.mount == other.mount) or told(one, other) or one.heater != other.heater


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_rivals_with_the_winners_features_are_told_apart(seed: int) -> None:
    """Each rival at the end of a range costs otherwise at other prices, so it differs, and that is told in words."""
    survey = survey_of(seed)
    building = build(survey)
    winner = Featured(ground_of(survey, building), Zones(building, survey)).of(solved(survey).designs[0])
    rivals = [end.rival for p in told_of(seed).prices for end in (p.low, p.high) if end.rival is not None]
    assert rivals
    for rival in rivals:
        assert rival.features != winner or rival.differs or rival.heater != solved(survey).designs[0].heater.label
        worth = [d for d in rival.differs if d.by_mm is None or abs(d.by_mm) > 25] or rival.differs
        assert _words(rival).count(";") == max(len(worth) - 1, 0)


def _words(rival: Rival) -> str:
    answer = {"units": {"length": "m"}}
    told = [
        {"what": d.aspect.value, "run": d.service and d.service.value, "other": "a", "this": "b",
         "by": None if d.by_mm is None else d.by_mm / 1000}
        for d in rival.differs
    ]
    return differs_text(told, answer)


def test_aspects_are_words() -> None:
    """As the interface writes them."""
    assert all(a.value == a.value.lower() and " " not in a.value for a in Aspect)
