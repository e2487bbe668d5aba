"""Houses without a lawful design: what would open one, against the plain search with rules dropped by amendment and
against brute force."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

import pytest

from service.building.build import build
from service.design import Finding, Verdict
from service.settings import Settings
from service.siting.ground import ground_of
from service.siting.lifted import rules_of_places, smallest_hitting
from service.siting.lifts import VENT_RUN as RUN
from service.siting.zones import Zones
from service.survey.equipment import MONEY_SCALE, Heater
from service.survey.model import Amendment, Survey
from service.usecases import deadlock, inspector
from service.usecases.place import INSPECTOR, place
from service.usecases.results import Deadlock, Placement, Status
from tests.once import placed
from tests.property.brute_force import cheapest, lines_of
from tests.property.houses import house
from tests.property.solving import solved as solved_alone
from tests.scenarios.scenarios import solved

SETTINGS = Settings(solver_seconds=60)
BY_RULES = (1015, 1024)
SHORT = (1,)
LENGTH = "vent.equivalent"


def short(heater: Heater) -> Heater:
    """With a vent that hardly reaches through a wall."""
    vent = replace(heater.vent, max_equivalent_mm=heater.vent_rise_mm + 150)
    return replace(heater, vent=vent, vents=())


def unlimited(heater: Heater) -> Heater:
    """With a vent of any length that rises as far before its first turn."""
    long = replace(heater, vent=replace(heater.vent, max_equivalent_mm=50_000, max_elbows=None))
    first = heater.vent.first_elbow_mm + heater.vent_rise_mm - long.vent_rise_mm
    return replace(heater, vent=replace(long.vent, first_elbow_mm=first))


@cache
def survey_of(seed: int) -> Survey:
    """A house without a lawful design: by rules on places, or by the limits of the vents' runs."""
    survey = house(seed)
    return survey if seed in BY_RULES else replace(survey, heaters=tuple(map(short, survey.heaters)))


@cache
def answer(seed: int) -> Placement:
    """What is said of it."""
    return placed(survey_of(seed), SETTINGS)


def deadlock_of(seed: int) -> Deadlock:
    """The part of the answer that is tested here."""
    found = answer(seed).deadlock
    assert answer(seed).status is Status.INFEASIBLE
    assert found is not None and found.complete
    return found


def without(survey: Survey, rules: Iterable[str]) -> Survey:
    """The same house where local amendments drop some rules, and listings let vents be long."""
    dropped = tuple(Amendment(r, None, "for the test") for r in sorted(set(rules) - RUN))
    heaters = survey.heaters
    if RUN & set(rules):
        heaters = tuple(map(unlimited, heaters))
    site = replace(survey.site, amendments=(*survey.site.amendments, *dropped))
    return replace(survey, site=site, heaters=heaters)


@pytest.mark.slow
@pytest.mark.parametrize("seed", (*BY_RULES, *SHORT))
def test_lifting_opens_the_design_and_less_does_not(seed: int) -> None:
    """With just these rules dropped by amendment the main job gives a design at the cost told, and brute force, given
    its lines, none that is cheaper; with any one of them kept there is none."""
    assert deadlock_of(seed).ways_out
    for way in deadlock_of(seed).ways_out:
        freed = without(survey_of(seed), way.rules)
        found = place(freed, SETTINGS)
        assert found.proof.cost_cents == way.design.total_cents
        brute = cheapest(freed, lines_of(found.designs[0].design))
        assert brute is not None and way.design.total_cents * MONEY_SCALE <= brute[0] + MONEY_SCALE
        for kept in set(way.rules) - RUN | ({LENGTH} if RUN & set(way.rules) else set()):
            less = without(survey_of(seed), set(way.rules) - ({kept} if kept not in RUN else RUN))
            assert solved_alone(less).designs == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", (*BY_RULES, *SHORT))
def test_the_blocking_set_blocks_alone_and_each_of_it_counts(seed: int) -> None:
    """With every other rule on places dropped there is no design; with any one of the set dropped too there is."""
    blocking = set(deadlock_of(seed).blocking)
    others = (rules_of_places(survey_of(seed)) | RUN) - blocking - (RUN if blocking & RUN else set())
    assert blocking
    assert solved_alone(without(survey_of(seed), others)).designs == []
    for one in blocking:
        assert solved_alone(without(survey_of(seed), others | {one})).designs


def test_smallest_hitting_sets_by_hand() -> None:
    """One rule that all have; two where none is common; nothing hits an empty set."""
    assert smallest_hitting([frozenset("ab"), frozenset("bc"), frozenset("bd")]) == {"b"}
    assert len(smallest_hitting([frozenset("ab"), frozenset("cd"), frozenset("ac")])) == 2
    with pytest.raises(ValueError, match="empty"):
        smallest_hitting([frozenset()])


def test_the_sample_plan_says_what_would_do() -> None:
    """By hand: the rear's middle lies 2,887 mm from the shop's intake, 3,048 mm (10 ft) are asked for; the front lies
    over the pavement, which no less than 1,016 mm would clear. Each alone would do, and together they leave nothing."""
    found = solved("no_lawful_place").answer.deadlock
    assert found is not None and found.complete and not found.why, found.why
    assert [w.rules for w in found.ways_out] == [("US21-K",), ("US21-LN",)]
    assert found.blocking == ("US21-K", "US21-LN")
    (inlet,) = found.ways_out[0].broken
    assert (inlet.object_id, inlet.required_mm) == ("shop-air-intake", 3048)


def test_ways_beyond_the_most_are_told_of(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of two ways one is looked for: the answer says that there may be more, but what blocks is still proven."""
    survey = solved("no_lawful_place").survey  # solved first: others of this run look at that answer
    monkeypatch.setattr(deadlock, "MOST_WAYS", 1)
    found = again(survey)
    assert (len(found.ways_out), found.complete, found.why) == (1, False, deadlock.CAPPED)
    assert found.blocking == ("US21-K", "US21-LN")


@pytest.mark.parametrize(("verdict", "why"), [(Verdict.UNKNOWN, deadlock.REFUSED), (None, deadlock.BEYOND)])
def test_a_doubt_of_the_checker_is_no_proof_that_there_is_no_design(
    monkeypatch: pytest.MonkeyPatch, verdict: Verdict | None, why: str
) -> None:
    """Were every design refused for another rule, or found lawful, nothing would be known, and nothing is claimed."""
    told = () if verdict is None else (Finding("gas.size", verdict, "gas", "x", "", None, None, ""),)
    monkeypatch.setattr(inspector, "findings", lambda *_: told)
    monkeypatch.setattr(deadlock, "changes", lambda *_: ((), ()))
    found = again(survey_of(1034))
    assert (found.ways_out, found.blocking, found.complete, found.why) == ((), (), False, why)


def test_time_that_ends_is_told() -> None:
    """Without a second to search in nothing is known."""
    found = again(survey_of(1034), seconds=0.0)
    assert (found.ways_out, found.blocking, found.complete, found.why) == ((), (), False, deadlock.CUT_OFF)


def test_no_wall_can_be_lifted() -> None:
    """That a case or a terminal has a wall behind it, and its pipes their room, is no rule to be excused from."""
    liftable = rules_of_places(house(0))
    assert not liftable & {"WALL", "IN-WALL", "MT1", "MT3", "MT4"}
    assert "SNOW" in liftable


def again(survey: Survey, seconds: float = 60.0) -> Deadlock:
    """The deadlock of a house, anew."""
    building = build(survey)
    return deadlock.deadlock(ground_of(survey, building), Zones(building, survey), seconds, INSPECTOR)


def test_a_lawful_house_has_no_deadlock() -> None:
    """Nothing is told where there is a design."""
    assert solved("slab_house").answer.deadlock is None
