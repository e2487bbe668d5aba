"""Zones that another heater makes against what the checker says of the same two places."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from service.building.build import build
from service.building.model import Building
from service.check.mount import mount_findings
from service.check.neighbours import as_left
from service.check.terminal import terminal_findings
from service.clearance.mount import mount_rules
from service.design import Design, JointDesign, Mount, Terminal
from service.rules.catalogue import heaters
from service.siting.neighbours import Apart, Neighbour
from service.survey.model import Survey
from service.usecases.results import BROKEN
from tests.property.depth import deep
from tests.unit.joint_house import CEILING, FAR, two_dwellings

PAIRS = (
    ("us-2021", "co-direct-120", "co-direct-199"), ("us-2021", "nc-direct-120", "co-room-199"),
    ("us-2018", "co-direct-199", "co-direct-199"), ("ca-b149", "co-direct-160", "nc-direct-120"),
)  # fmt: skip
TRIES = min(deep(300, 150), 300)


def bare(heater_id: str, mount: Mount, end: Terminal) -> Design:
    """A heater in its place, without runs."""
    return Design(heaters()[heater_id], mount, end, (), False, False, (), 0)


def joint(survey: Survey, left: Design, right: Design) -> JointDesign:
    """Two designs as a set, their gas left out."""
    nodes = (("left", "left heater"), ("right", "right heater"))
    return JointDesign((("left", left), ("right", right)), survey.gas, nodes, (), (), (), 0)


def meets_an_intake(survey: Survey, set_of_two: JointDesign, house: Building | None = None) -> bool:
    """Whether the checker finds either exhaust too near to the other's intake."""
    house = house or build(survey)
    for dwelling, (_, design) in zip(survey.dwellings, set_of_two.designs, strict=True):
        left = as_left(survey, house, set_of_two, dwelling)
        found = terminal_findings(left.survey, left.building, design)
        if any(f.verdict in BROKEN and f.object_id.startswith("intake of ") for f in found):
            return True
    return False


@pytest.mark.parametrize(("rules", "ours", "theirs"), PAIRS)
def test_terminals_on_one_wall(rules: str, ours: str, theirs: str) -> None:
    """Exactly the places that the checker refuses, to the millimetre, whichever of the two draws air there."""
    survey, r = two_dwellings((ours, theirs), rules=rules), Random(f"{rules} {ours}")
    house = build(survey)
    facade = next(f for f in house.facades if f.start[1] < 0 and f.axis == 0)
    hung = Mount("ground/left/3", 1_000, 1_200)
    end = Terminal(facade.id, 3_000, 1_500)
    other = bare(theirs, hung, end)
    zones = Apart(survey, house, Neighbour("left", other), None).terminal(heaters()[ours], None)[facade.id]
    edges = sorted({v for z in zones for v in (z.s0, z.s1, z.s0 - round(z.radius2**0.5), z.s1 + round(z.radius2**0.5))})
    refused = 0
    for _ in range(TRIES):
        s = r.choice([r.randint(0, FAR), *(v + d for v in edges for d in (-1, 0, 1))])
        z = r.choice([1_500, r.randint(200, 2_500)])
        own = bare(ours, Mount("ground/right/3", 1_000, 1_200), Terminal(facade.id, s, z))
        apart = (s - end.s_mm) ** 2 + (z - end.z_mm) ** 2
        radii = sum(h.vent.terminal_radius_mm for h in (heaters()[ours], heaters()[theirs]))
        broken = meets_an_intake(survey, joint(survey, other, own)) or apart < radii**2
        assert any(q.covers(s, z) for q in zones) == broken, (s, z)
        refused += broken
    assert 0 < refused < TRIES


def test_terminals_round_a_corner() -> None:
    """No place is open that the checker refuses."""
    survey, r = two_dwellings(("co-direct-199",), rules="ca-b149"), Random(1)
    house = build(survey)
    front = next(f for f in house.facades if f.start[1] < 0 and f.axis == 0)
    side = next(f for f in house.facades if f.start[0] < 0 and f.axis == 1)
    other = bare("co-direct-199", Mount("ground/left/3", 1_000, 1_200), Terminal(front.id, 300, 1_500))
    zones = Apart(survey, house, Neighbour("left", other), None).terminal(heaters()["co-direct-199"], None)[side.id]
    refused = 0
    for _ in range(TRIES):
        s, z = side.length_mm - r.randint(0, 1_500), r.randint(200, 2_500)
        own = bare("co-direct-199", Mount("ground/right/3", 1_000, 1_200), Terminal(side.id, s, z))
        broken = meets_an_intake(survey, joint(survey, other, own))
        assert any(q.covers(s, z) for q in zones) or not broken, (s, z)
        refused += broken
    assert refused


@pytest.mark.parametrize("theirs", ["left/1", "left/3", "left/4"])
def test_cases_in_one_room(theirs: str) -> None:
    """Exactly the places at which the checker finds a case in the listed space, the working space or the vent's line of
    the other, or the other in its own."""
    survey, r = two_dwellings(("co-direct-120",)), Random(theirs)
    survey = replace(survey, dwellings=tuple(replace(d, rooms=None) for d in survey.dwellings))
    house, case = build(survey), heaters()["co-direct-120"]
    rules = mount_rules(survey, case)
    work = next(q for q in rules if q.rule.relation == "working_space")
    face = next(f for f in house.faces if f.id == f"ground/{theirs}")
    none = Terminal(house.facades[0].id, 0, 0)
    hung = bare("co-direct-120", Mount(face.id, face.length_mm // 2, 1_200), none)
    apart = Apart(survey, house, Neighbour("left", hung), work)
    refused = 0
    for _ in range(TRIES):
        own_face = r.choice([f for f in house.faces if f.room_id == "left"])
        s, z = r.randint(0, own_face.length_mm), r.randint(0, CEILING - 700)
        own = bare("co-direct-120", Mount(own_face.id, s, z), none)
        closed = any(q.covers(s, z) for q in apart.mount(case, own_face, rules))
        assert closed == stands_in_the_way(survey, joint(survey, hung, own)), (own_face.id, s, z)
        refused += closed
    assert 0 < refused < TRIES


def stands_in_the_way(survey: Survey, two: JointDesign) -> bool:
    """Whether the checker finds a case in the other's way that is not in it when the other is not there."""
    house = build(survey)
    for dwelling, (_, design) in zip(survey.dwellings, two.designs, strict=True):
        left = as_left(survey, house, two, dwelling)
        beside, alone = (
            {f.rule_id for f in mount_findings(left.survey, b, design)
             if f.verdict in BROKEN and "case of" in str(f.detail)}
            for b in (left.building, house)
        )
        if beside - alone:
            return True
    return False
