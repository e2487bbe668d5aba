"""What the report of a gas system says: works, pressures against limits, meter, request, items, notes."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from service.errors import CheckFailed
from service.http.gas_json import UNTURNED, report_json
from service.http.quantities import Quantities
from service.piping.extended import Branch, with_heater
from service.piping.judge import Judgement
from service.survey.equipment import PriceBook
from service.survey.gas_request import GasRequest
from service.survey.model import GasFittings, GasMethod, GasSupply, LineRegulator, PressureOption, UnitSystem
from service.trades.gas_parts import labels, supports
from service.usecases import gas_methods
from service.usecases.gas import gas_report, gas_report_of
from service.usecases.gas_results import GasReport
from service.usecases.gas_system import Asked
from tests.unit.gas_systems import (
    NATURAL,
    PRICES,
    PROPANE,
    btu_h,
    burner,
    detail,
    feet,
    heater,
    in_wc,
    pipe,
    psi,
    report,
    segment,
    supply,
    verdicts,
)


def house(**more: object) -> GasSupply:
    """3/4 in to a tee, a furnace and a range, and a new branch of tubing to the planned heater."""
    pipes = (
        pipe("main", "meter", "tee", "3/4", 12, elbows=2, tees=0),
        pipe("furnace-run", "tee", "furnace", "3/4", 20),
        pipe("branch", "tee", "spot", None, 16, material="csst"),
    )
    burners = (burner("furnace", "furnace", 60_000), heater("spot"))
    return supply(pipes, burners, in_wc(7), in_wc(0.5), **more)


def test_what_is_too_small_is_renewed_and_what_is_new_is_sized() -> None:
    """259 cfh over 48 ft: the table's row 50 gives 151 in 3/4, 284 in 1 in; 60 cfh stays in 3/4 (402.4(2), memory)."""
    found = report(house(fittings=GasFittings.ALLOWANCE))
    assert [s.action for s in found.segments] == ["renew", "keep", "new"]
    main = segment(found, "main")
    assert (main.size_needed, main.size_chosen, main.length_used_mm) == ("1", "1", feet(12) + feet(20))
    assert main.present_capacity_w == pytest.approx(btu_h(170_000))  # row 40
    assert main.capacity_w == pytest.approx(btu_h(320_000))
    assert main.source == "IFGC 2018 Table 402.4(2)"
    assert found.cost_cents == sum(s.cost_cents or 0 for s in found.segments)
    assert found.lawful


def test_only_what_fails_without_the_heater_is_short_today() -> None:
    """170 cfh pass through the main: 60 do today, 259 with the heater; with a furnace of 180 it is short already."""
    assert not segment(report(house(fittings=GasFittings.ALLOWANCE)), "main").already_short
    big = replace(house(fittings=GasFittings.ALLOWANCE), appliances=(burner("furnace", "furnace", 180_000),
                                                                     heater("spot")))  # fmt: skip
    assert segment(report(big), "main").already_short
    bigger = replace(big, appliances=(burner("furnace", "furnace", 200_000), heater("spot")), method=GasMethod.PRESSURE)
    assert any(s.already_short for s in report(bigger).segments)  # which part of the run is a matter of price
    assert not any(s.already_short for s in report(replace(house(), method=GasMethod.PRESSURE)).segments)


def test_beyond_pipe_that_cannot_be_had_no_pressure_is_told() -> None:
    """A fixed 1/2 in main: it fails, what hangs on it is unknown, nothing is lawful."""
    stuck = replace(house(), segments=(replace(house().segments[0], size="1/2", fixed=True), *house().segments[1:]))
    found = report(stuck)
    assert segment(found, "main").action == "impossible"
    assert found.cost_cents is None
    assert verdicts(found, "gas.capacity")["main"] == "fail"
    assert [i.full_fire_pa for i in found.inlets] == [None, None]
    assert [i.lawful for i in found.inlets] == [None, None]
    assert set(verdicts(found, "gas.inlet.full_fire").values()) == {"unknown"}
    assert not found.lawful


def test_pipe_of_unknown_capacity_that_must_stay_is_unknown() -> None:
    """Not known never counts as a pass, and what is missing is named."""
    lead = replace(house(), segments=(replace(house().segments[0], material="lead", fixed=True), *house().segments[1:]))
    found = report(lead)
    assert verdicts(found, "gas.capacity")["main"] == "unknown"
    assert next(f.missing for f in found.findings if f.object_id == "main") == "capacity of 3/4 in lead"


def test_an_appliance_above_its_maximum_fails_with_the_figures() -> None:
    """2 psi at an inlet that takes 10.5 in w.c."""
    system = supply((pipe("a", "meter", "x", "1/2", 20),), (burner("range", "x", 65_000),), psi(2), psi(1))
    found = report(system)
    assert verdicts(found, "gas.inlet.static") == {"range": "fail"}
    said = detail(found, "gas.inlet.static", "range")
    assert "2 psi" in said and "10.5 in w.c." in said
    assert (found.lawful, found.inlets[0].lawful) == (False, False)


def test_an_appliance_below_its_minimum_fails_with_the_figures() -> None:
    """6 in w.c. less what the pipe takes is less than 5.9."""
    least = burner("boiler", "x", 170_000, inlet_min_pa=in_wc(5.9))
    found = report(supply((pipe("a", "meter", "x", "3/4", 40),), (least,), in_wc(6), in_wc(0.5)))
    assert verdicts(found, "gas.inlet.full_fire") == {"boiler": "fail"}
    assert "5.9 in w.c." in detail(found, "gas.inlet.full_fire", "boiler")


def test_ranges_that_were_not_read_are_common_practice_and_said() -> None:
    """8 to 14 in w.c. of propane, 5.5 to 10.5 of natural gas (common practice, no source)."""
    unread = burner("range", "x", 65_000, inlet_min_pa=None, inlet_max_pa=None)
    for gas, at, span in ((NATURAL, 7.0, (5.5, 10.5)), (PROPANE, 11.0, (8.0, 14.0))):
        found = report(supply((pipe("a", "meter", "x", "3/4", 20),), (unread,), in_wc(at), in_wc(0.5)), gas)
        inlet = found.inlets[0]
        assert (inlet.min_pa, inlet.max_pa) == pytest.approx((in_wc(span[0]), in_wc(span[1])))
        assert inlet.limits_from == "common practice"
        assert any("range" in a and "nameplate" in a for a in found.assumptions)
    half = replace(unread, inlet_min_pa=in_wc(5))
    found = report(supply((pipe("a", "meter", "x", "3/4", 20),), (half,), in_wc(7), in_wc(0.5)))
    assert found.inlets[0].limits_from == "least nameplate, most common practice"


def test_a_system_without_load_asks_for_nothing() -> None:
    """No appliance: every pipe stays, no flow, full pressure at its end, no request."""
    found = report(supply((pipe("a", "meter", "x", "1/2", 30),), (), in_wc(7), in_wc(0.5)))
    only = segment(found, "a")
    assert (only.action, only.load_w, only.speed_m_s) == ("keep", 0, 0)
    assert only.pressure_out_pa == pytest.approx(in_wc(7))
    assert (found.lawful, found.cost_cents, found.request_to_supplier, found.parts) == (True, 0, (), ())
    assert any("No appliance" in w for w in found.warnings)


def test_a_supply_without_pipe_is_judged() -> None:
    """An appliance at the point of delivery."""
    found = report(supply((), (burner("range", "meter", 65_000),), in_wc(7), in_wc(0.5)))
    assert found.lawful
    assert found.inlets[0].full_fire_pa == in_wc(7)


def test_a_meter_too_small_is_advice_where_its_change_is_priced_and_else_fails() -> None:
    """In both cases the supplier is asked, with the loads before and after."""
    small = house(meter_btu_h=250_000)
    priced = report(small)
    assert verdicts(priced, "gas.meter") == {"": "advice"}
    letter = "\n".join(priced.request_to_supplier)
    assert "60,000 Btu/h, after the work 259,000 Btu/h (259 cfh at 1000 Btu/ft3)" in letter
    assert "class 400 or more" in letter and "The supplier decides" in letter
    assert "service line" in letter
    items = {key: price for key, price in PRICES.items.items() if key != "gas.meter_upgrade"}
    bare = GasRequest("test", UnitSystem.US, small, NATURAL, PriceBook("bare", "USD", items))
    unpriced = gas_report(bare)
    assert verdicts(unpriced, "gas.meter") == {"": "fail"}
    assert "ask the supplier" in detail(unpriced, "gas.meter")
    assert not unpriced.lawful


def test_beyond_all_classes_no_meter_is_named() -> None:
    """1,200 cfh."""
    found = report(supply((), (burner("plant", "meter", 1_200_000),), in_wc(7), in_wc(0.5)))
    assert found.meter.class_needed is None
    assert "beyond the usual classes" in "\n".join(found.request_to_supplier)


def test_nothing_is_asked_where_all_is_enough() -> None:
    """No letter."""
    assert report(house()).request_to_supplier == ()


def test_the_service_regulator_is_judged_where_it_is_known() -> None:
    """Too small: asked for."""
    found = report(house(service_regulator_w=btu_h(200_000)))
    assert found.meter.service_regulator_enough is False
    assert "service regulator" in "\n".join(found.request_to_supplier).lower()
    assert report(house(service_regulator_w=btu_h(300_000))).meter.service_regulator_enough is True
    assert report(house()).meter.service_regulator_enough is None


def behind_regulator(regulator: LineRegulator, asked: Asked = Asked()) -> GasReport:  # noqa: B008 - frozen
    """2 psi to a line regulator, 7 in w.c. behind it."""
    pipes = (pipe("high", "meter", "r", "1/2", 30), pipe("low", "r", "x", "1", 20))
    system = supply(pipes, (burner("boiler", "x", 200_000),), psi(2), psi(1), regulators=(regulator,))
    return gas_report_of(system, NATURAL, PRICES, UnitSystem.US, asked)


def test_a_line_regulator_of_unknown_capacity_and_loss_is_unknown() -> None:
    """Both named; known ones pass; too small a one fails."""
    bare = LineRegulator("r", in_wc(7), in_wc(0.5))
    found = behind_regulator(bare)
    assert {f.rule_id for f in found.findings if f.verdict == "unknown"} == {
        "gas.regulator.capacity", "gas.regulator.loss"
    }  # fmt: skip
    assert all("line regulator at r" in f.missing for f in found.findings if f.verdict == "unknown")
    known = replace(bare, capacity_w=btu_h(250_000), loss_pa=psi(0.25))
    assert behind_regulator(known).lawful
    small = behind_regulator(replace(known, capacity_w=btu_h(150_000)))
    assert verdicts(small, "gas.regulator.capacity") == {"r": "fail"}


def test_a_line_regulator_that_is_bought_is_told_what_to_be() -> None:
    """Advice, and the items that go with it."""
    found = behind_regulator(LineRegulator("r", in_wc(7), in_wc(0.5)), Asked(bought_regulators=("r",)))
    assert found.lawful
    assert verdicts(found, "gas.regulator.capacity") == {"r": "advice"}
    items = [p.item for p in found.parts if p.where == "r"]
    assert any("plugged" in i for i in items) and any("union" in i for i in items) and any("valve" in i for i in items)


def test_a_regulator_that_gets_too_little_fails() -> None:
    """It cannot hold 1.9 psi behind 30 ft of 1/2 in."""
    found = behind_regulator(LineRegulator("r", psi(1.9), psi(0.5), btu_h(250_000), psi(0.25)))
    assert verdicts(found, "gas.regulator.inlet") == {"r": "fail"}


def test_every_method_stands_beside_with_its_cost_confirmed() -> None:
    """Five, the governing one first; the table's 199 cfh over 30 ft fail by the equation (198.6, computed)."""
    edge = supply((pipe("a", "meter", "x", "3/4", 30),), (heater("x"),), in_wc(7), in_wc(0.5))
    found = report(edge)
    assert [m.method for m in found.methods][0] is GasMethod.LONGEST_TABLES
    assert {m.method for m in found.methods} == set(GasMethod)
    needs = {m.method: m.sizes[0][1] for m in found.methods}
    assert needs[GasMethod.LONGEST_TABLES] == "3/4"
    assert needs[GasMethod.LONGEST_EQUATION] == "1"
    assert all(m.cross_check.startswith("CP-SAT OPTIMAL") for m in found.methods)
    assert verdicts(found, "gas.drop") == {"meter": "advice"}
    assert found.lawful


def test_a_second_solver_that_disagrees_stops_the_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Our fault, never the caller's."""
    monkeypatch.setattr(gas_methods, "judge", lambda *_: Judgement("OPTIMAL", 1))
    with pytest.raises(CheckFailed):
        report(house())


@pytest.mark.parametrize(("length", "spacing", "count"), [(feet(16), feet(8), 3), (feet(17), feet(8), 4), (0, 1.0, 0),
                                                          (feet(1), feet(8), 2)])  # fmt: skip
def test_supports_are_counted(length: int, spacing: float, count: int) -> None:
    """One at the start, one at the end of every spacing begun."""
    assert supports(length, spacing) == count


def test_items_of_new_and_renewed_pipe_are_counted_with_their_rules() -> None:
    """Heater's valve, union and trap; supports and labels; one bond; one test; nothing for pipe that stays."""
    parts = {(p.item.split(",")[0], p.where): p for p in report(house()).parts}
    assert parts["tee at the tap", "tee"].known_from == "common_practice"
    assert parts["shut-off valve", "heater"].quantity == 1
    assert "6 ft" in parts["shut-off valve", "heater"].item
    assert parts["support of corrugated tubing EHD 37", "branch"].quantity == 16 / 4 + 1
    assert parts["yellow gas label", "branch"].quantity == labels(feet(16)) == 5
    assert parts["support of 1 in Schedule 40 steel", "main"].quantity == 3  # 12 ft, 8 ft apart
    assert parts["bonding jumper", "branch"].citation.startswith("IFGC / IRC 2009, 310.1.1")
    assert any("3 psi" in p.item for p in parts.values())
    assert not any(where == "furnace-run" for _, where in parts)


def test_plastic_is_buried_and_not_hung() -> None:
    """Tracer wire, cover and risers instead of supports."""
    pipes = (pipe("yard", "meter", "x", None, 60, material="pe"),)
    found = report(supply(pipes, (burner("grill", "x", 40_000),), in_wc(7), in_wc(0.5)))
    items = "\n".join(p.item for p in found.parts)
    assert "18 AWG" in items and "12 in of cover" in items and "riser" in items and "support" not in items
    assert verdicts(found, "gas.pe.outdoors") == {"yard": "advice"}


def test_a_branch_within_a_pipe_splits_it() -> None:
    """As the placement hangs the heater: both parts are told, the tee is at the tap, the pressure asked for is said."""
    old = replace(house(), segments=house().segments[:2], appliances=house().appliances[:1])
    branch = Branch("h1", btu_h(199_000), in_wc(5.5), in_wc(10.5), "furnace-run", feet(5), "steel_sch40", None,
                    feet(10), 2, 0)  # fmt: skip
    hung = with_heater(old, branch)
    option = PressureOption("p", in_wc(7), in_wc(0.5))
    found = gas_report_of(hung.supply, NATURAL, PRICES, UnitSystem.US, Asked(option))
    assert {s.id for s in found.segments} == {"main", hung.before, hung.after, hung.branch}
    assert [p.where for p in found.parts if p.item == "tee at the tap"] == ["tap on furnace-run"]
    assert found.inlets[-1].limits_from == "listing"
    assert "Delivery pressure: asked for is 7 in w.c." in "\n".join(found.request_to_supplier)


def test_diversity_is_warned_of_and_lowers_the_load() -> None:
    """Stated by the survey, never assumed, and told; the largest appliance always counts whole."""
    found = report(house(diversity=0.8, meter_btu_h=250_000))
    assert "80%" in detail(found, "gas.diversity")
    assert found.meter.drawn_w == pytest.approx(btu_h(0.8 * 259_000))
    assert found.meter.enough
    assert segment(found, "branch").load_w == pytest.approx(btu_h(199_000))


def test_altitude_is_a_note_and_never_for_pipe() -> None:
    """At 5,000 ft 199,000 Btu/h are 159,200 by the sea-level rule (computed); pipe carries the nameplate."""
    high = replace(NATURAL, altitude_m=1524.0)
    found = report(house(), high)
    assert found.inlets[1].derated_w == pytest.approx(btu_h(159_200))
    assert segment(found, "branch").load_w == pytest.approx(btu_h(199_000))
    assert any("5000 ft" in a for a in found.assumptions)
    assert (segment(found, "branch").speed_m_s or 0) > (segment(report(house()), "branch").speed_m_s or 0)


def test_tables_that_were_not_read_or_are_wrong_in_print_are_named() -> None:
    """402.4(2) is from memory; 402.4(28) has wrong row labels beyond 60 ft, and the equation stands in there."""
    assert any("402.4(2)" in w and "memory" in w for w in report(house()).warnings)
    long = supply((pipe("a", "meter", "x", None, 80),), (heater("x", inlet_min_pa=in_wc(8), inlet_max_pa=in_wc(13)),),
                  in_wc(11), in_wc(0.5))  # fmt: skip
    found = report(long, PROPANE)
    assert segment(found, "a").size_chosen == "1"  # the printed row would pass 3/4
    assert "equation" in segment(found, "a").source
    assert any("402.4(28)" in w and "labels" in w for w in found.warnings)


def test_fast_gas_is_noted() -> None:
    """2 psi through 1/2 in: 700 cfh in 0.00211 ft2 are more than 60 ft/s."""
    system = supply((pipe("a", "meter", "x", "1/2", 10),), (burner("b", "x", 700_000, inlet_max_pa=psi(3)),),
                    psi(2), psi(1))  # fmt: skip
    found = report(system)
    assert "common practice" in segment(found, "a").speed_note
    assert verdicts(found, "gas.speed") == {"a": "advice"}


@pytest.mark.parametrize("units", list(UnitSystem))
def test_figures_are_in_the_callers_units_and_the_same_each_time(units: UnitSystem) -> None:
    """Same request, same bytes; an SI reader meets no Btu or inch of water in what we write."""
    request = GasRequest("test", units, house(meter_btu_h=250_000), NATURAL, PRICES)
    told = [json.dumps(report_json(gas_report(request), Quantities(units, UNTURNED, "USD"))) for _ in range(2)]
    assert told[0] == told[1]
    if units is UnitSystem.SI:
        answer = json.loads(told[0])
        said = [f["detail"] for f in answer["findings"]] + answer["request_to_supplier"]
        said += list(answer["assumptions"]) + [p["item"] for p in answer["parts"]]
        assert not [s for s in said if "Btu" in s or "in w.c." in s or " ft" in s or "psi " in s]
