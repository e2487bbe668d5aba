"""The checker on the power of the hand-drawn design: each rule of a circuit broken, kept, and not known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.building.build import build
from service.design import Service, Verdict
from service.http.power_json import power_json
from service.http.quantities import Quantities
from service.survey.fixtures import Fixture
from service.survey.model import Circuit, Receptacle, Survey
from service.trades.circuits import Fit, carried, fit_of, load_of
from service.usecases.power_report import power_report
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


def dry(circuit: Circuit, mm: float = 2134) -> Survey:
    """The house with a fixture so far from the outlet."""
    survey = at(circuit)
    sink = Fixture("sink", "kitchen_sink", 1e-4, at=(1900 + round(mm), 0, 900))
    return replace(survey, water=replace(survey.water, fixtures=(sink,)))


def test_a_cord_where_no_fixture_is_told_or_one_is_near() -> None:
    """6 ft, 1,828.8 mm, ask for protection (NEC 210.8(A)(7), read); a house of which no fixture is told is no house
    without water: unknown."""
    run = replace(routes()[Service.POWER], option="cord")
    for survey, verdict in (
        (at(GOOD), Verdict.UNKNOWN), (dry(GOOD, 1828), Verdict.UNKNOWN), (dry(GOOD, 1829), Verdict.PASS),
    ):  # fmt: skip
        found = judged(survey, design(survey, changed=(run,)))
        assert [f.verdict for f in found if f.rule_id == "power.gfci"] == [verdict]


@pytest.mark.parametrize(
    "circuit",
    [
        Circuit(), replace(GOOD, voltage_v=None), replace(GOOD, load_w=None), replace(GOOD, breaker_a=None),
        replace(GOOD, fixed_load_w=None), replace(GOOD, fixed_load_w=500.0, dedicated=None),
    ],
)  # fmt: skip
def test_a_cord_into_a_circuit_of_which_a_fact_is_not_told(circuit: Circuit) -> None:
    """A plug goes in without an electrician, so what is not told stays unknown; for a cable it is advice."""
    survey = dry(circuit)
    run = replace(routes()[Service.POWER], option="cord")
    found = [f for f in judged(survey, design(survey, changed=(run,))) if f.missing and f.rule_id != "power.drop"]
    assert found and {f.verdict for f in found if f.rule_id.startswith("power.")} == {Verdict.UNKNOWN}


@pytest.mark.parametrize("watts", [1300.0, 1700.0])
def test_one_voltage_drop_in_an_answer(watts: float) -> None:
    """A new circuit of 20 A is of 12 AWG (NEC 240.4(D), memory): 16.67 A at most lose less than on 14 AWG, and the
    report reckons the same wire as the checker."""
    heater = replace(HEATER, electrical_w=watts, freeze_element_w=0.0)
    survey = house(heaters=(heater,), receptacles=(Receptacle("outlet", (1900, 0, 900), True, free_spaces=2),))
    drawn = design(survey, heater=heater)
    run = drawn.route(Service.POWER)
    assert run is not None
    lost = 2 * watts / 120 * {1300.0: 3.07, 1700.0: 1.93}[watts] / 304.8e3 * run.length_mm  # Table 8, ohm per 1000 ft
    told = next(f.detail for f in judged(survey, drawn) if f.rule_id == "power.drop")
    report = power_report(survey, build(survey), drawn, ())
    assert report.drop.lost_v == pytest.approx(lost, rel=1e-3)
    assert told.startswith(f"{lost:.2f} V")


def test_a_heater_without_load_has_no_longest_cable() -> None:
    """Nothing is lost on any length."""
    heater = replace(HEATER, electrical_w=0.0, freeze_element_w=0.0)
    survey = house(heaters=(heater,))
    report = power_report(survey, build(survey), design(survey, heater=heater), ())
    told = power_json(report, Quantities(survey.units, build(survey).frame, "CAD"))
    assert told["voltage_drop"]["longest_cable"] is None


@pytest.mark.parametrize(
    ("volts", "panel", "free", "verdicts_of_two"),
    [
        (120.0, None, 1, (Verdict.PASS, Verdict.PASS)),
        (240.0, 240.0, 2, (Verdict.PASS, Verdict.PASS)),
        (240.0, 240.0, 1, (Verdict.PASS, Verdict.FAIL)),  # two poles
        (240.0, 120.0, 2, (Verdict.FAIL, Verdict.PASS)),
        (240.0, 208.0, 2, (Verdict.FAIL, Verdict.PASS)),  # less than 220 V (ANSI C84.1 range B, memory)
        (240.0, None, 2, (Verdict.ADVICE, Verdict.PASS)),
    ],
)
def test_a_panel_gives_the_voltage_on_so_many_poles(
    volts: float, panel: float | None, free: int, verdicts_of_two: tuple[Verdict, Verdict]
) -> None:
    """120 V from one pole of any panel, another voltage from two (common practice); search and checker agree."""
    heater = replace(HEATER, voltage_v=volts)
    outlet = Receptacle("outlet", (1900, 0, 900), True, free_spaces=free, panel_voltage_v=panel)
    survey = house(heaters=(heater,), receptacles=(outlet,))
    found = {f.rule_id: f.verdict for f in judged(survey, design(survey, heater=heater))}
    assert (found["power.voltage"], found["power.panel"]) == verdicts_of_two
    fit = fit_of(carried(load_of(heater), outlet, "us"))
    said = Fit.NO if Verdict.FAIL in verdicts_of_two else Fit.UNKNOWN if Verdict.ADVICE in verdicts_of_two else Fit.YES
    assert fit is said


def test_cord_in_reach() -> None:
    """400 mm along the wall, 300 down and 140 across of 1,800; a mechanical room above ground, its one fixture 7 ft
    from the outlet, needs no protection."""
    assert plugged("cord", dry(GOOD)) == set()
    short = replace(HEATER, cord_length_mm=839)
    survey = replace(dry(GOOD), heaters=(short,))
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
