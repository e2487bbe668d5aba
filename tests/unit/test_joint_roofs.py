"""Two vents over one roof: the set as it is told, spoiled in one thing at a time, read back and drawn."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from service.building.build import build
from service.building.model import Building
from service.check.jointly import joint_findings
from service.design import JointDesign, RoofTerminal, Terminal
from service.http.answer import placement_json
from service.http.schemas import load_survey
from service.http.set_schema import load_set
from service.http.sheet_book import of_placement
from service.routing.roof import obstacles_over
from service.settings import Settings
from service.sheets.svg import svg
from service.siting.dwelling_zones import part_of
from service.summary import placement_text
from service.survey.model import Survey
from service.usecases.check_set import check_set
from service.usecases.place import place
from service.usecases.results import JointAnswer, Placement
from tests.property.roofs import priced
from tests.scenarios.scenarios import TOGETHER, document
from tests.unit.joint_house import over_both, two_dwellings
from tests.unit.test_joint_checker import broken, judged_in, with_design

NEAR_MM = 305
"""NFPA 54-2021 Table 12.9.1 row J (memory): 12 in from another appliance's combustion inlet, up to 150,000 Btu/h."""


@cache
def answered() -> tuple[Survey, Building, Placement, JointAnswer]:
    """Both vents over the gable's yard side, which is cheap to pass."""
    survey = two_dwellings(pipe="2", roof=over_both(6.0))
    survey = priced(priced(survey, 1 / 20, "roof"), 3.0, "vent.outer_wall")
    placed = place(survey, Settings(solver_seconds=60))
    assert placed.dwellings is not None
    return survey, placed.building, placed, placed.dwellings


def ends(joint: JointDesign) -> list[RoofTerminal]:
    """Where the vents end."""
    found = [d.terminal for _, d in joint.designs if isinstance(d.terminal, RoofTerminal)]
    assert len(found) == len(joint.designs)
    return found


def moved(joint: JointDesign, x_mm: int, y_mm: int) -> JointDesign:
    """The second's vent ended elsewhere over the same plane, at the same height."""
    end = replace(ends(joint)[1], x_mm=x_mm, y_mm=y_mm)
    return with_design(joint, 1, replace(joint.designs[1][1], terminal=end))


def test_both_are_lawful_beside_each_other() -> None:
    """Each in the house as the other leaves it, and together."""
    survey, building, _, answer = answered()
    assert broken(joint_findings(survey, building, answer.joint)) == set()
    assert all(judged_in(survey, building, answer.joint, i) == set() for i in (0, 1))


@pytest.mark.parametrize(("gap", "fails"), [(NEAR_MM - 1, True), (NEAR_MM, False)])
def test_intake_over_the_roof_keeps_its_distance_in_plan_both_ways(gap: int, fails: bool) -> None:
    """Edge to edge along the eave, whatever the heights."""
    survey, building, _, answer = answered()
    first, radius = ends(answer.joint)[0], answer.joint.designs[0][1].heater.vent.terminal_radius_mm
    joint = moved(answer.joint, first.x_mm + 2 * radius + gap, first.y_mm)
    assert all(("US21-J3" in judged_in(survey, building, joint, i)) == fails for i in (0, 1))


@pytest.mark.parametrize("over", [0, 2_000])
def test_two_over_one_place_of_the_roof_fail(over: int) -> None:
    """However much higher the one ends: its vent passes where the other is (geometry, no source)."""
    survey, building, _, answer = answered()
    first = ends(answer.joint)[0]
    joint = with_design(
        answer.joint, 1, replace(answer.joint.designs[1][1], terminal=replace(first, z_mm=first.z_mm + over))
    )
    assert "joint.terminals" in broken(joint_findings(survey, building, joint))


def test_one_in_the_wall_below_the_others_end_is_measured_to_its_vent() -> None:
    """A terminal in a wall that stands over the roof there, right beside the upright vent, is in its place."""
    survey, building, _, answer = answered()
    wall = next(f for f in building.facades if f.axis == 0 and f.start[1] > 0)
    (x, y), s = wall.point(1_000), 1_000
    plane = next(p for p in building.roof if p.id == "roof/north")
    level = plane.height_mm(x, y - 1)
    first = replace(answer.joint.designs[0][1], terminal=RoofTerminal(plane.id, x, y - 1, level + 1_500))
    for z, fails in ((level + 700, True), (level - 700, False), (level + 2_200, False)):
        joint = with_design(with_design(answer.joint, 0, first), 1, replace(
            answer.joint.designs[1][1], terminal=Terminal(wall.id, s, z)
        ))  # fmt: skip
        assert ("joint.terminals" in broken(joint_findings(survey, building, joint))) == fails


def test_an_end_over_no_plane_is_told_as_such() -> None:
    """A roof that the house has not: refused, not an error."""
    survey, building, _, answer = answered()
    joint = with_design(
        answer.joint, 0, replace(answer.joint.designs[0][1], terminal=replace(ends(answer.joint)[0], roof_id="roof/?"))
    )
    joint_findings(survey, building, joint)
    assert "terminal.roof" in judged_in(survey, building, joint, 0)


@cache
def told() -> str:
    """The answer as JSON."""
    survey, _, placed, _ = answered()
    return json.dumps(placement_json(placed, survey))


def test_the_set_goes_back_as_it_came() -> None:
    """Read back it is the set that was found, and lawful; with one end moved beside the other it is not."""
    survey, building, _, answer = answered()
    given: dict[str, Any] = json.loads(told())["dwellings"]
    found = load_set(given, survey, building, Settings())
    assert [d.terminal for _, d in found.designs] == ends(answer.joint) and check_set(survey, found).lawful
    given["designs"][1]["terminal"] = given["designs"][0]["terminal"]
    spoiled = check_set(survey, load_set(given, survey, building, Settings()))
    assert not spoiled.lawful and "joint.terminals" in broken(spoiled.findings)


def test_the_answer_tells_of_the_roof() -> None:
    """No longer as something not looked at; each way out by its plane, in the summary as well."""
    answer = json.loads(told())
    assert not any("together: a vent" in w for w in answer["warnings"])
    assert "Over a roof a vent goes straight up" in answer["scope"]
    assert placement_text(answer).count("vents through roof/north") == len(answer["dwellings"]["designs"])


def test_each_view_of_the_roof_shows_both_ends() -> None:
    """And how far they are apart, as the finding on both has it; places near the other are closed there."""
    survey, _, placed, answer = answered()
    drawn = {page.name: svg(page) for page in of_placement(survey, placed).pages}
    for number, (name, _) in enumerate(answer.designs, 1):
        whole = drawn[f"elevation-{number}"]
        assert "Roof plane roof/north from above" in whole
        assert all(f"terminal {k} {other}" in whole for k, (other, _) in enumerate(answer.designs, 1)), name
        assert any(f"intake of {other}" in whole for other, _ in answer.designs if other != name)
    (apart,) = (f.actual_mm for f in answer.findings if f.rule_id == "joint.exhausts")
    assert apart is not None and f"{apart / 1000:.3f} m" in drawn["elevation-1-detail"]


def test_rooms_of_others_are_in_the_way_to_the_roof() -> None:
    """A flat's own part of the building still knows of the flat over it."""
    (name,) = TOGETHER
    house = build(load_survey(document(name), Settings()))
    part = part_of(house, ("flat-1-laundry",))
    assert house.room("flat-3-laundry").outline in obstacles_over(part, part.room("flat-1-laundry"))
