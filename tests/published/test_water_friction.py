"""Water and its friction against iapws, fluids, printed tables and the figures of an EPANET run."""

from __future__ import annotations

import pytest
from fluids.friction import friction_factor as peer_factor
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS97  # type: ignore[import-untyped,unused-ignore]

from service.rules.tables import UNITS
from service.trades.friction import (
    darcy_pa_m,
    friction_factor,
    hazen_williams_pa_m,
    head_pa,
    reynolds,
)
from service.trades.water_properties import density_kg_m3, viscosity_pa_s

FT, IN, PSI, GPM = 0.3048, 0.0254, UNITS["psi"], UNITS["gpm"]
SIXTY_PSIG_MPA = (101_325 + 60 * PSI) / 1e6


def celsius(fahrenheit: float) -> float:
    """Degrees."""
    return (fahrenheit - 32) / 1.8


@pytest.mark.parametrize("fahrenheit", [33, 40, 50, 58, 60, 77, 100, 105, 120, 125, 140, 160, 180, 211])
def test_properties_against_another_library(fahrenheit: float) -> None:
    """IAPWS-97 at 60 psig, to 0.05 %."""
    water = IAPWS97(T=celsius(fahrenheit) + 273.15, P=SIXTY_PSIG_MPA)
    assert density_kg_m3(celsius(fahrenheit)) == pytest.approx(water.rho, rel=5e-4)
    assert viscosity_pa_s(celsius(fahrenheit)) == pytest.approx(water.mu, rel=5e-4)


@pytest.mark.parametrize(("fahrenheit", "density"), [(60, 999.21), (120, 988.73)])
def test_density(fahrenheit: float, density: float) -> None:
    """IAPWS-97 (computed)."""
    assert density_kg_m3(celsius(fahrenheit)) == pytest.approx(density, rel=2e-4)


@pytest.mark.parametrize("outside", [-0.1, 100.1])
def test_properties_end_somewhere(outside: float) -> None:
    """Ice and steam are refused."""
    with pytest.raises(ValueError, match="out of range"):
        viscosity_pa_s(outside)


@pytest.mark.parametrize(
    ("gpm", "bore_in", "feet", "fahrenheit", "psi", "tolerance"),
    [
        (5, 0.785, 100, 60, 3.0226, 0.007),
        (8, 0.785, 100, 60, 6.9235, 0.007),
        (8, 0.785, 100, 120, 5.87, 0.007),
        (4, 0.545, 50, 60, 5.80, 0.007),
        (6, 0.811, 60, 120, 1.8082, 0.007),
        (2.5, 0.475, 60, 120, 4.9438, 0.007),
        (6, 0.713, 80, 120, 4.4708, 0.007),
        (0.5, 0.785, 50, 50, 0.02345, 0.003),
        (0.5, 0.545, 50, 105, 0.13494, 0.02),
    ],
)
def test_darcy(gpm: float, bore_in: float, feet: float, fahrenheit: float, psi: float, tolerance: float) -> None:
    """Losses of fluids (Colebrook) and of EPANET by Darcy-Weisbach (computed); near Re 4000 within 2 %."""
    loss = darcy_pa_m(gpm * GPM, bore_in * IN, celsius(fahrenheit)) * feet * FT / PSI
    assert loss == pytest.approx(psi, rel=tolerance)


@pytest.mark.parametrize(
    ("gpm", "bore_in", "feet", "c", "psi", "tolerance"),
    [
        (8, 0.785, 100, 140, 7.35, 0.006),
        (5, 0.785, 100, 140, 3.09, 0.01),
        (2.5, 0.475, 60, 150, 5.20, 0.006),
        (12, 1.025, 40, 140, 1.698, 0.006),
        (2, 0.785, 100, 140, 0.57, 0.02),
        (4, 0.785, 100, 140, 2.05, 0.01),
    ],
)
def test_hazen_williams(gpm: float, bore_in: float, feet: float, c: float, psi: float, tolerance: float) -> None:
    """Losses of an EPANET run (computed) and of a printed table for type L copper, 3/4 in (read)."""
    loss = hazen_williams_pa_m(gpm * GPM, bore_in * IN, c) * feet * FT / PSI
    assert loss == pytest.approx(psi, rel=tolerance)


@pytest.mark.parametrize(("gpm", "fahrenheit", "number"), [(8, 60, 28733), (0.5, 50, 1543)])
def test_reynolds(gpm: float, fahrenheit: float, number: float) -> None:
    """In 0.785 in (computed)."""
    assert reynolds(gpm * GPM, 0.785 * IN, celsius(fahrenheit)) == pytest.approx(number, rel=0.002)


@given(st.floats(4000, 1e6), st.floats(1e-6, 1e-3))
def test_turbulent_factor_against_another_library(number: float, roughness: float) -> None:
    """Colebrook by fluids."""
    assert friction_factor(number, roughness) == pytest.approx(peer_factor(number, roughness), rel=1e-3)


@given(st.floats(1, 1e5), st.floats(1, 1e5))
def test_more_flow_is_never_less_loss(one: float, other: float) -> None:
    """Loss goes as f Re2, which rises throughout, over the change to turbulent flow too."""
    low, high = sorted((one, other))
    assert friction_factor(low, 1e-4) * low**2 <= friction_factor(high, 1e-4) * high**2 * (1 + 1e-9)


def test_nothing_flows() -> None:
    """No flow, no loss; a factor has no meaning then."""
    assert darcy_pa_m(0.0, 0.02, 20) == 0
    with pytest.raises(ValueError, match="nothing"):
        friction_factor(0, 1e-4)


def test_elevation() -> None:
    """20 ft is 8.66 psi (IPC E103.2.2, read), for cold water to 0.1 %."""
    assert head_pa(20 * FT, celsius(60)) / PSI == pytest.approx(8.66, rel=1e-3)
