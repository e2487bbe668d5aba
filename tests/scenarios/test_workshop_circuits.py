"""The workshop: bill and power by hand, and every place of its wall tried by a formula of its own, outlet by outlet."""

from __future__ import annotations

from copy import deepcopy
from fractions import Fraction
from typing import Any

import pytest

from service.design import Service
from service.http.answer import placement_json
from service.http.design_schema import load_design
from service.http.schemas import load_survey
from service.settings import Settings
from service.usecases.check import check
from tests.scenarios.scenarios import document, expected, solved, solved_by

NAME = "workshop_circuits"
HAND: dict[str, Any] = expected(NAME)["by_hand"]
FOOT = Fraction(3048, 10)
GAS, COLD, HOT, OUTLET_Z = 1829, 2438, 2743, 1219
RATES = {"gas": 1350, "water": 1050, "cable": 350, "cord": 60}
ONCE = {"cable": 9500, "cord": 1800, "cord_gfci": 1800 + 5500, "wired": 6500, "wired_switch": 6500 + 6800}
REST = 79900 + 42000 + 14500 + 9500 + 2 * 6500 + 2 * 6000 + 8200 + 13500 + 18500 + Fraction(620) / FOOT * 3600
"""All that no place of the north wall changes [cents]."""
REACH = 1800 - 300 - 140
BENCH, COMPRESSOR, PANEL = (2591, 1219), (4572, 1219), (7315 + (8534 - 7315), 1219)
"""Outlets on the wall laid flat [mm]: the panel is 4 ft along the east wall."""


def answer_of(plan: dict[str, Any]) -> dict[str, Any]:
    """The answer to a plan."""
    survey = load_survey(plan, Settings())
    return placement_json(solved_by(survey), survey)


def bench_of(plan: dict[str, Any]) -> dict[str, Any]:
    """Its first outlet."""
    found: dict[str, Any] = plan["receptacles"][0]
    return found


def least_cents(ways: list[tuple[str, tuple[int, int]]]) -> int:
    """Cheapest of every millimetre of the wall: gas, water and the cheapest way to an outlet, at its height."""
    best: Fraction | None = None
    for x in range(300, 5500):
        pipes = abs(x - GAS) * RATES["gas"] + (abs(x - COLD) + abs(x - HOT)) * RATES["water"]
        for option, (at, z) in ways:
            run = abs(x - at) + abs(z - OUTLET_Z)
            if option.startswith("cord") and run > REACH:
                continue
            rate = RATES["cord" if option.startswith("cord") else "cable"]
            cents = (pipes + run * rate) / FOOT + ONCE[option] + REST
            best = cents if best is None or cents < best else best
    assert best is not None
    return round(best)


def test_cord_reaches_with_nothing_to_spare() -> None:
    """1,800 mm less 300 down and 140 across; the run is met with equality."""
    design = solved(NAME).design
    run = design.route(Service.POWER)
    assert run is not None
    assert (run.option, run.end_id, run.length_mm) == ("cord", "compressor-outlet", REACH)
    assert run.pieces[0].start[0] == HAND["vent_line"]


def test_bill_by_hand() -> None:
    """Every run times its price and what is bought once; the formula finds no cheaper place."""
    design = solved(NAME).design
    runs = 1383 * 1350 + (774 + 469) * 1050 + 1360 * 60
    assert design.total_cents == round(runs / FOOT + 1800 + REST) == expected(NAME)["recorded"]["total_cents"]
    assert sum(line.amount_cents for line in design.lines if line.trade == "power") == HAND["power_cents"]
    ways = [("cord", COMPRESSOR), ("cable", COMPRESSOR), ("cable", PANEL)]
    assert least_cents(ways) == design.total_cents


def free_bench(plan: dict[str, Any]) -> None:
    """Nothing but lights on the bench's circuit."""
    bench_of(plan)["circuit"]["present_load"] = 200


def no_compressor(plan: dict[str, Any]) -> None:
    """Bench and panel alone."""
    del plan["receptacles"][1]


def half_full(plan: dict[str, Any]) -> None:
    """A fan fastened in place leaves less than half of the bench's circuit: 700 W of it, of 900 W."""
    bench_of(plan)["circuit"] |= {"present_load": 700, "fixed_load": 700}


def old_edition_basement(plan: dict[str, Any]) -> None:
    """The floor below the ground: it may be a basement, whose outlets are protected."""
    plan["site"]["grade"] = 0.5
    free_bench(plan)
    no_compressor(plan)


def unknown_bench(plan: dict[str, Any]) -> None:
    """Nothing is known of the bench's circuit: no plug, but a cable with advice, as for any outlet."""
    del bench_of(plan)["circuit"]
    no_compressor(plan)


def wrong_voltage(plan: dict[str, Any]) -> None:
    """The compressor's outlet has 240 V."""
    plan["receptacles"][1]["circuit"]["voltage"] = 240


@pytest.mark.parametrize(
    ("change", "option", "end", "ways"),
    [
        (free_bench, "cord", "bench-outlet", [("cord", BENCH), ("cord", COMPRESSOR)]),
        (no_compressor, "cable", "panel", [("cable", PANEL)]),
        (half_full, "cord", "compressor-outlet", [("cord", COMPRESSOR), ("cable", COMPRESSOR), ("cable", PANEL)]),
        (old_edition_basement, "cord_gfci", "bench-outlet", [("cord_gfci", BENCH), ("cable", BENCH)]),
        (unknown_bench, "cable", "bench-outlet", [("cable", BENCH), ("cable", PANEL)]),
        (wrong_voltage, "cable", "panel", [("cable", PANEL)]),
    ],
)
def test_other_circuits(change: Any, option: str, end: str, ways: list[tuple[str, tuple[int, int]]]) -> None:
    """Which outlet wins when the facts change, and that no place of the wall is cheaper by the formula."""
    plan = deepcopy(document(NAME))
    change(plan)
    answer = answer_of(plan)
    assert answer["status"] == "optimal"
    power = answer["designs"][0]["power"]
    assert (power["option"], power["ends_at"]) == (option, end)
    assert round(answer["cost"] * 100) == least_cents(ways)


def wired(element: float) -> dict[str, Any]:
    """The plan with a heater that may be wired in and has no cord, and an element of its own."""
    plan = deepcopy(document(NAME))
    heater = placed_heater()
    plan["heaters"] = [heater | {"cord_length": 0, "freeze_element": element}]
    return plan


def placed_heater() -> dict[str, Any]:
    """The catalogue's entry as a survey brings it along."""
    from service.http.catalogue_json import heater_entry
    from service.rules.catalogue import heaters

    return heater_entry(heaters()["nc-direct-120"]) | {"id": "own"}


@pytest.mark.parametrize(("element", "option"), [(150.0, "wired"), (310.0, "wired_switch")])
def test_a_heater_without_a_cord_is_wired_in(element: float, option: str) -> None:
    """240 VA: the breaker may be the disconnect; 400 VA: a switch in sight (NEC 422.31, text of 2017, read)."""
    answer = answer_of(wired(element))
    power = answer["designs"][0]["power"]
    assert power["option"] == option
    assert round(answer["cost"] * 100) == least_cents([(option, COMPRESSOR), (option, PANEL)])
    assert power["disconnect"]["by"].startswith("the circuit's breaker" if option == "wired" else "a switch in sight")


def test_no_circuit_carries_it() -> None:
    """A full bench, no other outlet, no place in the panel: nothing is placed, and the answer says why."""
    plan = deepcopy(document(NAME))
    no_compressor(plan)
    plan["receptacles"][1]["free_spaces"] = 0
    answer = answer_of(plan)
    assert (answer["status"], answer["designs"]) == ("infeasible", [])
    assert any("no circuit carries it, of bench-outlet, panel" in w for w in answer["warnings"])


def test_power_told_in_full() -> None:
    """Currents, limit and drop by hand: 390 W at 120 V; 12 AWG over 30 ft, 2 x 3.25 x 1.93 x 30 / 1000 V."""
    power = answer_of(document(NAME))["designs"][0]["power"]
    assert power["heater"]["running_current"] == 0.75 and power["heater"]["current_with_frost_element"] == 3.25
    circuit = power["circuit"]
    assert (circuit["breaker"], circuit["wire"], circuit["current_after"], circuit["limit"]) == (20, "12", 3.25, 16)
    assert circuit["limit_fastened_in_place"] is None and circuit["carries"] == "yes"
    assert power["voltage_drop"]["lost"] == pytest.approx(2 * 3.25 * 1.93 * 30 / 1000, abs=0.001)
    assert power["ground_fault_protection"]["asked"] == "no"
    carries = {o["id"]: o["carries"] for o in power["outlets"]}
    assert carries == {"bench-outlet": "no", "compressor-outlet": "yes", "panel": "yes"}
    within = {o["id"]: o["within_cord"] for o in power["outlets"]}
    assert within == {"bench-outlet": True, "compressor-outlet": True, "panel": False}


@pytest.mark.parametrize(
    ("changes", "broken"),
    [
        ({"ends_at": "bench-outlet"}, {"power.load", "route.end"}),
        ({"option": "cable"}, {"price.lines"}),
        ({"option": "wired"}, {"power.wired", "power.disconnect", "price.lines"}),
    ],
)
def test_checker_refuses(changes: dict[str, str], broken: set[str]) -> None:
    """The design handed in with its power told otherwise."""
    plan = solved(NAME)
    told = deepcopy(placement_json(plan.answer, plan.survey)["designs"][0])
    run = next(r for r in told["routes"] if r["service"] == "power")
    run.update(changes)
    found = check(plan.survey, load_design(told, plan.survey, plan.answer.building, Settings())).findings
    assert broken <= {f.rule_id for f in found if f.verdict in ("fail", "unknown")}


def test_checker_measures_the_cord() -> None:
    """The same design in a house whose heater has a shorter cord, or whose outlet needs protection."""
    plan = solved(NAME)
    told = placement_json(plan.answer, plan.survey)["designs"][0]
    short = deepcopy(document(NAME))
    short["heaters"] = [placed_heater() | {"id": "nc-direct-120", "cord_length": {"value": 1799, "unit": "mm"}}]
    low = deepcopy(document(NAME))
    low["site"]["grade"] = 0.2
    for plan_as, rule in ((short, "power.cord"), (low, "power.gfci")):
        survey = load_survey(plan_as, Settings())
        found = check(survey, load_design(told, survey, plan.answer.building, Settings())).findings
        assert rule in {f.rule_id for f in found if f.verdict == "fail"}
