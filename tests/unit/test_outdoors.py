"""Heaters hung outdoors: intake, published distances at the flue outlet, the checker on wrong designs, round trips."""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from service.building.build import build
from service.building.model import GradeStep
from service.check.check import findings
from service.check.terminal import terminal_findings
from service.clearance.model import spec_of
from service.clearance.terminal import terminal_zones
from service.design import Design, Mount, Part, Piece, Service, Surface, Terminal, Verdict
from service.errors import InvalidRequest
from service.http.answer import clearances_json, placement_json
from service.http.catalogue_json import heater_entry
from service.http.design_schema import load_design
from service.http.schemas import load_survey
from service.routing.ends import Anchor
from service.rules.catalogue import heaters
from service.settings import Settings
from service.siting.needs import needs_of
from service.siting.power import power_ways
from service.summary import placement_text
from service.survey.equipment import NO_VENT, Category, Draft, Heater
from service.survey.model import Survey
from service.usecases.check import check
from service.usecases.clearances import clearances
from tests.scenarios.scenarios import document, solved
from tests.unit.clearance_site import hole, inches, outside, survey
from tests.unit.test_check_zones import draft_design

NAME = "stucco_bungalow"
OUTDOOR = heaters()["nc-outdoor-160"]
DEPTH = 10_000


@cache
def answer() -> dict[str, Any]:
    """The bungalow's answer as JSON."""
    plan = solved(NAME)
    told: dict[str, Any] = json.loads(json.dumps(placement_json(plan.answer, plan.survey)))
    return told


def first_design() -> dict[str, Any]:
    """Its design, to be changed."""
    return copy.deepcopy(answer()["designs"][0])


def faults_of(change: dict[str, Any]) -> set[tuple[str, str]]:
    """Faults of the bungalow with an own heater changed."""
    raw = document(NAME)
    entry = heater_entry(OUTDOOR) | change
    raw["heaters"] = [{k: v for k, v in entry.items() if v is not None}]
    try:
        load_survey(raw, Settings())
    except InvalidRequest as error:
        return {(f.pointer, f.code) for f in error.faults}
    return set()


def judged(survey_: Survey, design: Design) -> set[str]:
    """Rules that fail or stay open."""
    found = findings(survey_, build(survey_), design)
    return {f.rule_id for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)}


# intake


def test_an_own_heater_for_outdoors_only_needs_no_vent() -> None:
    """The catalogue's entry can be copied into a survey; its listing is read back whole."""
    assert faults_of({}) == set()
    raw = document(NAME)
    raw["heaters"] = [json.loads(json.dumps(heater_entry(OUTDOOR)))]
    (read,) = load_survey(raw, Settings()).heaters
    assert read.outdoor == OUTDOOR.outdoor and read.vent == NO_VENT and not read.indoors


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"outdoor": None}, ("#/heaters/0/vent", "missing")),
        ({"outdoor_listed": False}, ("#/heaters/0/outdoor", "contradiction")),
        ({"outdoor": {"flue": {"dx": 1}}}, ("#/heaters/0/outdoor/clearances", "missing")),
    ],
)
def test_faults_of_a_listing(change: dict[str, Any], fault: tuple[str, str]) -> None:
    """Each at its place."""
    assert fault in faults_of(change)


@pytest.mark.parametrize(("part", "value"), [("dx", 411), ("up", 611)])
def test_an_outlet_beside_the_case_is_refused(part: str, value: int) -> None:
    """The case is 410 wide and 610 high [mm]."""
    entry = heater_entry(OUTDOOR)["outdoor"]
    entry["flue"] = entry["flue"] | {part: {"value": value, "unit": "mm"}}
    assert (f"#/heaters/0/outdoor/flue/{part}", "outside_case") in faults_of({"outdoor": entry})


def test_wishes_are_one_of_two_words() -> None:
    """Anything else is a fault."""
    raw = document(NAME)
    raw["preferences"] = {"outdoors": True}
    with pytest.raises(InvalidRequest) as caught:
        load_survey(raw, Settings())
    assert ("#/preferences/outdoors", "not_a_choice") in {(f.pointer, f.code) for f in caught.value.faults}


def test_silence_is_no_permission_and_is_told() -> None:
    """Nobody who says nothing gets a heater on his facade."""
    raw = document(NAME)
    del raw["preferences"]["outdoors"]
    read = load_survey(raw, Settings())
    assert not read.preferences.outdoors
    assert any("may hang outdoors, so none does (nc-outdoor-160)" in a for a in read.assumptions)


def test_the_catalogue_offers_it_only_where_the_outdoors_is_allowed() -> None:
    """Answers of surveys that name no heater stay what they were."""
    raw = document(NAME)
    del raw["heaters"]
    offered = {h.id for h in load_survey(raw, Settings()).heaters}
    raw["preferences"] = {}
    assert offered - {h.id for h in load_survey(raw, Settings()).heaters} == {"nc-outdoor-160"}


def test_without_a_price_it_is_not_offered() -> None:
    """A missing optional price is never a zero."""
    at = solved(NAME).survey
    items = {k: p for k, p in at.prices.items.items() if k != "mount.outdoors"}
    needs, left_out = needs_of(replace(at, prices=replace(at.prices, items=items)))
    assert not any(n.outdoors for n in needs)
    assert any("the price book has no mount.outdoors" in reason for reason in left_out)


def test_a_heater_listed_for_both_may_hang_in_either_place() -> None:
    """Two needs, one heater; refused, one."""
    at = solved(NAME).survey
    both = replace(heaters()["nc-direct-160"], vents=(), outdoor=OUTDOOR.outdoor, outdoor_listed=True)
    allowed = replace(at, heaters=(both,))
    assert [n.outdoors for n in needs_of(allowed)[0]] == [False, True]
    none = replace(allowed, preferences=replace(at.preferences, outdoors=False))
    assert ([n.outdoors for n in needs_of(none)[0]], needs_of(none)[1]) == ([False], ())
    assert [n.behind for n in needs_of(allowed)[0]] == [None, None]  # neither bounds the other


# published check values at the flue outlet (vent and location notes, section 9; OT15)


def verdicts(heater: Heater, s: int, z: int, holes: tuple[Any, ...], grade: int = -3_000) -> set[str]:
    """Rules that a flue outlet breaks, by checker and by zones alike."""
    home, at = outside(holes={0: holes}, grade=grade), survey("us-2018")
    design = draft_design(heater, Mount("", s, z, "F0"), Terminal("F0", s, z))
    found = terminal_findings(at, home, design)
    by_checker = {f.rule_id for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)}
    zones = terminal_zones(home, at, spec_of(heater, outdoors=True))["F0"]
    assert by_checker == {q.rule_id for q in zones if q.covers(s, z)}
    return by_checker


WINDOW = hole(5_000, 6_000, 1_000, 2_000)
RADIUS = OUTDOOR.outlet(outdoors=True).radius_mm


@pytest.mark.parametrize(
    ("s", "z", "lawful"),
    [
        (6_000 + inches(47.9) + RADIUS, 1_500, False),  # row 8: 47.9 in beside a window
        (6_000 + inches(48) + RADIUS, 1_500, True),
        (5_500, 1_000 - inches(48) - RADIUS, True),  # row 9: 48 in below the sill
        (5_500, 1_000 - inches(47.9) - RADIUS, False),
        (5_500, 2_000 + inches(12) + RADIUS, True),  # row 10: 12 in above the head
        (5_500, 2_000 + inches(11.9) + RADIUS, False),
    ],
)
def test_rows_8_to_10_non_direct_distances_at_the_flue_outlet(s: int, z: int, lawful: bool) -> None:
    """IFGC 503.8 items (read), applied to the outlet of a heater outdoors (OT15, common practice)."""
    assert (verdicts(OUTDOOR, s, z, (WINDOW,)) == set()) is lawful


@pytest.mark.parametrize(("over", "lawful"), [(11.9, False), (12, True)])
def test_row_16_outlet_over_the_ground(over: float, lawful: bool) -> None:
    """Bottom of the outlet 12 in over finished ground (read)."""
    assert (verdicts(OUTDOOR, 3_000, inches(over) + RADIUS, (), grade=0) == set()) is lawful


def test_a_listing_may_say_that_direct_vent_rules_hold() -> None:
    """Listed at 150,000 Btu/h or less: 12 in in any direction (DV3, memory) in place of 4 ft beside (ND2)."""
    assert OUTDOOR.outdoor is not None
    own = replace(OUTDOOR.outdoor, flue=replace(OUTDOOR.outdoor.flue, judged_as=Draft.DIRECT))
    small = replace(OUTDOOR, outdoor=own, input_max_w=149_000 * 1055.05585262 / 3600)
    near = 6_000 + inches(12) + RADIUS
    assert verdicts(small, near, 1_500, (WINDOW,)) == set()
    assert verdicts(small, near - 1, 1_500, (WINDOW,)) == {"US18-DV3"}
    assert "US18-ND2" in verdicts(OUTDOOR, near, 1_500, (WINDOW,))


def test_a_stricter_listing_governs() -> None:
    """60 in to openings, where the code asks 48 in."""
    assert OUTDOOR.outdoor is not None
    strict = replace(OUTDOOR, outdoor=replace(OUTDOOR.outdoor, openings_mm=inches(60)))
    assert verdicts(strict, 6_000 + inches(59.9) + RADIUS, 1_500, (WINDOW,)) == {"LIST-OUT"}
    assert verdicts(strict, 6_000 + inches(60) + RADIUS, 1_500, (WINDOW,)) == set()


def test_what_lies_before_the_wall_is_measured_from_the_case() -> None:
    """A neighbour's window is nearer to the outlet than to the wall by the depth of the case (Category IV, ND8)."""
    at, design = solved(NAME).survey, solved(NAME).design
    (wall,), far = at.site.neighbour_walls, round(38 * 304.8)
    window = replace(wall.openings[0], start=(far, 3_000), end=(far, 1_500))
    beside = replace(at, site=replace(at.site, neighbour_walls=(replace(wall, openings=(window,)),)))
    wet = replace(design, heater=replace(design.heater, category=Category.IV))
    found = terminal_findings(beside, build(beside), wet)
    (facing,) = (f for f in found if f.rule_id == "US18-ND8" and f.object_id == "their-window")
    plaster = round(26 * 304.8) + 200  # the kitchen's east wall, 200 mm thick where nothing is told
    assert facing.actual_mm == far - plaster - OUTDOOR.depth_mm - RADIUS


# the checker on designs that are wrong


def test_our_own_design_is_lawful() -> None:
    """Nothing fails, nothing is unknown."""
    assert judged(solved(NAME).survey, solved(NAME).design) == set()


def wrong(**changes: Any) -> set[str]:
    """What the checker says of the bungalow's design with something changed."""
    return judged(solved(NAME).survey, replace(solved(NAME).design, **changes))


def test_the_outlet_is_where_the_case_has_it() -> None:
    """Told elsewhere it is refused."""
    flue = solved(NAME).design.terminal
    assert "outdoors.flue" in wrong(terminal=replace(flue, z_mm=flue.z_mm + 1))


def test_a_case_too_near_the_regulator_or_off_the_wall() -> None:
    """3 ft to the regulator's vent; and wholly on the facade."""
    mount = solved(NAME).design.mount
    assert "OUT6" in wrong(mount=replace(mount, s_mm=1_100))
    assert "OUT1" in wrong(mount=replace(mount, s_mm=100))


def test_a_run_that_does_not_go_through_the_wall() -> None:
    """Pipes along the inside, the outer wall forgotten; or along the outside as if it were a wall of a room."""
    design = solved(NAME).design
    for change in ((lambda r: r.pieces[1:]), (lambda r: (replace(r.pieces[0], surface=Surface.WALL), *r.pieces[1:]))):
        routes = tuple(replace(r, pieces=change(r)) if r.service is Service.GAS else r for r in design.routes)
        assert wrong(routes=routes) & {"route.start", "route.surface", "route.wall", "route.outer_wall"}


def test_a_vent_has_no_place_outdoors() -> None:
    """A run that the heater does not need."""
    design = solved(NAME).design
    vent = replace(design.routes[0], service=Service.VENT)
    assert "route.services" in wrong(routes=(*design.routes, vent))


def test_a_cord_may_not_go_through_the_wall() -> None:
    """However near the outlet inside is."""
    routes = tuple(
        replace(r, option="cord") if r.service is Service.POWER else r for r in solved(NAME).design.routes
    )
    assert "power.cord_way" in wrong(routes=routes)


@pytest.mark.parametrize(
    ("code", "options"),
    [
        ("nec-2017", {"wired": set(), "wired_gfci": set()}),
        ("nec-2020", {"wired": {"power.gfci"}, "wired_gfci": set()}),
        ("cec", {"wired": {"power.gfci"}, "wired_gfci": set()}),  # that code is not in the tables: unknown
    ],
)
def test_what_is_wired_in_outdoors_is_protected(code: str, options: dict[str, set[str]]) -> None:
    """NEC 210.8(F), from 2020 on (memory); the search takes the same way, at the price of the breaker."""
    plan = solved(NAME)
    heater = replace(plan.design.heater, electrical_w=200.0, freeze_element_w=50.0, may_be_wired=True, cord_length_mm=0)
    site = replace(plan.survey.site, electrical_code=code)
    survey = replace(plan.survey, site=site, heaters=(heater,))
    for option, broken in options.items():
        routes = tuple(
            replace(r, option=option) if r.service is Service.POWER else r for r in plan.design.routes
        )  # fmt: skip
        found = judged(survey, replace(plan.design, heater=heater, routes=routes))
        assert {rule for rule in found if rule.startswith("power.")} == broken
    anchors = (Anchor(survey.receptacles[0].id, 0, (0, 0, 0), (), "wall"),)
    ways = power_ways(survey, build(survey), heater, anchors, outdoors=True)
    assert [w.option for w in ways] == ["wired_gfci" if options["wired"] else "wired"]


def test_a_refusal_binds_the_checker_too() -> None:
    """Nor may a heater hang outdoors that is not listed for it, nor one whose limit is colder, or not told."""
    at, design = solved(NAME).survey, solved(NAME).design
    assert "WISH3" in judged(replace(at, preferences=replace(at.preferences, outdoors=False)), design)
    assert "OUT10" in judged(replace(at, site=replace(at.site, winter_design_temperature_c=-10.1)), design)
    assert design.heater.outdoor is not None
    untold = replace(design.heater, outdoor=replace(design.heater.outdoor, min_temperature_c=None))
    assert {"OUT10", "CL2"} <= wrong(heater=replace(untold, outdoor_listed=False))
    indoors = heaters()["nc-direct-160"]
    assert "CL2" in wrong(heater=indoors)


def test_ground_raised_under_the_case() -> None:
    """12 in listed below the case, and 16 in for the pipes: half a foot more of soil is kept, 2 ft are not."""
    at = solved(NAME).survey
    assert judged(replace(at, site=replace(at.site, grade_z_mm=at.site.grade_z_mm + 152)), solved(NAME).design) == set()
    raised = replace(at, site=replace(at.site, grade_z_mm=at.site.grade_z_mm + 610))
    assert {"OUT3", "OUT5"} <= judged(raised, solved(NAME).design)
    assert isinstance(build(raised).facade("F2").grade[0], GradeStep)


# round trips


def test_the_answer_is_read_back_and_checked() -> None:
    """POST /v1/checks takes the design as it is told; it is the same design."""
    plan = solved(NAME)
    read = load_design(first_design(), plan.survey, plan.answer.building, Settings())
    assert read.mount == plan.design.mount and read.terminal == plan.design.terminal
    assert [r.pieces for r in read.routes] == [r.pieces for r in plan.design.routes]
    report = check(plan.survey, read)
    assert report.lawful and report.not_given == ()


def test_a_mount_alone_is_judged_as_far_as_given() -> None:
    """Its place outdoors, and what is left out."""
    plan = solved(NAME)
    alone = {"heater": first_design()["heater"], "mount": first_design()["mount"]}
    report = check(plan.survey, load_design(alone, plan.survey, plan.answer.building, Settings()))
    assert report.lawful_as_far_as_given and not report.lawful
    left_out = {part for part, _ in report.not_given}
    assert Part.TERMINAL in left_out and not left_out & {Part.VENT_RUN, Part.AIR}


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"facade": "F9"}, ("#/mount/facade", "unknown_reference")),
        ({"wall": "ground/kitchen/1"}, ("#/mount/wall", "contradiction")),
        ({"distance_to_left_edge": 0.5}, ("#/mount/distance_to_left_edge", "contradiction")),
        ({"height_above_grade": 9.0}, ("#/mount/height_above_grade", "contradiction")),
        ({"distance_to_flue_line": None}, ("#/mount/distance_to_flue_line", "missing")),
    ],
)
def test_faults_of_a_mount_outdoors(change: dict[str, Any], fault: tuple[str, str]) -> None:
    """Each at its place."""
    plan, design = solved(NAME), first_design()
    design["mount"] = {k: v for k, v in (design["mount"] | change).items() if v is not None}
    with pytest.raises(InvalidRequest) as caught:
        load_design(design, plan.survey, plan.answer.building, Settings())
    assert fault in {(f.pointer, f.code) for f in caught.value.faults}


def test_the_summary_says_where_it_hangs() -> None:
    """In words."""
    text = placement_text(answer())
    assert "Hangs     outdoors on facade F2, which looks E: case's left edge" in text
    assert "Vents     by its flue outlet before facade F2" in text and "Air  " not in text


def test_clearances_show_the_cases_on_facades_and_nothing_where_refused() -> None:
    """Each facade once for each heater that may hang there."""
    at = solved(NAME).survey
    told = clearances_json(clearances(at), at)
    outdoor = [r for r in told["facades"] if r["applies_to"] == "nc-outdoor-160 hung outdoors"]
    assert len(outdoor) == 4 and any(r["free"] > 0 for r in outdoor)
    assert {z["rule"] for r in outdoor for z in r["zones"]} >= {"OUT1", "OUT3", "OUT5", "OUT6", "US18-ND2"}
    assert not [r for r in told["walls"] if r["applies_to"] == "nc-outdoor-160"]
    none = replace(at, preferences=replace(at.preferences, outdoors=False))
    assert not [r for r in clearances_json(clearances(none), none)["facades"] if "outdoors" in r["applies_to"]]


def test_a_piece_is_a_piece() -> None:
    """The small pipes begin before the facade, 300 mm below the case."""
    design, home = solved(NAME).design, solved(NAME).answer.building
    at = *home.facade(design.mount.facade_id).point(design.mount.s_mm), design.mount.bottom_z_mm - 300
    assert {r.pieces[0].start for r in design.routes} == {at}
    assert all(isinstance(r.pieces[0], Piece) and r.pieces[0].surface is Surface.OUTER_WALL for r in design.routes)
