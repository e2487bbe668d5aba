"""Condensate and vent falls against published figures."""

from __future__ import annotations

import pytest

from service.rules.tables import UNITS
from service.trades import condensate

GAL_H, BTU_H = UNITS["gpm"] / 60, UNITS["Btu/h"]


@pytest.mark.parametrize(("input_btu_h", "gal_h"), [(199_000, 1.99), (100_000, 1.0)])
def test_design_flow(input_btu_h: float, gal_h: float) -> None:
    """About one US gallon for 100,000 Btu (three trade papers, read); 199,000 Btu/h gives 2.0."""
    assert condensate.flow_m3_s(input_btu_h * BTU_H) / GAL_H == pytest.approx(gal_h, rel=1e-9)


@pytest.mark.parametrize(
    ("fuel", "litres_of_water_per_mj"),
    [
        # CH4 -> 2 H2O: 36.03 kg of water for 16.04 kg at 55.5 MJ/kg; C3H8 -> 4 H2O: 72.06 for 44.10 at 50.35.
        ("natural_gas", 36.03 / 16.04 / 55.5),
        ("propane", 72.06 / 44.10 / 50.35),
    ],
)
def test_cap_is_all_the_water_of_combustion(fuel: str, litres_of_water_per_mj: float) -> None:
    """Stoichiometry with textbook heats of combustion (memory); the table rounds to 0.01 gal a therm."""
    assert condensate.cap_m3_s(1e6, fuel) * 1000 == pytest.approx(litres_of_water_per_mj, rel=0.01)


def test_cap_of_a_large_heater() -> None:
    """199,000 Btu/h at full fire: at most 2.24 gal/h (computed from heat of combustion)."""
    assert condensate.cap_m3_s(199_000 * BTU_H, "natural_gas") / GAL_H == pytest.approx(2.24, abs=0.02)


def test_slope() -> None:
    """IFGC 2024 307.2 (read): 1/8 in per ft passes, 1/16 in per ft does not."""
    assert condensate.fall_mm(9_600) == 100
    assert condensate.gravity_ok(1_000, 900, 9_600)
    assert not condensate.gravity_ok(1_000, 950, 9_600)
