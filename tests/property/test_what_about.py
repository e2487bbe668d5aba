"""Places asked about: against brute force, the answer without the question, and the checker height by height."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from math import inf

import pytest

from service.building.build import build
from service.building.model import Building
from service.check.terminal import terminal_findings
from service.design import NO_MOUNT, Design, Mount, Part, Terminal
from service.settings import Settings
from service.survey.equipment import MONEY_SCALE, Heater
from service.survey.model import AskedMount, AskedTerminal, Point2, Preferences, Question, Survey
from service.usecases.place import place
from service.usecases.results import BROKEN, HereAnswer, Status
from tests.property.brute_force import cheapest, lines_of
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.outdoor_houses import outdoor_house
from tests.property.two_vents import with_larger

SETTINGS = Settings(solver_seconds=60)
SEEDS = range(deep(3))
OUTDOORS = range(deep(2))
pytestmark = pytest.mark.usefixtures("no_ways_out")


def asked(survey: Survey, question: Question) -> tuple[HereAnswer, int | None]:
    """The answer to a question, and what the best design of the house costs [cents]."""
    found = place(replace(survey, what_about=(question,)), SETTINGS)
    (here,) = found.what_about
    return here, found.proof.cost_cents


def middle_of(building: Building, design: Design) -> tuple[str, Point2, int]:
    """Room and plan point of the case's middle (the one 1 mm beside it where a case is of odd width), and the
    height of its underside over the floor."""
    face = building.face(design.mount.face_id)
    s = design.mount.s_mm + design.heater.vent_dx_mm - design.heater.width_mm // 2
    height = design.mount.bottom_z_mm - building.room(face.room_id).floor_z
    return face.room_id, building.frame.to_survey(face.point(s)), height


@pytest.mark.parametrize("seed", SEEDS)
def test_asking_about_the_best_place_gives_the_best_design(seed: int) -> None:
    """Held to its own mount and terminal, a house's best design comes back at no extra cost."""
    survey = house(seed)
    building, first = build(survey), place(survey, SETTINGS)
    assert first.status in (Status.OPTIMAL, Status.INFEASIBLE)
    if first.status is Status.INFEASIBLE:
        return
    best = first.designs[0].design
    room, at, height = middle_of(building, best)
    facade = building.facade(best.terminal.facade_id)
    ground = max(g.z for g in facade.grade if g.s0 <= best.terminal.s_mm <= g.s1)
    end = AskedTerminal(building.frame.to_survey(facade.point(best.terminal.s_mm)), best.terminal.z_mm - ground)
    here, cost = asked(survey, Question("same", AskedMount(room, at, height), end))
    assert here.status is Status.OPTIMAL
    assert here.design is not None
    assert here.design.design.total_cents == here.cost_cents == cost
    assert here.bound_cents == here.objective_cents
    assert {cents for _, cents in here.extra_by_trade} == {0}


@cache
def line_answer(seed: int) -> tuple[str, int, HereAnswer, int | None]:
    """A wall and a place along it, taken at random; the answer about it, and the cost of the best design."""
    survey, rng = house(seed), random.Random(seed)
    building = build(survey)
    face = rng.choice(building.faces)
    s = rng.randrange(200, max(face.length_mm - 200, 201))
    at = building.frame.to_survey(face.point(s))
    return face.id, s, *asked(survey, Question("line", AskedMount(face.room_id, at)))


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_brute_force_finds_nothing_cheaper_at_the_place(seed: int) -> None:
    """Over all heights and heaters at one line of one wall, judged by the checker, on a grid that holds the line."""
    survey, (face_id, s, here, best) = house(seed), line_answer(seed)
    building = build(survey)
    axis = building.face(face_id).axis
    found = [] if here.design is None else lines_of(here.design.design)
    lines = [(axis, p) for p in _vent_lines(survey, building, face_id, s)] if axis is not None else []
    brute = cheapest(survey, (*found, *lines), lambda heater, mount: _hangs_at(heater, mount, face_id, s))
    ours = inf if here.design is None else here.design.design.total_cents
    assert here.status is (Status.INFEASIBLE if here.design is None else Status.OPTIMAL)
    assert ours * MONEY_SCALE <= (inf if brute is None else brute[0]) + MONEY_SCALE
    assert ours >= (inf if best is None else best)
    assert here.design is None or _hangs_at(here.design.design.heater, here.design.design.mount, face_id, s)


def test_places_are_lawful_and_unlawful() -> None:
    """The random places are not all of one kind, or the tests here would say little."""
    answers = [line_answer(seed)[2] for seed in SEEDS] + [end_answer(seed)[2] for seed in SEEDS]
    assert {here.status for here in answers} == {Status.OPTIMAL, Status.INFEASIBLE}
    assert any(here.refused for here in answers)


@pytest.mark.parametrize("seed", OUTDOORS)
def test_heaters_for_outdoors_are_left_aside(seed: int) -> None:
    """Listed first and with two vents for each of the others: what hangs in a room is the same as without it."""
    survey = with_larger(house(seed), seed)
    outdoor = replace(outdoor_house(seed).heaters[0], id="a first one")
    beside = replace(survey, heaters=(outdoor, *survey.heaters), preferences=Preferences(outdoors=True))
    face = random.Random(seed).choice(build(survey).faces)
    at = build(survey).frame.to_survey(face.point(face.length_mm // 2))
    question = Question("line", AskedMount(face.room_id, at))
    here, plain = asked(beside, question)[0], asked(survey, question)[0]
    assert (here.status, here.design and here.design.design.total_cents) == (
        plain.status, plain.design and plain.design.design.total_cents,
    )  # fmt: skip


def _to_line(heater: Heater) -> int:
    """From the case's middle to the vent port's line: s runs from right to left as one faces the wall."""
    return heater.width_mm // 2 - heater.vent_dx_mm


def _hangs_at(heater: Heater, mount: Mount, face_id: str, s: int) -> bool:
    return (mount.face_id, mount.s_mm) == (face_id, s + _to_line(heater))


def _vent_lines(survey: Survey, building: Building, face_id: str, s: int) -> list[int]:
    """Coordinates of the vent ports' lines of all heaters with their cases' middles at ``s``."""
    face = building.face(face_id)
    axis = face.axis or 0
    return [face.point(s + _to_line(h))[axis] for h in survey.heaters]


@cache
def end_answer(seed: int) -> tuple[str, int, HereAnswer]:
    """A facade and a place along it, taken at random, and the answer about a terminal there."""
    survey, rng = house(seed), random.Random(1_000 + seed)
    building = build(survey)
    facade = rng.choice([f for f in building.facades if f.length_mm > 500 and f.spans])
    s = rng.randrange(0, facade.length_mm)
    end = AskedTerminal(building.frame.to_survey(facade.point(s)))
    return facade.id, s, asked(survey, Question("end", terminal=end))[0]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_refused_terminal_is_lawful_at_no_height(seed: int) -> None:
    """Where a question about a terminal alone is refused, the checker passes it at no height on the wall; and what is
    told as broken is broken at the height told."""
    survey, (facade_id, s, here) = house(seed), end_answer(seed)
    building = build(survey)
    facade = building.facade(facade_id)
    refused = {h for r in here.refused for h in r.heaters}
    for heater in (h for h in survey.heaters if h.label in refused):
        lo, hi = min(z for _, _, z, _ in facade.spans), max(z for _, _, _, z in facade.spans)
        assert not [z for z in range(lo, hi + 1, 40) if _passes(survey, building, heater, Terminal(facade.id, s, z))]
    for refusal in here.refused:
        assert refusal.broken
        assert all(f.verdict in BROKEN for f in refusal.broken)


def _passes(survey: Survey, building: Building, heater: Heater, terminal: Terminal) -> bool:
    bare = Design(heater, NO_MOUNT, terminal, (), False, False, (), 0, given=frozenset({Part.TERMINAL}))
    return not any(f.verdict in BROKEN for f in terminal_findings(survey, building, bare))
