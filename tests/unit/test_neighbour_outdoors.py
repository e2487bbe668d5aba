"""Zones that one heater makes for another where one of them hangs outdoors, against what the checker says."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

import pytest

from service.building.build import build
from service.building.model import Building
from service.check.jointly import joint_findings
from service.check.neighbours import as_left
from service.check.outdoors import outdoor_findings
from service.check.terminal import terminal_findings
from service.design import Design, JointDesign, Mount, Terminal
from service.rules.catalogue import heaters
from service.siting.neighbours import Apart, Neighbour
from service.survey.equipment import Draft, FlueOutlet, Heater
from service.survey.model import Preferences, Survey
from service.usecases.results import BROKEN
from tests.unit.joint_house import CEILING, two_dwellings
from tests.unit.test_neighbour_zones import bare, joint

OUT = heaters()["nc-outdoor-160"]
TRIES = 120
WALLS = (("us-2021", "co-direct-120"), ("ca-b149", "nc-direct-120"), ("us-2018", "co-room-199"))
KINDS = ("out beside out", "out beside end", "end beside out")
Seen = set[tuple[str, str, str]]


@cache
def outdoor_heater(flue_on_top: bool) -> Heater:
    """The catalogue's, not symmetrical, its flue on top of the case or in front of it."""
    assert OUT.outdoor is not None
    up = OUT.height_mm if flue_on_top else 400
    draft = Draft.DIRECT if flue_on_top else Draft.ROOM_AIR
    free = replace(OUT.outdoor.clearances, left_mm=100, right_mm=150, front_mm=300)
    listing = replace(OUT.outdoor, flue=FlueOutlet(130, up, 60, draft), clearances=free, openings_mm=0)
    return replace(OUT, outdoor=listing)


def outside(heater: Heater, facade_id: str, s: int, bottom: int) -> Design:
    """A heater outdoors without its pipes."""
    assert heater.outdoor is not None
    flue = Terminal(facade_id, s, bottom + heater.outdoor.flue.up_mm)
    return Design(heater, Mount("", s, bottom, facade_id), flue, (), False, False, (), 0)


def broken(survey: Survey, house: Building, design: Design) -> Seen:
    """What a place breaks in a house as it is."""
    found = list(terminal_findings(survey, house, design))
    found += outdoor_findings(survey, house, design) if design.outdoors else ()
    return {(f.rule_id, f.object_id, str(f.detail)) for f in found if f.verdict in BROKEN}


def refused(survey: Survey, house: Building, both: JointDesign) -> bool:
    """Whether one of two is in the other's way, by what it breaks that it would not break alone."""
    for dwelling, (_, design) in zip(survey.dwellings, both.designs, strict=True):
        left = as_left(survey, house, both, dwelling)
        if broken(left.survey, left.building, design) - broken(survey, house, design):
            return True
    apart = ("joint.terminals", "joint.cases")
    return any(f.rule_id in apart and f.verdict in BROKEN for f in joint_findings(survey, house, both))


def facade_of(house: Building, name: str) -> str:
    """The facade along the street, or that to the west round its corner."""
    axis, k = (0, 1) if name == "street" else (1, 0)
    return next(f.id for f in house.facades if f.axis == axis and f.start[k] < 0)


@pytest.mark.parametrize("on_top", [True, False])
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("rules", "heater"), WALLS)
def test_on_one_facade(rules: str, heater: str, kind: str, on_top: bool) -> None:
    """Exactly the places that the checker refuses, to the millimetre."""
    _held_against_the_checker(rules, heater, kind, on_top, "street")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("rules", "heater"), WALLS)
def test_round_a_corner(rules: str, heater: str, kind: str) -> None:
    """No place is open that the checker refuses."""
    _held_against_the_checker(rules, heater, kind, True, "west")


def _held_against_the_checker(rules: str, heater: str, kind: str, on_top: bool, where: str) -> None:
    r, own = Random(f"{rules} {kind} {where}"), outdoor_heater(on_top)
    survey = replace(
        two_dwellings((heater,), rules=rules), preferences=Preferences(outdoors=True),
    )  # fmt: skip
    house = build(survey)
    street, facade = facade_of(house, "street"), facade_of(house, where)
    s0 = 2_900 if where == "street" else 250
    there = outside(own, street, s0, 1_100) if kind.endswith("out") else bare(heater, HUNG, Terminal(street, s0, 1_300))
    apart = Apart(survey, house, Neighbour("left", there), None)
    known = apart.outdoors(own) if kind.startswith("out") else apart.terminal(heaters()[heater], None)
    zones, seen, tried = known[facade], 0, 0
    edges = sorted({v for q in zones for v in (q.s0, q.s1)})
    long = next(f.length_mm for f in house.facades if f.id == facade)
    for _ in range(TRIES):
        s = r.choice([r.randint(0, long), *(v + d for v in edges for d in (-1, 0, 1) if 0 <= v + d <= long)])
        z = r.choice([1_100, 1_300, r.randint(350, CEILING)])
        mine = outside(own, facade, s, z) if kind.startswith("out") else bare(heater, RIGHT, Terminal(facade, s, z))
        if broken(survey, house, mine):
            continue  # not lawful even alone: zones that lie off the walls are not told
        is_refused, tried = refused(survey, house, joint(survey, there, mine)), tried + 1
        covered = [q for q in zones if q.covers(s, z)]
        assert bool(covered) >= is_refused, (s, z)
        assert bool(covered) == is_refused or where != "street", (s, z, covered)
        seen += is_refused
    assert seen < tried and (seen or where != "street")


HUNG, RIGHT = Mount("ground/left/3", 1_000, 1_200), Mount("ground/right/3", 1_000, 1_200)
