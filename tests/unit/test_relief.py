"""Relief and scald in intake, check and answer: what is judged, what is advice, what is missing."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from service.building.build import build
from service.check.prices import price_findings
from service.check.relief import relief_findings
from service.check.scald import scald_findings
from service.design import Design, Finding, Mount, Part, Verdict
from service.survey.model import Fixture, Survey, WaterItem
from service.survey.water import Discharge, DischargeEnd, ReliefRule
from service.trades.relief import discharge_rules
from service.usecases.relief_report import relief_report
from tests.unit.check_house import design, house
from tests.unit.survey_documents import SAMPLES, load, places, sample

PASS, FAIL, UNKNOWN, ADVICE = Verdict.PASS, Verdict.FAIL, Verdict.UNKNOWN, Verdict.ADVICE


def watered(relief: ReliefRule | None = None, **facts: Any) -> Survey:
    """A house with a local rule and these facts of its water."""
    plain = house()
    return replace(plain, site=replace(plain.site, relief=relief), water=replace(plain.water, **facts))


def found(at: Survey, what: Design | None = None) -> dict[str, Finding]:
    """Findings on relief and scald by rule."""
    given = what or design(at)
    both = (*relief_findings(at, build(at), given), *scald_findings(at, given))
    return {f.rule_id: f for f in both}


def test_intake_reads_relief_and_valves() -> None:
    """In the units of the document."""
    document = sample()
    document["site"] |= {"relief": "pressure", "relief_temperature": 200}
    document["water"] |= {
        "check_valve": True, "reducing_valve": False, "expansion_tank": True, "mixing_valve": False,
        "relief_discharge": {"end": "outdoors", "size": "3/4", "end_height": {"value": 4, "unit": "in"}, "falls": True},
    }  # fmt: skip
    survey = load(document)
    assert survey.site.relief is ReliefRule.PRESSURE
    assert survey.site.relief_temperature_c == pytest.approx((200 - 32) / 1.8)
    water = survey.water
    assert (water.check_valve, water.reducing_valve, water.expansion_tank) == (True, False, True)
    assert water.relief_discharge == Discharge(DischargeEnd.OUTDOORS, "3/4", 102, falls=True)


def test_intake_tells_what_it_takes_for_granted() -> None:
    """The strictest relief; tank and mixing valve not there."""
    told = load(sample()).assumptions
    assert any(a.startswith("Local rule on relief valves not told, taken as the strictest") for a in told)
    assert "Not told, taken as not there: water.expansion_tank, water.mixing_valve." in told


@pytest.mark.parametrize(
    ("change", "place", "code"),
    [
        ({"relief_discharge": {"end": "sea"}}, "#/water/relief_discharge/end", "not_a_choice"),
        ({"relief_discharge": {"size": "2/3"}}, "#/water/relief_discharge/size", "unknown_pipe_size"),
        ({"check_valve": "yes"}, "#/water/check_valve", "wrong_type"),
    ],
)
def test_intake_refuses(change: dict[str, Any], place: str, code: str) -> None:
    """With a pointer."""
    document = sample()
    document["water"] |= change
    assert (place, code) in places(document)


def test_what_is_there_cannot_be_wished_for() -> None:
    """With a pointer to the wish; a pan has no such fact."""
    document = sample()
    document["water"]["mixing_valve"] = True
    document["preferences"]["water_items"] = ["drain_pan", "mixing_valve", "softener"]
    assert places(document) == {("#/preferences/water_items/1", "contradiction")}


@pytest.mark.parametrize(
    ("rule", "verdict", "missing"),
    [
        (None, ADVICE, "local rule on relief valves"),
        (ReliefRule.PRESSURE, PASS, ""),
        (ReliefRule.TEMPERATURE_AND_PRESSURE, PASS, ""),
        (ReliefRule.BY_LISTING, ADVICE, "relief that the heater's instructions ask for"),
    ],
)
def test_relief_valve(rule: ReliefRule | None, verdict: Verdict, missing: str) -> None:
    """In the price by the local rule; one that is not known is never a pass."""
    finding = found(watered(rule))["relief.valve"]
    assert (finding.verdict, finding.missing) == (verdict, missing)


@pytest.mark.parametrize("rule", ["relief.valve", "relief.discharge"])
def test_codes_of_one_country_are_no_pass_in_another(rule: str) -> None:
    """The tables hold codes of the United States: in Canada the plumbing code is to be asked."""
    whole = Discharge(DischargeEnd.FLOOR, "3/4", 76, True, True, True, True, False, True, False, False, True, False)
    at = watered(ReliefRule.PRESSURE, relief_discharge=whole)
    assert found(at)[rule].verdict is PASS
    canada = replace(at, site=replace(at.site, rule_set="ca-b149"))
    assert found(canada, design(at))[rule].missing == "what the National Plumbing Code of Canada asks"


def test_a_bill_without_the_connection_has_no_relief_valve() -> None:
    """The valve is in the price of the water connections, and a bill that lacks them fails."""
    at = watered(ReliefRule.PRESSURE)
    assert found(at)["relief.valve"].detail.endswith("in the price of water.connection")
    whole = design(at)
    bare = replace(whole, lines=tuple(x for x in whole.lines if x.key != "water.connection"))
    faults = {f.detail for f in price_findings(at, build(at), bare) if f.rule_id == "price.lines"}
    assert faults == {"no line for water.connection"}


@pytest.mark.parametrize(
    ("facts", "items", "verdict"),
    [
        ({"check_valve": False, "reducing_valve": False, "static_pressure_pa": 4e5}, (), PASS),
        ({"check_valve": False, "reducing_valve": False, "static_pressure_pa": None}, (), ADVICE),
        ({}, (), ADVICE),
        ({"check_valve": True}, (), FAIL),
        ({"check_valve": True}, (WaterItem.EXPANSION_TANK,), PASS),
        ({"reducing_valve": True, "expansion_tank": True}, (), PASS),
        ({"reducing_valve": True, "expansion_tank": False}, (WaterItem.SOFTENER,), FAIL),
    ],
)
def test_expansion(facts: dict[str, Any], items: tuple[WaterItem, ...], verdict: Verdict) -> None:
    """UPC 608.2 (read) and 608.3 (memory); whether the system is closed must be known for a pass."""
    at = watered(**facts)
    assert found(at, replace(design(at), water_items=items))["relief.expansion"].verdict is verdict


@pytest.mark.parametrize(
    ("facts", "items", "verdict"),
    [
        ({}, (), ADVICE),
        ({"setpoint_c": 48.0}, (), PASS),
        ({"setpoint_c": 60.0}, (), UNKNOWN),
        ({"setpoint_c": 60.0, "mixing_valve": False}, (), FAIL),
        ({"setpoint_c": 60.0, "mixing_valve": True}, (), PASS),
        ({"setpoint_c": 60.0, "mixing_valve": False}, (WaterItem.MIXING_VALVE,), PASS),
    ],
)
def test_setpoint(facts: dict[str, Any], items: tuple[WaterItem, ...], verdict: Verdict) -> None:
    """140 degF without a mixing valve burns in 5 s (read)."""
    at = watered(**facts)
    finding = found(at, replace(design(at), water_items=items))["scald.setpoint"]
    assert finding.verdict is verdict
    assert "5 s" in finding.detail or facts.get("setpoint_c") != 60.0


def test_discharge_is_told_in_one_finding() -> None:
    """Nothing known; some broken; all kept."""
    assert found(watered())["relief.discharge"].missing.startswith("size, way and end")
    whole = Discharge(DischargeEnd.FLOOR, "3/4", 76, True, True, True, True, False, True, False, False, True, False)
    assert found(watered(relief_discharge=whole))["relief.discharge"].verdict is PASS
    trapped = found(watered(relief_discharge=replace(whole, trapped=True, falls=None)))["relief.discharge"]
    assert trapped.verdict is ADVICE and "RD8" in trapped.detail and trapped.missing.endswith("RD9")


def test_relief_is_judged_with_the_hot_pipe_only() -> None:
    """A design given in part says nothing of what is left out."""
    at = watered(check_valve=True)
    assert found(at, replace(design(at), given=frozenset({Part.COLD_RUN}))) == {}


@pytest.mark.parametrize("finished", [True, False])
def test_pan_over_another_room(finished: bool) -> None:
    """Common practice: over a finished basement a pan is advised, over an unfinished one it is not, and in the basement
    nothing lies below; a pan in the design settles it."""
    plan = json.loads((SAMPLES / "two_storey_basement.json").read_bytes())
    for room in (r for s in plan["storeys"] for r in s["rooms"]):
        room["finished"] = finished
    at = load(plan)
    building, verdicts = build(at), {}
    for face in building.faces:
        room = building.room(face.room_id)
        hung = replace(design(house()), mount=Mount(face.id, face.length_mm // 2, room.floor_z + 1400))
        verdicts[room.floor_z] = found(at, hung)["relief.pan"].verdict
        bought = replace(hung, water_items=(WaterItem.DRAIN_PAN,))
        assert found(at, bought)["relief.pan"].verdict is PASS
    lowest = min(verdicts)
    assert len(verdicts) > 1
    assert verdicts == {z: PASS if z == lowest or not finished else ADVICE for z in verdicts}


def test_parts_tell_the_price_that_holds_them() -> None:
    """Relief valve in the connection's price, its pipe in none, an expansion tank as information."""
    at = watered()
    parts = {p.item: p for p in relief_report(at, design(at), ()).parts}
    assert parts["relief valve 3/4 in"].in_total
    pipe = next(p for name, p in parts.items() if name.startswith("discharge pipe"))
    assert pipe.price_key is None and not pipe.in_total
    tank = parts["expansion tank"]
    assert tank.price_cents == at.prices["water.expansion_tank"].cents and not tank.in_total


def test_a_valve_to_be_put_in_closes_the_system() -> None:
    """95 psi asks for a reducing valve, and that for an expansion tank (UPC 608.2, read), though none is there yet."""
    at = watered(check_valve=False, reducing_valve=False, static_pressure_pa=95 * 6894.757)
    finding = found(at)["relief.expansion"]
    assert (finding.verdict, "UPC" in finding.citation) == (FAIL, True)
    bought = replace(design(at), water_items=(WaterItem.EXPANSION_TANK,))
    assert found(at, bought)["relief.expansion"].verdict is PASS


def test_the_height_of_an_end_wants_the_pipe_s_size() -> None:
    """Twice the diameter of the pipe (IPC 504.6 item 10, read): 38 mm is enough for 3/4 in, not for a pipe not told."""
    kept = [
        next(r.kept for r in discharge_rules(Discharge(size=size, end_height_mm=39)) if r.rule_id == "RD10")
        for size in ("3/4", None)
    ]
    assert kept == [True, None]


def test_outlets_want_valves_of_their_own() -> None:
    """IPC 412 asks for a device at bath, shower and bidet; a cool setpoint is none (memory). A bidet gets 110 degF."""
    fixtures = (Fixture("b", "bidet", 1e-4, at=(0, 0, 0)), Fixture("k", "kitchen_sink", 1e-4, at=(0, 0, 0)))
    at = watered(setpoint_c=48.0, fixtures=fixtures)
    (outlet,) = (f for f in scald_findings(at, design(at)) if f.rule_id == "scald.outlet")
    assert (outlet.object_id, outlet.verdict, outlet.missing) == ("b", ADVICE, "limiting device at b")
    assert "is hotter" in outlet.detail
    assert found(at)["scald.setpoint"].citation == "common practice"


def test_a_setting_tells_of_a_valve() -> None:
    """Whoever tells what a reducing valve is set to has seen one, and it closes the system."""
    document = sample()
    document["water"] |= {"reducing_valve_setting": 60}
    survey = load(document)
    assert survey.water.reducing_valve is True
    assert found(survey)["relief.expansion"].verdict is FAIL


def test_no_setting_of_a_valve_that_is_not_there() -> None:
    """Told at its place, beside every other fault."""
    document = sample()
    document["water"] |= {"reducing_valve": False, "reducing_valve_setting": 60}
    assert ("#/water/reducing_valve_setting", "contradiction") in places(document)
