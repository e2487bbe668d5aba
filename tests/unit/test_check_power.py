"""The checker on the power of the hand-drawn design: each rule of a circuit broken, kept, and not known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.design import Service, Verdict
from service.survey.model import Circuit, Receptacle, Survey
from tests.unit.check_house import HEATER, broken, design, house, judged, redrawn, routes

GOOD = Circuit(120.0, 15.0, 600.0, 200.0, False, "14", 9000)
"""Of the heater's 410 W (110 and 300 for an element not told): 1,010 of 1,440 W, 610 of 900 W fastened in place."""


def at(circuit: Circuit, **more: object) -> Survey:
    """The house with its outlet on a circuit."""
    return house(receptacles=(replace(Receptacle("outlet", (1900, 0, 900)), circuit=circuit, **more),))  # type: ignore[arg-type]


def verdicts(survey: Survey) -> dict[str, Verdict]:
    """What is said of the power."""
    return {f.rule_id: f.verdict for f in judged(survey, design(survey)) if f.subject == "power"
            and f.rule_id.startswith("power.")}  # fmt: skip


def test_a_good_circuit_passes_every_rule() -> None:
    """Nothing fails, nothing is left open."""
    assert verdicts(at(GOOD)) == dict.fromkeys(
        ("power.voltage", "power.load", "power.shared", "power.wire", "power.drop", "power.gfci"), Verdict.PASS
    )


@pytest.mark.parametrize(
    ("circuit", "rule"),
    [
        (replace(GOOD, voltage_v=240.0), "power.voltage"),
        (replace(GOOD, voltage_v=109.9), "power.voltage"),  # 110 V is the least (ANSI C84.1 range B, memory)
        (replace(GOOD, load_w=1031.0), "power.load"),  # 1,441 W of 0.8 x 15 x 120
        (replace(GOOD, fixed_load_w=491.0), "power.shared"),  # 901 W of 0.5 x 15 x 120
        (replace(GOOD, breaker_a=20.0), "power.wire"),  # 14 AWG behind 20 A
    ],
)
def test_a_circuit_that_breaks_a_rule(circuit: Circuit, rule: str) -> None:
    """By a watt or a tenth of a volt."""
    survey = at(circuit)
    assert broken(survey, design(survey)) == {rule}


@pytest.mark.parametrize(
    "circuit", [replace(GOOD, load_w=1030.0), replace(GOOD, fixed_load_w=490.0), replace(GOOD, voltage_v=127.0)]
)
def test_equality_passes(circuit: Circuit) -> None:
    """The last watt and the last volt."""
    survey = at(circuit)
    assert broken(survey, design(survey)) == set()


@pytest.mark.parametrize(
    ("circuit", "rule", "missing"),
    [
        (replace(GOOD, voltage_v=None), "power.voltage", "voltage of the circuit"),
        (replace(GOOD, load_w=None), "power.load", "load of the circuit"),
        (replace(GOOD, breaker_a=None), "power.load", "breaker of the circuit"),
        (replace(GOOD, fixed_load_w=None), "power.shared", "fixed load of the circuit"),
        (replace(GOOD, fixed_load_w=500.0, dedicated=None), "power.shared", "whether the circuit feeds other outlets"),
        (replace(GOOD, wire_length_mm=None), "power.drop", "wire and length of the circuit"),
    ],
)
def test_what_is_not_known_is_advice_that_names_it(circuit: Circuit, rule: str, missing: str) -> None:
    """Never a pass."""
    survey = at(circuit)
    found = [f for f in judged(survey, design(survey)) if f.rule_id == rule]
    assert [(f.verdict, f.missing) for f in found] == [(Verdict.ADVICE, missing)]


def test_a_long_old_cable_is_advice() -> None:
    """3 % of 120 V by 410 W on 14 AWG: 3.6 V x 1000 / (2 x 3.07 x 3.4167 A) = 171.6 ft, 52.3 m, new cable in it."""
    near, far = (verdicts(at(replace(GOOD, wire_length_mm=mm)))["power.drop"] for mm in (51_000, 53_000))
    assert (near, far) == (Verdict.PASS, Verdict.ADVICE)


def test_a_panel_without_a_free_place() -> None:
    """None free fails, unknown is advice."""
    for free, verdict in ((0, Verdict.FAIL), (None, Verdict.ADVICE), (1, Verdict.PASS)):
        survey = house(receptacles=(Receptacle("outlet", (1900, 0, 900), True, free_spaces=free),))
        assert verdicts(survey)["power.panel"] is verdict


def plugged(option: str, survey: Survey) -> set[str]:
    """What is broken where the heater's run to the outlet is of another kind."""
    changed = replace(routes()[Service.POWER], option=option)
    return broken(*redrawn(changed, at=survey))


def test_cord_in_reach() -> None:
    """400 mm along the wall, 300 down and 140 across of 1,800; a mechanical room above ground needs no protection."""
    assert plugged("cord", at(GOOD)) == set()
    short = replace(HEATER, cord_length_mm=839)
    survey = replace(at(GOOD), heaters=(short,))
    run = replace(routes()[Service.POWER], option="cord")
    assert broken(survey, design(survey, heater=short, changed=(run,))) == {"power.cord"}


def test_cord_to_an_outlet_whose_protection_is_not_known() -> None:
    """Below the ground the room may be a basement: unknown stays unknown, none fails, a renewed outlet passes."""
    low = replace(house().site, grade_z_mm=100)
    for gfci, verdict in ((None, {Verdict.UNKNOWN}), (False, {Verdict.FAIL}), (True, {Verdict.PASS})):
        survey = replace(at(GOOD, gfci=gfci), site=low)
        run = replace(routes()[Service.POWER], option="cord")
        found = judged(survey, design(survey, changed=(run,)))
        assert {f.verdict for f in found if f.rule_id == "power.gfci"} == verdict
    assert "power.gfci" not in plugged("cord_gfci", replace(at(GOOD, gfci=False), site=low))


def test_wiring_in_and_its_disconnect() -> None:
    """A heater with a cord is wired in only if its listing takes it; 410 VA ask for a switch (NEC 422.31, read)."""
    assert plugged("wired", at(GOOD)) == {"power.wired", "power.disconnect"}
    wired = replace(HEATER, may_be_wired=True)
    survey = replace(at(GOOD), heaters=(wired,))
    for option, rules in (("wired", {"power.disconnect"}), ("wired_switch", set())):
        run = replace(routes()[Service.POWER], option=option)
        assert broken(survey, design(survey, heater=wired, changed=(run,))) == rules


def test_nothing_plugs_into_a_panel() -> None:
    """A cord ends at an outlet."""
    survey = house(receptacles=(Receptacle("outlet", (1900, 0, 900), True, free_spaces=2),))
    assert "power.cord_way" in plugged("cord", survey)
