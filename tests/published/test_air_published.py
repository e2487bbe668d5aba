"""Combustion air against the codes' figures and public worked examples."""

from __future__ import annotations

import pytest

from service.rules.tables import UNITS
from service.trades import air

BTU_H, FT3, IN2_MM2 = UNITS["Btu/h"], UNITS["ft"] ** 3, 25.4**2


@pytest.mark.parametrize(
    ("input_btu_h", "volume_ft3"),
    [
        pytest.param(150_000, 7_500, id="gas utility's engineering guide, read"),
        pytest.param(80_000, 4_000, id="licence-exam page to IFGC 304.5.1, read"),
        pytest.param(199_000, 9_950, id="computed from 50 ft3 for 1,000 Btu/h"),
        pytest.param(40_000, 2_000, id="draft-hood heater beside a direct-vent one, whose input is left out; computed"),
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
        pytest.param((20, 30, 8), 150_000, id="gas utility's engineering guide, read"),
        pytest.param((20, 18, 8), 80_000, id="licence-exam page, read"),
    ],
)
def test_rooms_of_the_examples_are_too_small(size_ft: tuple[float, float, float], input_btu_h: float) -> None:
    """Both published examples end in: not enough."""
    volume = size_ft[0] * size_ft[1] * size_ft[2] * FT3
    assert not air.room_air_ok(volume, input_btu_h * BTU_H)


def test_room_of_just_the_volume_is_enough() -> None:
    """At least the volume, so equality passes and a litre less fails (IFGC 304.5.1, read)."""
    needed = air.required_volume_m3(46_000)
    assert air.room_air_ok(needed, 46_000)
    assert not air.room_air_ok(needed - 0.001, 46_000)


@pytest.mark.parametrize(("input_btu_h", "in2"), [(199_000, 49.75), (150_000, 37.5)])
def test_outdoor_opening(input_btu_h: float, in2: float) -> None:
    """1 in2 for 4,000 Btu/h each (IRC M1703.2, read); the areas are computed."""
    assert air.outdoor_opening_mm2(input_btu_h * BTU_H) / IN2_MM2 == pytest.approx(in2, rel=1e-9)


def test_outdoor_opening_in_printed_si() -> None:
    """550 mm2/kW as printed beside the inch value, and 32,100 mm2 for 199,000 Btu/h."""
    assert air.outdoor_opening_mm2(1000) == pytest.approx(550, abs=1)
    assert air.outdoor_opening_mm2(199_000 * BTU_H) == pytest.approx(32_100, abs=10)
