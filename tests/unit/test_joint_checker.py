"""The joint checker: a lawful set of two designs passes; spoiled in one thing at a time it fails by the rule meant."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from service.building.build import build
from service.building.model import Building
from service.check.check import findings
from service.check.jointly import joint_findings
from service.check.neighbours import as_left
from service.design import Design, Finding, JointDesign, Service, Surface, Terminal, Verdict
from service.settings import Settings
from service.survey.model import Survey
from service.usecases.results import BROKEN, JointAnswer
from tests.once import placed
from tests.unit.joint_house import parallel, two_dwellings

SETTINGS = Settings(solver_seconds=60)
FLOOR = Surface.FLOOR_CROSSING


@cache
def answered(pipe: str = "1/2") -> tuple[Survey, Building, JointAnswer]:
    """The house, solved once; its pipe is so thin that it must be renewed."""
    survey = two_dwellings(pipe=pipe, own_taps=True)
    answer = placed(survey, SETTINGS).dwellings
    assert answer is not None
    return survey, build(survey), answer


def broken(found: tuple[Finding, ...]) -> set[str]:
    """Rules that failed or stay unknown."""
    return {f.rule_id for f in found if f.verdict in BROKEN}


def judged(joint: JointDesign, dwelling: int) -> set[str]:
    """Rules that one dwelling's design breaks in the house as the other leaves it."""
    survey, building, _ = answered()
    return judged_in(survey, building, joint, dwelling)


def judged_in(survey: Survey, building: Building, joint: JointDesign, dwelling: int) -> set[str]:
    """The same in a house of its own."""
    left = as_left(survey, building, joint, survey.dwellings[dwelling])
    return broken(findings(left.survey, left.building, joint.designs[dwelling][1]))


def with_design(joint: JointDesign, index: int, design: Design) -> JointDesign:
    """The set with one design in another's place."""
    designs = [*joint.designs]
    designs[index] = designs[index][0], design
    return replace(joint, designs=tuple(designs))


def test_found_set_passes() -> None:
    """What the search found breaks nothing, one by one and together; exhausts are advice, for no code speaks."""
    survey, building, answer = answered()
    found = joint_findings(survey, building, answer.joint)
    assert broken(found) == set()
    assert [f.verdict for f in found if f.rule_id == "joint.exhausts"] == [Verdict.ADVICE]
    assert judged(answer.joint, 0) == judged(answer.joint, 1) == set()


def test_intake_of_the_other_keeps_its_distance_both_ways() -> None:
    """NFPA 54-2021 Table 12.9.1 row J (memory): 12 in from another appliance's combustion inlet, up to 150,000 Btu/h. A
    terminal 304 mm from the edge of the other's fails for both, 305 mm passes for both."""
    _, _, answer = answered()
    left, right = (d.terminal for _, d in answer.joint.designs)
    assert isinstance(left, Terminal) and isinstance(right, Terminal)
    radius = answer.joint.designs[0][1].heater.vent.terminal_radius_mm
    for gap, fails in ((304, True), (305, False)):
        moved = replace(right, s_mm=left.s_mm + 2 * radius + gap, z_mm=left.z_mm, facade_id=left.facade_id)
        joint = with_design(answer.joint, 1, replace(answer.joint.designs[1][1], terminal=moved))
        assert ("US21-J3" in judged(joint, 0)) == ("US21-J3" in judged(joint, 1)) == fails


def test_terminals_in_one_place_fail_where_no_rule_speaks_of_intakes() -> None:
    """Two terminals are two things: their centres are their radii apart at the least (geometry, no source)."""
    survey, building, answer = answered()
    first, second = (d for _, d in answer.joint.designs)
    joint = with_design(answer.joint, 1, replace(second, terminal=first.terminal))
    assert "joint.terminals" in broken(joint_findings(survey, building, joint))


def test_case_in_the_others_space_fails() -> None:
    """A case hung on the other's is in its listed space (MT2) and on its vent's line (MT4)."""
    _, _, answer = answered()
    first, second = (d for _, d in answer.joint.designs)
    joint = with_design(answer.joint, 1, replace(second, mount=first.mount))
    assert {"MT2", "MT4"} <= judged(joint, 0)


def test_run_and_room_of_another_dwelling_fail() -> None:
    """Named as the other's, a dwelling's own room is closed to its runs and to its heater."""
    survey, building, answer = answered()
    left, right = survey.dwellings
    swapped = replace(survey, dwellings=(replace(left, rooms=right.rooms), replace(right, rooms=left.rooms)))
    assert {"joint.rooms", "joint.room"} <= broken(joint_findings(swapped, building, answer.joint))


def test_dwelling_without_a_heater_fails() -> None:
    """A set lacks nothing."""
    survey, building, answer = answered()
    joint = replace(answer.joint, designs=answer.joint.designs[:1])
    assert "joint.dwellings" in broken(joint_findings(survey, building, joint))


def test_renewal_left_out_leaves_pipe_too_small() -> None:
    """Without it some pipe passes less than both heaters burn, whichever design is asked."""
    _, _, answer = answered()
    assert answer.joint.renewals
    bare = replace(answer.joint, renewals=())
    assert "gas.segment" in judged(bare, 0) and "gas.segment" in judged(bare, 1)


@pytest.mark.parametrize("what", ["length", "tap", "burner", "segment"])
def test_gas_system_told_otherwise_fails(what: str) -> None:
    """A branch of another length or from elsewhere, a heater that burns less, an old pipe that is longer than it is."""
    survey, building, answer = answered()
    supply, node = answer.joint.supply, dict(answer.joint.heaters)["right"]
    (own,) = (s for s in supply.segments if s.end == node)
    changed = {
        "length": {own: replace(own, length_mm=own.length_mm - 100)},
        "tap": {own: replace(own, start="meter")},
        "segment": {s: replace(s, length_mm=s.length_mm + 1) for s in supply.segments if s.id.startswith("entry")},
    }.get(what, {})
    told = replace(supply, segments=tuple(changed.get(s, s) for s in supply.segments))
    if what == "burner":
        told = replace(told, appliances=tuple(replace(a, input_w=a.input_w - 1) for a in told.appliances))
    assert "joint.gas_system" in broken(joint_findings(survey, building, replace(answer.joint, supply=told)))


def test_meter_and_bill_are_reckoned_again() -> None:
    """A meter too small for both, a shared line too cheap, a total off by a cent."""
    survey, building, answer = answered()
    small = replace(survey, gas=replace(survey.gas, meter_capacity_w=60_000.0))
    assert "joint.gas.meter_upgrade" in broken(joint_findings(small, building, answer.joint))
    cheap = replace(answer.joint, total_cents=answer.joint.total_cents - 1)
    assert {"joint.total", "joint.sum"} <= broken(joint_findings(survey, building, cheap))
    assert "joint.lines" in broken(joint_findings(survey, building, replace(answer.joint, lines=())))


def test_shared_pipe_is_paid_for_once() -> None:
    """No design's own bill holds renewals or a meter; the sum of all bills is the answer's cost."""
    survey, _, answer = answered()
    whole = placed(survey, SETTINGS)
    own = [checked.design for _, checked in answer.designs]
    assert all(not d.gas.renewals and not d.meter_upgrade for d in own)
    assert whole.proof.cost_cents == sum(d.total_cents for d in own) + answer.joint.total_cents
    assert all(d.route(Service.GAS) is not None for d in own)


@cache
def parallel_heaters() -> tuple[Survey, Building, JointAnswer]:
    """Two in one room whose water comes through two holes that both use."""
    survey = parallel(apart=600, hole_cents=9_000)
    answer = placed(survey, SETTINGS).dwellings
    assert answer is not None
    return survey, build(survey), answer


def test_shared_holes_are_billed_once() -> None:
    """Cold and hot through one hole each: in no design's own bill, once in the shared one."""
    _, _, answer = parallel_heaters()
    key = "water.wall_crossing"
    assert {s.service for s in answer.joint.sleeves} == {Service.COLD, Service.HOT}
    assert all(key not in {line.key for line in d.lines} for _, d in answer.joint.designs)
    assert [(line.quantity, line.amount_cents) for line in answer.joint.lines if line.key == key] == [(2, 18_000)]


@pytest.mark.parametrize("what", ["unpaid", "alone", "twice", "elsewhere", "vent", "floor"])
def test_hole_told_otherwise_fails(what: str) -> None:
    """Paid by nobody, used by one alone, told twice, not where the runs pass, or a vent's: no such hole is shared."""
    survey, building, answer = parallel_heaters()
    joint, (sleeve, other) = answer.joint, answer.joint.sleeves
    design = joint.designs[1][1]
    away = replace(sleeve, start=(sleeve.start[0], sleeve.start[1] + 1, sleeve.start[2]))
    changed = {
        "unpaid": replace(joint, sleeves=(other,)),
        "alone": with_design(joint, 1, replace(design, sleeves=(other,))),
        "twice": replace(joint, sleeves=(sleeve, sleeve, other)),
        "elsewhere": with_design(joint, 1, replace(design, sleeves=(away, other))),
        "floor": with_design(joint, 1, replace(design, sleeves=(replace(sleeve, surface=FLOOR), other))),
        "vent": with_design(joint, 1, replace(design, sleeves=(replace(sleeve, service=Service.VENT), other))),
    }[what]
    assert "joint.sleeves" not in broken(joint_findings(survey, building, joint))
    assert "joint.sleeves" in broken(joint_findings(survey, building, changed))


def test_hole_left_out_of_both_bills_is_missed() -> None:
    """A design that bills its hole itself, or a shared bill without it, does not add up."""
    survey, building, answer = parallel_heaters()
    joint = answer.joint
    design = replace(joint.designs[0][1], sleeves=())
    left = as_left(survey, building, joint, survey.dwellings[0])
    assert "price.lines" in broken(findings(left.survey, left.building, design))
    bare = replace(joint, lines=(), total_cents=0)
    assert {"joint.lines", "joint.total"} <= broken(joint_findings(survey, building, bare))
