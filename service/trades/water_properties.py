"""Density and viscosity of liquid water by temperature."""

from __future__ import annotations

from functools import cache
from math import exp, log

import numpy as np
from scipy.interpolate import CubicSpline

from service.rules.tables import table


def density_kg_m3(temperature_c: float) -> float:
    """Density [kg/m3] at house pressure. Raises ValueError outside 0 to 100 degC. Source: table ``water_properties``
    (IAPWS-IF97), within 0.01 %."""
    return float(_splines()[0](_held(temperature_c)))


def viscosity_pa_s(temperature_c: float) -> float:
    """Dynamic viscosity [Pa s]. Raises ValueError outside 0 to 100 degC. Source: table ``water_properties`` (IAPWS),
    within 0.01 %."""
    return exp(float(_splines()[1](_held(temperature_c))))


def _held(temperature_c: float) -> float:
    if not 0 <= temperature_c <= 100:
        raise ValueError(f"water at {temperature_c} degC is out of range")
    return temperature_c


@cache
def _splines() -> tuple[CubicSpline, CubicSpline]:
    rows = table("water_properties").rows
    at, density, viscosity = (np.array([r.si(c) for r in rows]) for c in ("temperature", "density", "viscosity"))
    return CubicSpline(at, density), CubicSpline(at, [log(v) for v in viscosity])
