"""Two heaters outdoors on one facade: the set as it is told, spoiled in one thing at a time, read back and drawn."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from service.building.model import Building
from service.check.jointly import joint_findings
from service.design import MANIFOLD_DROP_MM, Design, JointDesign, Terminal
from service.http.answer import placement_json
from service.http.set_schema import load_set
from service.http.sheet_book import of_placement
from service.rules.catalogue import heaters
from service.settings import Settings
from service.sheets.svg import svg
from service.survey.model import Preferences, Survey
from service.usecases.check_set import check_set
from service.usecases.place import place
from service.usecases.results import JointAnswer, Placement
from tests.unit.joint_house import row
from tests.unit.test_joint_checker import broken, judged_in, with_design

OUT = heaters()["nc-outdoor-160"]


def mild(survey: Survey, outdoors: bool = True) -> Survey:
    """The survey where it never freezes, the outdoors allowed or refused."""
    site = replace(survey.site, winter_design_temperature_c=5.0)
    return replace(survey, site=site, preferences=Preferences(outdoors=outdoors))


@cache
def answered() -> tuple[Survey, Building, Placement, JointAnswer]:
    """Two flats side by side, each with its heater before its own wall."""
    survey = mild(row(2, OUT.id))
    placed = place(survey, Settings(solver_seconds=60))
    assert placed.dwellings is not None
    return survey, placed.building, placed, placed.dwellings


def put(design: Design, s_mm: int, bottom_z_mm: int) -> Design:
    """The case hung elsewhere on its facade, flue outlet and all."""
    assert OUT.outdoor is not None
    mount = replace(design.mount, s_mm=s_mm, bottom_z_mm=bottom_z_mm)
    return replace(design, mount=mount, terminal=Terminal(mount.facade_id, s_mm, bottom_z_mm + OUT.outdoor.flue.up_mm))


def all_broken(joint: JointDesign) -> set[str]:
    """What both designs and the set break."""
    survey, building, _, _ = answered()
    found = broken(joint_findings(survey, building, joint))
    return found.union(*(judged_in(survey, building, joint, i) for i in (0, 1)))


def test_both_hang_outdoors_and_are_lawful() -> None:
    """Each in the house as the other leaves it, and together; a dwelling's rooms do not bar its wall outdoors."""
    _, _, placed, answer = answered()
    assert placed.status == "optimal" and all(d.outdoors for _, d in answer.joint.designs)
    assert all_broken(answer.joint) == set()


@pytest.mark.usefixtures("no_ways_out")
def test_silence_refuses_the_outdoors() -> None:
    """A heater that hangs nowhere else then has no place."""
    assert place(mild(row(2, OUT.id), outdoors=False), Settings(solver_seconds=60)).status == "infeasible"


@pytest.mark.parametrize(("beside", "above"), [(0, 0), (OUT.width_mm - 1, 0), (0, OUT.height_mm), (0, -OUT.height_mm)])
def test_a_case_in_the_others_is_refused(beside: int, above: int) -> None:
    """In its place, a millimetre in it, and over or below it where the pipes of the upper one meet (the listing's space
    is not free, OUT2)."""
    _, _, _, answer = answered()
    (_, first), (_, second) = answer.joint.designs
    near = put(second, first.mount.s_mm + beside, first.mount.bottom_z_mm + above)
    assert "OUT2" in all_broken(with_design(answer.joint, 1, near))


def test_beside_the_other_it_keeps_the_rules_distance() -> None:
    """NFPA 54-2021 Table 12.9.1 row J (memory): a flue outlet not judged as direct vent keeps 4 ft (48 in, up to the
    whole millimetre) beside the other's case, which draws its air there; a millimetre less is too near."""
    _, _, _, answer = answered()
    (_, first), (_, second) = answer.joint.designs
    assert OUT.outdoor is not None
    flue = OUT.outdoor.flue
    asked = 1_220 + flue.radius_mm + max(flue.dx_mm, OUT.width_mm - flue.dx_mm)
    for gap, fails in ((asked - 1, True), (asked, False)):
        near = put(second, first.mount.s_mm - gap, first.mount.bottom_z_mm)
        assert ("US21-J5" in all_broken(with_design(answer.joint, 1, near))) == fails


def test_a_case_before_the_others_vent_is_refused() -> None:
    """Also by the pipes below it (geometry, no source)."""
    survey, building, _, answer = answered()
    (_, first), (_, second) = answer.joint.designs
    inside = replace(heaters()["co-room-199"], id="inside")
    for low, fails in ((0, True), (-MANIFOLD_DROP_MM, True), (-MANIFOLD_DROP_MM - 200, False)):
        at = Terminal(first.mount.facade_id, first.mount.s_mm, first.mount.bottom_z_mm + low)
        vented = replace(second, heater=inside, mount=replace(second.mount, facade_id="", face_id="x"), terminal=at)
        joint = with_design(answer.joint, 1, vented)
        assert ("joint.cases" in broken(joint_findings(survey, building, joint))) == fails


def test_the_set_goes_back_as_it_came() -> None:
    """Read back it is the set that was found, and lawful; with one case in the other's place it is not."""
    survey, building, placed, answer = answered()
    told = json.dumps(placement_json(placed, survey))
    given: dict[str, Any] = json.loads(told)["dwellings"]
    assert all(d["outdoors"] is not None and d["mount"]["facade"] for d in given["designs"])
    found = load_set(given, survey, building, Settings())
    assert [d.mount for _, d in found.designs] == [d.mount for _, d in answer.joint.designs]
    assert check_set(survey, found).lawful
    for member in ("mount", "terminal"):
        given["designs"][1][member] = given["designs"][0][member]
    assert not check_set(survey, load_set(given, survey, building, Settings())).lawful


def test_the_facade_shows_both_cases() -> None:
    """Each view has both flue outlets, and what the other's case and intake forbid."""
    survey, _, placed, answer = answered()
    drawn = {page.name: svg(page) for page in of_placement(survey, placed).pages}
    names = [name for name, _ in answer.designs]
    for number, own in enumerate(names, 1):
        whole = drawn[f"elevation-{number}"]
        assert all(f"flue outlet {k} {other}" in whole for k, other in enumerate(names, 1))
        assert any(f"intake of {other}" in whole for other in names if other != own)
        assert "joint.cases" in whole
