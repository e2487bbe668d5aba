"""Density and viscosity of liquid water by temperature."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import exp

import numpy as np
from numpy.typing import NDArray

from service.rules.tables import table

Floats = NDArray[np.float64]


def density_kg_m3(temperature_c: float) -> float:
    """Density [kg/m3] at house pressure. Raises ValueError outside 0 to 100 degC. Source: table ``water_properties``
    (IAPWS-IF97), within 0.01 %."""
    return _splines()[0](_held(temperature_c))


def viscosity_pa_s(temperature_c: float) -> float:
    """Dynamic viscosity [Pa s]. Raises ValueError outside 0 to 100 degC. Source: table ``water_properties`` (IAPWS),
    within 0.01 %."""
    return exp(_splines()[1](_held(temperature_c)))


def _held(temperature_c: float) -> float:
    if not 0 <= temperature_c <= 100:
        raise ValueError(f"water at {temperature_c} degC is out of range")
    return temperature_c


@dataclass(frozen=True, slots=True)
class _Spline:
    """Cubic through values at places, twice differentiable, the first and last two pieces each one cubic
    ("not-a-knot"); ``bends`` are its second derivatives at the places."""

    at: Floats
    values: Floats
    bends: Floats

    def __call__(self, x: float) -> float:
        """Value at a place between the first and the last."""
        i = min(max(int(np.searchsorted(self.at, x)) - 1, 0), len(self.at) - 2)
        h = self.at[i + 1] - self.at[i]
        a, b = (self.at[i + 1] - x) / h, (x - self.at[i]) / h
        bent = (a**3 - a) * self.bends[i] + (b**3 - b) * self.bends[i + 1]
        return float(a * self.values[i] + b * self.values[i + 1] + bent * h * h / 6)


def _through(at: Floats, values: Floats) -> _Spline:
    """The spline through four places or more: one set of linear equations for its second derivatives."""
    h, slopes = np.diff(at), np.diff(values) / np.diff(at)
    rows = np.zeros((len(at), len(at)))
    for k in range(1, len(at) - 1):
        rows[k, k - 1 : k + 2] = h[k - 1], 2 * (h[k - 1] + h[k]), h[k]
    rows[0, :3] = h[1], -h[0] - h[1], h[0]
    rows[-1, -3:] = h[-1], -h[-1] - h[-2], h[-2]
    return _Spline(at, values, np.linalg.solve(rows, np.concatenate([[0.0], 6 * np.diff(slopes), [0.0]])))


@cache
def _splines() -> tuple[_Spline, _Spline]:
    rows = table("water_properties").rows
    at, density, viscosity = (np.array([r.si(c) for r in rows]) for c in ("temperature", "density", "viscosity"))
    return _through(at, density), _through(at, np.log(viscosity))
