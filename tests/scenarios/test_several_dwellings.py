"""Several dwellings: four flats on one yard, and the real duplex, whose rooms lie crosswise."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from math import dist

import pytest

from service.building.build import build
from service.check.neighbours import as_left
from service.check.terminal import terminal_findings
from service.design import Design, Service, Terminal, Verdict
from service.http.answer import placement_json
from service.settings import Settings
from service.start_up_summary import start_up_text
from service.summary import placement_text
from service.survey.model import Survey
from service.usecases.results import BROKEN, JointAnswer, Placement, Status
from tests.contract.test_specification import misfits
from tests.once import placed
from tests.scenarios.scenarios import EVERY, TOGETHER, document, expected, solved
from tests.unit.duplex import duplex

NAME = "flats_on_a_yard"
SETTINGS = Settings(solver_seconds=60)


@cache
def crosswise() -> tuple[Survey, Placement]:
    """The duplex, solved once."""
    survey = duplex()
    return survey, placed(survey, SETTINGS)


def joint_of(answer: Placement) -> JointAnswer:
    """The set; it must be there."""
    assert answer.dwellings is not None
    return answer.dwellings


def designs_of(answer: Placement) -> dict[str, Design]:
    """Designs by dwelling."""
    return {name: checked.design for name, checked in joint_of(answer).designs}


def test_plans_of_several_heaters_are_looked_at_here() -> None:
    """Those that name dwellings, and no others, are left out of the tests of one heater."""
    assert tuple(name for name in EVERY if "dwellings" in document(name)) == TOGETHER == (NAME,)


def test_each_flat_has_a_heater_of_its_own() -> None:
    """In its own laundry, on the yard, proven and drift-free; no design stands among those of one heater."""
    plan, meant = solved(NAME), expected(NAME)
    designs = designs_of(plan.answer)
    assert list(designs) == meant["dwellings"] and plan.answer.designs == ()
    house = plan.answer.building
    assert {n: house.face(d.mount.face_id).room_id for n, d in designs.items()} == {n: f"{n}-laundry" for n in designs}
    assert {d.terminal.facade_id for d in designs.values() if isinstance(d.terminal, Terminal)} == {"F3"}
    assert plan.answer.proof.cost_cents == plan.answer.proof.bound_cents == meant["recorded"]["total_cents"]


def test_upstairs_the_terminals_are_as_near_as_the_code_lets_them() -> None:
    """CSA B149.1 8.14.8 g (read): 900 mm from another appliance's combustion inlet over 30 kW, edge to edge."""
    plan, house = solved(NAME), solved(NAME).answer.building
    ends = [d.terminal for n, d in designs_of(plan.answer).items() if n in ("flat-3", "flat-4")]
    points = [(*house.facade(t.facade_id).point(t.s_mm), t.z_mm) for t in ends if isinstance(t, Terminal)]
    assert dist(*points) == expected(NAME)["by_hand"]["apart_mm"]


def test_what_is_shared_is_paid_for_once() -> None:
    """One meter for all inputs added by hand, no meter and no renewal in any flat's own bill."""
    plan = solved(NAME)
    joint = joint_of(plan.answer).joint
    drawn = sum(a.input_w for a in plan.survey.gas.appliances) + sum(
        d.heater.input_max_w for d in designs_of(plan.answer).values()
    )
    assert drawn / 1000 == pytest.approx(expected(NAME)["by_hand"]["drawn_kw"], abs=0.1)
    assert drawn > plan.survey.gas.meter_capacity_w
    assert joint.keys == ("gas.meter_upgrade",)
    keys = [line.key for d in designs_of(plan.answer).values() for line in d.lines]
    assert not {"gas.meter_upgrade", "gas.renew"} & set(keys)
    assert [line.quantity for line in joint.lines if line.key == "gas.meter_upgrade"] == [1]


def test_answer_tells_all_of_it() -> None:
    """Summary and start-up sheets name every flat; the bills of the JSON add up to its cost."""
    plan = solved(NAME)
    answer = json.loads(json.dumps(placement_json(plan.answer, plan.survey)))
    told, sheets = placement_text(answer), start_up_text(answer)
    assert all(f"  {name}: " in told for name in expected(NAME)["dwellings"])
    assert sheets.count("START-UP SHEET") == 4
    found = answer["dwellings"]
    bills = [d["cost"]["total"] for d in (*found["designs"], found["shared"])]
    assert sum(round(100 * b) for b in bills) == round(100 * answer["cost"])


def test_answer_fits_its_description() -> None:
    """Request and answer against the interface's schemas, closed to members that nobody described."""
    plan = solved(NAME)
    answer = json.loads(json.dumps(placement_json(plan.answer, plan.survey)))
    assert misfits(answer, {"$ref": "#/components/schemas/Placement"}) == []
    assert misfits(plan.document, {"$ref": "#/components/schemas/SurveyRequest"}) == []


def test_duplex_is_proven() -> None:
    """Two real dwellings, each heater in rooms of its own."""
    survey, answer = crosswise()
    assert answer.status is Status.OPTIMAL and answer.proof.cost_cents == answer.proof.bound_cents
    rooms = {n: answer.building.face(d.mount.face_id).room_id for n, d in designs_of(answer).items()}
    assert all(rooms[d.id] in (d.rooms or ()) for d in survey.dwellings)


def test_openings_of_each_dwelling_count_for_the_other() -> None:
    """Put below the other dwelling's window a terminal fails by that window, though it is lawful by its own."""
    survey, answer = crosswise()
    house, joint = build(survey), joint_of(answer).joint
    upstairs = {o.id for s in survey.storeys[1:] for o in s.openings}
    met = {}
    for dwelling in survey.dwellings:
        design = designs_of(answer)[dwelling.id]
        left = as_left(survey, house, joint, dwelling)
        for facade in house.facades:
            for hole in (h for h in facade.holes if h.opening_id in upstairs and h.operable is not False):
                moved = Terminal(facade.id, (hole.s0 + hole.s1) // 2, hole.z0 - 200)
                found = terminal_findings(left.survey, left.building, _at(design, moved))
                met[dwelling.id, hole.opening_id] = any(
                    f.verdict in BROKEN and f.object_id == hole.opening_id for f in found
                )
    assert met and all(met.values())


def _at(design: Design, terminal: Terminal) -> Design:
    return replace(design, terminal=terminal)


def test_both_intakes_of_the_duplex_are_judged() -> None:
    """Each design's clearances hold the other's intake, and its gas report the other's heater."""
    _, answer = crosswise()
    for name, checked in joint_of(answer).designs:
        other = "B" if name == "A" else "A"
        found = [f for f in checked.findings if f.object_id == f"intake of {other}"]
        assert found and all(f.verdict is Verdict.PASS for f in found)
        assert checked.design.route(Service.GAS) is not None
        assert f"heater of {other}" in {i.id for i in checked.gas.inlets}
