"""Zones that one heater's vent makes for another's where one of them ends over a roof, against the checker."""

from __future__ import annotations

from dataclasses import replace
from math import isqrt
from random import Random

import pytest

from service.building.build import build
from service.building.model import Building
from service.check.terminal import terminal_findings
from service.clearance.model import spec_of
from service.clearance.roof import rise_on
from service.clearance.terminal import terminal_zones
from service.design import Mount, RoofTerminal, Terminal
from service.rules.catalogue import heaters
from service.rules.rulesets import rule_set, rule_set_ids
from service.siting.neighbours import Apart, Neighbour
from service.siting.terminals import place_of
from service.survey.model import Measuring, Survey
from service.survey.roof import Roof, RoofOpening, RoofOpeningKind
from service.usecases.results import BROKEN
from tests.unit.joint_house import FAR, over_both, two_dwellings
from tests.unit.test_neighbour_zones import bare, joint, meets_an_intake

End = Terminal | RoofTerminal
PAIRS = (
    ("us-2021", "co-direct-120", "co-direct-199"), ("us-2021", "nc-direct-120", "co-room-199"),
    ("us-2018", "co-direct-199", "co-direct-120"), ("ca-b149", "co-direct-160", "nc-direct-120"),
)  # fmt: skip
TRIES = 50
HUNG = Mount("ground/left/3", 1_000, 1_200)
HOLES = 4
"""Kinds of what opens in a roof that some rule keeps every terminal from: all but a fixed skylight."""


def over(survey: Survey, building: Building, heater_id: str, at: tuple[int, int]) -> RoofTerminal:
    """The end of a heater's vent over the plane that a point is under, as high as it is led there."""
    plane = next(p for p in building.roof if min(y for _, y in p.outline) <= at[1] <= max(y for _, y in p.outline))
    rise = rise_on(survey, spec_of(heaters()[heater_id]), plane)
    assert rise is not None
    return RoofTerminal(plane.id, *at, plane.height_mm(*at) + rise)


def in_front(building: Building, s: int, z: int) -> Terminal:
    """An end in the wall along the street."""
    return Terminal(next(f.id for f in building.facades if f.start[1] < 0 and f.axis == 0), s, z)


def standing(building: Building, end: End) -> tuple[tuple[int, int], int, int]:
    """Plan point, and heights from the roof up to the opening [mm]."""
    if isinstance(end, Terminal):
        return building.facade(end.facade_id).point(end.s_mm), end.z_mm, end.z_mm
    return (end.x_mm, end.y_mm), building.roof_plane(end.roof_id).height_mm(end.x_mm, end.y_mm), end.z_mm


def apart_mm(building: Building, a: End, b: End) -> int:
    """Distance of two axes: geometry, in plan where both are over a roof."""
    (p, low, high), (q, bottom, top) = standing(building, a), standing(building, b)
    up = 0 if isinstance(a, RoofTerminal) and isinstance(b, RoofTerminal) else max(low - top, bottom - high, 0)
    return isqrt((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + up**2)


@pytest.mark.parametrize("pitch", [0.0, 6.0])
@pytest.mark.parametrize("kind", ["roof to roof", "wall to roof", "roof to wall"])
@pytest.mark.parametrize(("rules", "ours", "theirs"), PAIRS)
def test_ends_over_a_roof(rules: str, ours: str, theirs: str, kind: str, pitch: float) -> None:
    """Exactly the places that the checker refuses, to the millimetre; on a pitched roof, where one of the two is in a
    wall, no place is open that it refuses."""
    r, roof = Random(f"{rules} {kind}"), over_both(pitch, 20)
    survey = replace(two_dwellings((ours, theirs), rules=rules), roof=roof)
    house = build(survey)
    end = in_front(house, 3_000, 2_650) if kind.startswith("wall") else over(survey, house, theirs, (3_000, 60))
    other = bare(theirs, HUNG, end)
    every = Apart(survey, house, Neighbour("left", other), None).terminal(heaters()[ours], None)
    radii = sum(h.vent.terminal_radius_mm for h in (heaters()[ours], heaters()[theirs]))
    refused = 0
    for _ in range(TRIES):
        x = r.choice([3_000, r.randint(1_000, 5_000)])
        at: End = over(survey, house, ours, (x, r.choice([60, r.randint(0, 3_000)])))
        if kind.endswith("wall"):
            at = in_front(house, x + 150, r.randint(1_500, 2_700))
        surface, *place = place_of(at)
        near = [z for z in every[surface] if z.covers(*place)]
        own = bare(ours, replace(HUNG, face_id="ground/right/3"), at)
        broken = meets_an_intake(survey, joint(survey, other, own), house) or apart_mm(house, end, at) < radii
        assert bool(near) >= broken, (at, near)
        assert bool(near) == broken or (pitch and kind != "roof to roof"), (at, near)
        refused += broken
    assert refused < TRIES and (refused or (pitch and kind == "roof to wall"))


@pytest.mark.parametrize("rules", rule_set_ids())
def test_rules_on_inlets_can_be_told_from_the_inlet(rules: str) -> None:
    """What keeps an exhaust from a combustion inlet is a distance or a box in every rule set: of no other relation is
    it known how it looks from the inlet's side."""
    found = {r.relation for r in rule_set(rules).rules if "combustion_inlet" in r.objects and r.required}
    assert found <= {"radial", "beside_below_above"}


@pytest.mark.parametrize("measuring", list(Measuring))
@pytest.mark.parametrize("rules", ["us-2021", "us-2015", "ca-b149"])
def test_terminal_in_a_wall_keeps_from_what_opens_in_the_roof(rules: str, measuring: Measuring) -> None:
    """A skylight, a hatch and inlets over the eave count for a terminal below it: zones and checker agree."""
    r, kinds = Random(rules), list(RoofOpeningKind)
    openings = tuple(
        RoofOpening(k.value, k, ((x, 0), (x + 400, 0), (x + 400, 300), (x, 300)), 100, None)
        for k, x in zip(kinds, range(200, FAR, 1_200), strict=False)
    )
    survey = replace(two_dwellings(("co-room-199",), rules=rules), roof=replace(over_both(4.0), openings=openings))
    survey = replace(survey, site=replace(survey.site, measuring=measuring))
    house = build(survey)
    front = in_front(house, 0, 0).facade_id
    heater = heaters()["co-room-199"]
    zones = [z for z in terminal_zones(house, survey, spec_of(heater))[front] if z.object_id in kinds]
    seen = set()
    for _ in range(400):
        s, z = r.randint(0, FAR), r.randint(1_500, 2_700)
        found = terminal_findings(survey, house, bare(heater.id, HUNG, Terminal(front, s, z)))
        broken = {f.object_id for f in found if f.object_id in kinds and f.verdict in BROKEN}
        assert broken == {q.object_id for q in zones if q.covers(s, z)}, (s, z)
        seen |= broken
    assert len(seen) >= HOLES


def test_a_flat_roof_taken_for_want_of_a_word_is_one_for_both() -> None:
    """A survey that says no more than that there is a roof has it over both dwellings."""
    survey = replace(two_dwellings(), roof=Roof())
    assert len(build(survey).roof) == 1
