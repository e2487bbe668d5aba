"""The gas system of the lawful design spoiled in one way at a time: pipes, meter, pressures, the drawn run."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.design import Design, GasWorks, Service, Verdict
from service.survey.equipment import PortService
from service.survey.model import GasMethod, KeepOutKind, Survey
from tests.unit.check_house import HEATER, C, W, box, broken, design, gas, house, keep_out, route, routes, run, site
from tests.unit.gas_house import BTU_H, INCH_WC, burner, feet, gas_faults, lawful, pipe, piped, to_west, told

STEM = pipe("stem", "meter", "tee", "1", 500)


def supplied(**changes: Any) -> tuple[Survey, Design]:
    """The lawful design with another gas supply."""
    at = house(gas=gas(**changes))
    return at, design(at)


def test_branch_and_old_pipe() -> None:
    """35.2 kW is 117.7 cfh here; 0.5 in w.c. over 20 ft: 1/2 in passes 118, 3/4 in 247 cfh (402.4(2), memory)."""
    at = house()
    assert broken(at, design(at, changed=(to_west("1/2", 500),))) == set()
    far = supplied(segments=(replace(STEM, length_mm=60_000),))
    assert broken(*far) == {"gas.branch", "gas.stated"}
    thin = replace(STEM, size="1/2")
    assert broken(*supplied(segments=(thin,))) == set()
    assert gas_faults(*supplied(segments=(thin,), appliances=(burner("tee", 35_000.0),))) == {("gas.segment", "stem")}
    assert broken(*supplied(segments=())) == {"gas.tap"}
    assert gas_faults(*redrawn_as("5/8")) >= {("gas.branch", "tee")}


def redrawn_as(option: str) -> tuple[Survey, Design]:
    """The lawful design whose branch says to be of other pipe."""
    at = house()
    given = design(at)
    return at, replace(
        given, routes=tuple(replace(r, option=option) if r.service is Service.GAS else r for r in given.routes)
    )


def test_pipe_of_unknown_capacity_is_unknown_if_it_carries_anything() -> None:
    odd = replace(STEM, material="corrugated", size="19")
    assert broken(*supplied(segments=(odd,)), Verdict.UNKNOWN) == {"gas.segment"}
    spur = replace(odd, id="spur", start="meter", end="stub")
    assert gas_faults(*lawful(piped((STEM, spur)), to_west("3/4", 500))) == set()
    found = told(*supplied(segments=(odd,)), "gas.segment", "stem")
    assert found.missing == "capacity of segment stem"


def test_undersized_pipe_off_the_way_is_found() -> None:
    """62,000 Btu/h is 60.8 cfh here: 1/2 in passes 65 cfh over 60 ft and 60 over 70 (402.4(2), memory)."""
    for length, faults in ((60, set()), (61, {("gas.segment", "spur")})):
        spur = pipe("spur", "meter", "range", "1/2", feet(length))
        at, given = lawful(piped((STEM, spur), (burner("range", 62_000 * BTU_H),)), to_west("1", 500))
        assert gas_faults(at, given) == faults


def test_an_appliance_whose_place_is_not_known_counts_on_every_pipe() -> None:
    loose, thin = replace(burner("tee", 35_000.0), node="nowhere"), replace(STEM, size="1/2")
    assert gas_faults(*supplied(segments=(thin,), appliances=(loose,))) == {("gas.segment", "stem")}


def test_fittings_count_where_they_are_counted() -> None:
    """4 elbows of 2.62 ft and a tee of 5.24 ft of 1 in pipe (IFGC A.2.2, read) are 4,791 mm rounded up one by one."""
    turned = replace(STEM, elbows=4, tees=1)
    at, given = lawful(piped((turned,)), to_west("1", 500 + 4 * 799 + 1598))
    assert gas_faults(at, given) == set()
    assert gas_faults(*lawful(piped((turned,)), to_west("1", 500))) == {("gas.stated", "tee")}


def test_diversity_counts_a_share_but_never_less_than_the_largest() -> None:
    """Three of 30 kW and the heater's 35.2 kW: 62.6 kW at one half; alone with a tenth of all, the heater's own."""
    three = tuple(replace(burner("tee", 30_000.0), id=f"f{i}") for i in range(3))
    total = 90_000 + HEATER.input_max_w
    for share, drawn in ((None, total), (0.5, total / 2), (0.1, HEATER.input_max_w)):
        for capacity, faults in ((drawn, set()), (drawn - 1, {("gas.meter", "meter")})):
            supply = piped((STEM,), three, diversity=share, meter_capacity_w=capacity)
            assert gas_faults(*lawful(supply, to_west("3/4", 500))) == faults
    found = told(*lawful(piped((STEM,), three, diversity=0.5), to_west("3/4", 500)), "gas.segment", "stem")
    assert str(found.detail).endswith(f"carries {total / 2:.0f} W")


def test_meter_fuel_and_material() -> None:
    at = house(gas=gas(meter_capacity_w=HEATER.input_max_w - 1))
    assert broken(at, design(at)) == {"gas.meter"}
    assert broken(at, design(at, meter_upgrade=True)) == set()
    assert broken(*supplied(meter_capacity_w=HEATER.input_max_w)) == set()
    propane = house(site=site(fuel="propane"))
    assert broken(propane, design(propane)) == {"gas.fuel"}
    tube = to_west("csst.25", 500)
    assert broken(*lawful(gas(), tube)) == {"gas.branch_material"}
    assert broken(*lawful(gas(branch_materials=("steel_sch40", "csst")), tube)) == set()


def test_service_regulator() -> None:
    """Nobody knows its capacity: told. It is known and too small: a larger one is bought."""
    at, given = lawful(gas(), to_west("3/4", 500))
    assert "gas.service_regulator" in broken(at, given, Verdict.ADVICE)
    enough, short = gas(service_regulator_w=HEATER.input_max_w), gas(service_regulator_w=HEATER.input_max_w - 1)
    assert broken(*lawful(enough, to_west("3/4", 500))) == set()
    assert broken(*lawful(short, to_west("3/4", 500))) == {"gas.service_regulator"}
    assert broken(*lawful(short, to_west("3/4", 500), GasWorks(service_regulator=True))) == set()


def test_pressure_at_the_heater() -> None:
    assert broken(*supplied(pressure_pa=HEATER.gas_inlet_max_pa + 1)) == {"gas.inlet_high"}
    assert broken(*supplied(pressure_pa=HEATER.gas_inlet_min_pa + 124)) == {"gas.inlet_low"}
    assert broken(*supplied(pressure_pa=HEATER.gas_inlet_min_pa + 125)) == set()
    assert broken(*supplied(pressure_pa=12_000.0)) == {"gas.inlet_high"}


def test_old_appliances_as_delivered_are_advice() -> None:
    low, high = burner("tee", 1000.0, inlet_min_pa=1626.0), burner("tee", 1000.0, inlet_max_pa=1749.0)
    for old in (low, high):
        at, given = supplied(appliances=(old,))
        assert broken(at, given) == set()
        assert "gas.appliance_inlet" in broken(at, given, Verdict.ADVICE)
    fit = burner("tee", 1000.0, inlet_min_pa=1625.0, inlet_max_pa=1750.0)
    assert (
        told(*supplied(appliances=(replace(fit, inlet_max_pa=None),)), "gas.appliance_inlet", "tee").verdict == "pass"
    )
    assert "gas.appliance_inlet" not in broken(*supplied(appliances=(fit,)), Verdict.ADVICE)


def pressured(least_inch: float, **changes: Any) -> tuple[Survey, Design]:
    """Sized by the losses: 1 in stem of 40 ft, 3/4 in branch; the heater asks that much."""
    supply = piped((replace(STEM, length_mm=feet(40)),), method=GasMethod.PRESSURE, pressure_pa=7 * INCH_WC, **changes)
    heater = replace(HEATER, gas_inlet_min_pa=least_inch * INCH_WC)
    return lawful(supply, to_west("3/4", feet(40)), heater=heater)


def test_losses_stay_within_the_drop_and_leave_the_heater_its_pressure() -> None:
    """117.66 cfh lose 0.07856 in w.c. in 40 ft of 1 in and 0.09106 in 14.383 ft of 3/4 in, with its turn and tee (annex
    form, by hand): 0.16962 in all."""
    at, given = pressured(5.5, allowable_drop_pa=0.1697 * INCH_WC)
    assert gas_faults(at, given) == set()
    lost = float(str(told(at, given, "gas.pressure_run", HEATER.id).detail).split()[0])
    assert lost / INCH_WC == pytest.approx(0.16962, abs=1e-4)
    run_short = ("gas.pressure_run", HEATER.id)
    assert gas_faults(*pressured(5.5, allowable_drop_pa=0.1696 * INCH_WC)) == {run_short}
    assert gas_faults(*pressured(6.8303, allowable_drop_pa=0.5 * INCH_WC)) == set()
    assert gas_faults(*pressured(6.8304, allowable_drop_pa=0.5 * INCH_WC)) == {run_short, ("gas.inlet_low", HEATER.id)}


def test_unknown_loss_is_unknown_all_along() -> None:
    odd = replace(STEM, size="7/8")
    at, given = lawful(piped((odd,), method=GasMethod.PRESSURE), to_west("3/4", 500))
    assert gas_faults(at, given) == {("gas.segment", "stem"), ("gas.inlet_low", HEATER.id)}
    both = told(at, given, "gas.segment", "stem"), told(at, given, "gas.inlet_low", HEATER.id)
    assert {f.verdict for f in both} == {Verdict.UNKNOWN}


def under_the_ceiling(kind: KeepOutKind, z0: int) -> set[str]:
    """The gas run led across the ceiling, with a keep-out on its way."""
    points = [(1500, 0, 900), (1500, 0, 3000), (1500, 1000, 3000), (0, 1000, 3000), (0, 1000, 900)]
    drawn = route(Service.GAS, "1", "tee", run(points, [W, C, C, W]), 3)
    return broken(*keep_out(box(1400, 400, 1600, 600), z0, 3100, kind, drawn))


def test_no_gas_through_a_duct_or_a_chimney() -> None:
    """IFGC 404.3 (read); a beam is in the way, but no rule of gas."""
    assert under_the_ceiling(KeepOutKind.DUCT, 2900) == {"route.keep_out", "gas.passage"}
    assert under_the_ceiling(KeepOutKind.CHIMNEY, 2900) == {"route.keep_out", "gas.passage"}
    assert under_the_ceiling(KeepOutKind.BEAM, 2900) == {"route.keep_out"}
    assert under_the_ceiling(KeepOutKind.DUCT, 3000) == set()


def test_shut_off_within_reach_of_the_port() -> None:
    """6 ft = 1,829 mm (409.5, read): 300 under the case, up its height to a port on top, and along to it."""
    ports = tuple(replace(p, on_top=True) if p.service is PortService.GAS else p for p in HEATER.ports)
    along = abs(next(p.dx_mm for p in ports if p.service is PortService.GAS) - HEATER.vent_dx_mm)
    for height, faults in ((1829 - 300 - along, set()), (1830 - 300 - along, {"gas.shutoff"})):
        heater = replace(HEATER, ports=ports, height_mm=height)
        at = house()
        given = design(at, bottom=402, heater=heater, changed=(routes(402, heater=heater)[Service.GAS],))
        assert {f for f in broken(at, given) if f.startswith("gas.")} == faults
