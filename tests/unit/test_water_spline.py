"""Our spline against a general library's through the same values."""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from service.rules.tables import table
from service.trades.water_properties import density_kg_m3, viscosity_pa_s


@pytest.mark.parametrize("temperature_c", np.linspace(0, 100, 41).tolist())
def test_between_the_values(temperature_c: float) -> None:
    """To the rounding of floats."""
    rows = table("water_properties").rows
    at = [r.si("temperature") for r in rows]
    density = CubicSpline(at, [r.si("density") for r in rows])
    viscosity = CubicSpline(at, [log(r.si("viscosity")) for r in rows])
    assert density_kg_m3(temperature_c) == pytest.approx(float(density(temperature_c)), rel=1e-13)
    assert viscosity_pa_s(temperature_c) == pytest.approx(exp(float(viscosity(temperature_c))), rel=1e-13)
