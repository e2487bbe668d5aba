"""Combustion air against the codes' figures and public worked examples.

Marks after the examples: read, memory, derived (arithmetic on rules that are read or remembered).
"""

from __future__ import annotations

from math import inf

import pytest

from service.design import AirMethod
from service.rules.tables import UNITS
from service.trades import air, air_ca
from service.trades.air import AirLoad

BTU_H, FT3, IN2_MM2, CFM = UNITS["Btu/h"], UNITS["ft"] ** 3, 25.4**2, UNITS["ft"] ** 3 / 60


def load(fan_btu_h: float, other_btu_h: float = 0.0) -> AirLoad:
    """Inputs in Btu/h."""
    return AirLoad(fan_btu_h * BTU_H, other_btu_h * BTU_H)


@pytest.mark.parametrize(
    ("input_btu_h", "volume_ft3"),
    [
        pytest.param(150_000, 7_500, id="49 - gas utility's engineering guide, read"),
        pytest.param(80_000, 4_000, id="50 - licence-exam page to IFGC 304.5.1, read"),
        pytest.param(199_000, 9_950, id="computed from 50 ft3 for 1,000 Btu/h"),
        pytest.param(40_000, 2_000, id="61 - draft-hood heater beside a direct-vent one, whose input is left out"),
    ],
)
def test_standard_volume(input_btu_h: float, volume_ft3: float) -> None:
    """IFGC 304.5.1, NFPA 54 9.3.2.1 (read)."""
    assert air.required_volume_m3(input_btu_h * BTU_H) / FT3 == pytest.approx(volume_ft3, rel=1e-9)


def test_standard_volume_in_printed_si() -> None:
    """150,000 Btu/h needs 212 m3 (read); the rate is 4.83 m3/kW as printed, 4.8315 exactly."""
    assert air.required_volume_m3(150_000 * BTU_H) == pytest.approx(212, abs=0.5)
    assert air.required_volume_m3(1000) == pytest.approx(4.83, abs=0.005)


@pytest.mark.parametrize(
    ("size_ft", "input_btu_h"),
    [
        pytest.param((20, 30, 8), 150_000, id="49 - gas utility's engineering guide, read"),
        pytest.param((20, 18, 8), 80_000, id="50 - licence-exam page, read"),
    ],
)
def test_rooms_of_the_examples_are_too_small(size_ft: tuple[float, float, float], input_btu_h: float) -> None:
    """Both published examples end in: not enough."""
    volume = size_ft[0] * size_ft[1] * size_ft[2] * FT3
    assert not air.room_air_ok(volume, input_btu_h * BTU_H)


def test_first_example_goes_on_with_openings() -> None:
    """150,000 Btu/h: one opening 50.0 in2, two 37.5 in2 each, a fan of 52.5 cfm (derived)."""
    w = 150_000 * BTU_H
    assert air.one_opening_mm2(w) / IN2_MM2 == pytest.approx(50.0, rel=1e-9)
    assert air.outdoor_opening_mm2(w) / IN2_MM2 == pytest.approx(37.5, rel=1e-9)
    assert air.supply_m3_s(w) / CFM == pytest.approx(52.5, rel=1e-9)


def test_room_of_just_the_volume_is_enough() -> None:
    """At least the volume, so equality passes and a litre less fails (IFGC 304.5.1, read)."""
    needed = air.required_volume_m3(46_000)
    assert air.room_air_ok(needed, 46_000)
    assert not air.room_air_ok(needed - 0.001, 46_000)


@pytest.mark.parametrize(
    ("burning", "changes", "volume_ft3"),
    [
        pytest.param(load(199_000), 0.30, 9_950, id="51 - fan-assisted, derived from IA3, read"),
        pytest.param(load(199_000), 0.80, 4_975, id="52 - no more than 0.60 counts, derived from IA4, read"),
        pytest.param(load(100_000, 40_000), 0.35, 2_400 + 30_000 / 7, id="53 - furnace and draft-hood heater, derived"),
        pytest.param(load(0, 100_000), 0.60, 3_500, id="floor of 35 ft3 for 1,000 Btu/h, derived"),
        pytest.param(load(100_000), 0.60, 2_500, id="floor of 25 ft3 for 1,000 Btu/h, fan-assisted, derived"),
        pytest.param(load(100_000), 0.0, inf, id="none at all"),
    ],
)
def test_known_infiltration(burning: AirLoad, changes: float, volume_ft3: float) -> None:
    """21 ft3 over the air changes for 1,000 Btu/h, 15 for fan-assisted input, summed (NFPA 54 9.3.2.2, read)."""
    assert air.infiltration_volume_m3(burning, changes) / FT3 == pytest.approx(volume_ft3, rel=1e-9)


def test_fourth_example_as_told() -> None:
    """Check 53 in whole cubic feet: 6,686 (derived)."""
    assert round(air.infiltration_volume_m3(load(100_000, 40_000), 0.35) / FT3) == 6_686


@pytest.mark.parametrize(("burning", "changes"), [(load(0, 70_000), 0.42), (load(70_000), 0.30)])
def test_methods_cross_over(burning: AirLoad, changes: float) -> None:
    """Known infiltration asks for 50 ft3 for 1,000 Btu/h at 0.42 air changes, fan-assisted at 0.30 (derived)."""
    assert air.infiltration_volume_m3(burning, changes) == pytest.approx(air.required_volume_m3(burning.total_w))


@pytest.mark.parametrize(
    ("changes", "tight", "lawful"),
    [(0.35, None, False), (0.40, None, True), (None, None, True), (None, False, True), (None, True, False)],
)
def test_standard_method_is_refused_below_forty_hundredths(
    changes: float | None, tight: bool | None, lawful: bool
) -> None:
    """Check 54: 0.35 air changes known, the standard method is not to be used (NFPA 54 9.3.2, read). A house known to
    be tight whose air changes are not known: common practice, no source."""
    assert air.standard_is_lawful(changes, tight) is lawful
    assert (AirMethod.STANDARD in air.indoor_volumes_m3(load(1.0), changes, tight)) is lawful


@pytest.mark.parametrize(("input_btu_h", "in2"), [(199_000, 49.75), (150_000, 37.5)])
def test_outdoor_opening(input_btu_h: float, in2: float) -> None:
    """Check 56: 1 in2 for 4,000 Btu/h each (IRC M1703.2, read); the areas are computed."""
    assert air.outdoor_opening_mm2(input_btu_h * BTU_H) / IN2_MM2 == pytest.approx(in2, rel=1e-9)


def test_outdoor_opening_in_printed_si() -> None:
    """550 mm2/kW as printed beside the inch value, and 32,100 mm2 for 199,000 Btu/h."""
    assert air.outdoor_opening_mm2(1000) == pytest.approx(550, abs=1)
    assert air.outdoor_opening_mm2(199_000 * BTU_H) == pytest.approx(32_100, abs=10)


def test_horizontal_ducts() -> None:
    """Check 57: 99.5 in2 each for 199,000 Btu/h (derived from IRC M1703.2, read); 1100 mm2/kW as printed."""
    assert air.horizontal_duct_mm2(199_000 * BTU_H) / IN2_MM2 == pytest.approx(99.5, rel=1e-9)
    assert air.horizontal_duct_mm2(1000) == pytest.approx(1100, abs=2)


def test_one_opening_and_its_louvre() -> None:
    """Check 58 and fifth example: 66.3 in2 free, 88.4 in metal, 265.3 in wood (IFGC 304.6.2 memory; shares read)."""
    area = air.one_opening_mm2(199_000 * BTU_H)
    made = air.opening(area)
    told = [made.free_mm2, made.gross_metal_mm2, made.gross_wood_mm2]
    assert [round(v / IN2_MM2, 1) for v in told] == [66.3, 88.4, 265.3]
    assert made.free_mm2 >= area and made.gross_metal_mm2 * 0.75 >= area and made.gross_wood_mm2 * 0.25 >= area


def test_one_opening_is_no_smaller_than_the_vent_connectors() -> None:
    """IFGC 304.6.2 (memory): a 6 in connector is 28.3 in2, more than 40,000 Btu/h ask for."""
    six_inch = 3.14159265 / 4 * 36 * IN2_MM2
    assert air.one_opening_mm2(40_000 * BTU_H, six_inch) == six_inch
    assert air.one_opening_mm2(400_000 * BTU_H, six_inch) > six_inch


@pytest.mark.parametrize(("input_btu_h", "in2"), [(80_000, 100), (40_000, 100), (199_000, 199), (100_000, 100)])
def test_indoor_openings(input_btu_h: float, in2: float) -> None:
    """Check 59: 1 in2 for 1,000 Btu/h, no less than 100 in2 each (New York City appendix, read)."""
    assert air.indoor_opening_mm2(input_btu_h * BTU_H) / IN2_MM2 == pytest.approx(in2, rel=1e-9)


def test_indoor_openings_in_printed_si() -> None:
    """2200 mm2/kW, at least 0.0645 m2; between storeys 4400 mm2/kW together (memory)."""
    assert air.indoor_opening_mm2(0) == pytest.approx(64_500, abs=20)
    assert air.indoor_opening_mm2(100_000) == pytest.approx(220_000, rel=2e-3)
    assert air.storeys_opening_mm2(100_000) == pytest.approx(440_000, rel=2e-3)


def test_combined_air_of_the_annex_example() -> None:
    """Check 55: furnace 100,000 and heater 40,000 in 15 x 30 x 8 ft; 7,000 ft3 asked, 3,600 there. With the share
    rounded to 0.51 as printed 22.9, hence 23 in2; unrounded 22.7 (NFPA 54 annex, read; last steps derived)."""
    full = air.one_opening_mm2(140_000 * BTU_H)
    asked = air.required_volume_m3(140_000 * BTU_H)
    assert asked / FT3 == pytest.approx(7_000)
    assert air.combined_mm2(full, 0.51, 1.0) / IN2_MM2 == pytest.approx(22.9, abs=0.05)
    assert air.combined_mm2(full, 15 * 30 * 8 * FT3, asked) / IN2_MM2 == pytest.approx(22.7, abs=0.05)
    assert air.combined_mm2(full, 8_000 * FT3, asked) == 0


def test_mechanical_supply() -> None:
    """Check 60: 69.65 cfm, 32.9 L/s for 199,000 Btu/h (0.35 cfm for 1,000, read; computed); exhaust is made up."""
    flow = air.supply_m3_s(199_000 * BTU_H)
    assert flow / CFM == pytest.approx(69.65, rel=1e-9)
    assert flow * 1000 == pytest.approx(32.9, abs=0.05)
    assert air.supply_m3_s(199_000 * BTU_H, 50 * CFM) / CFM == pytest.approx(119.65, rel=1e-9)


@pytest.mark.parametrize(
    ("burning", "tight", "in2", "table"),
    [
        pytest.param(load(136_000), True, 11, "8.2", id="62 - tight, 100,000 and 36,000 without draft control, read"),
        pytest.param(load(150_000), True, 11, "8.2", id="known cell, read"),
        pytest.param(load(0, 50_000), True, 7, "8.1", id="known cell, read"),
        pytest.param(load(0, 120_000), True, 18, "8.1", id="next larger known cell, read"),
        pytest.param(load(0, 300_000), True, 43, "8.1", id="last known cell, read"),
        pytest.param(load(0, 225_000), False, 32, "8.3", id="not tight, read"),
        pytest.param(load(0, 1_600_000), True, 186, "8.1", id="63 - over 400,000: 142.9 and 42.9, read"),
        pytest.param(load(0, 700_000), None, 100, "8.1", id="over 400,000 at the first rate, derived"),
    ],
)
def test_canadian_cells(burning: AirLoad, tight: bool | None, in2: float, table: str) -> None:
    """CSA B149.1 8.2 by the cells of a technician's training text."""
    found = air_ca.opening_area(burning, tight)
    assert (found.area_mm2 / IN2_MM2, found.table, found.derived) == (pytest.approx(in2, rel=1e-9), table, False)


def test_canadian_rate_beyond_the_cells_says_so() -> None:
    """199,000 without draft control: next step 200,000 over 14,000 is 14.3, hence 15 in2 (derived)."""
    found = air_ca.opening_area(load(199_000), None)
    assert found.derived and "derived" in found.citation
    assert found.area_mm2 / IN2_MM2 == pytest.approx(15, rel=1e-9)


@pytest.mark.parametrize("kbtu_h", range(5, 400, 5))
def test_canadian_areas_are_never_below_the_rate_nor_fall(kbtu_h: int) -> None:
    """Rates derived from the cells bound them from below, and more input never asks for less; what is not tight, as
    little as it is known, never asks for more than tight."""
    for fan, rate in ((True, 14_000), (False, 7_000)):
        inputs = [load(w, 0) if fan else load(0, w) for w in (kbtu_h * 1000.0, kbtu_h * 1000.0 + 1)]
        tight = [air_ca.opening_area(i, True).area_mm2 / IN2_MM2 for i in inputs]
        assert tight[0] >= kbtu_h * 1000 / rate - 0.15  # 7 and 11 in2 of the cells are rounded to the nearest
        assert tight[1] >= tight[0]
        assert air_ca.opening_area(inputs[0], False).area_mm2 / IN2_MM2 <= tight[0]


def test_unknown_draft_control_and_tightness_ask_for_more() -> None:
    """One appliance that may have a draft control device brings all under the larger table; unknown is tight."""
    alone = air_ca.opening_area(load(100_000), None)
    both = air_ca.opening_area(load(60_000, 40_000), None)
    assert (alone.table, both.table) == ("8.2", "8.1") and both.area_mm2 > alone.area_mm2
    assert air_ca.opening_area(load(100_000), False).table == "8.4"
