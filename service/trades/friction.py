"""Friction of water in round pipe: Darcy-Weisbach, which governs, and Hazen-Williams beside it.

Laminar to the Reynolds number of table ``water_friction`` (2000), turbulent by Colebrook above it: between there and
4000, where flow may be either, the turbulent value is the larger and so the safe one.
"""

from __future__ import annotations

from functools import cache
from math import log10

from service.rules.tables import UNITS, table
from service.trades.water import velocity_m_s
from service.trades.water_properties import density_kg_m3, viscosity_pa_s

_TURNS = 40
"""Far more than the fixed point needs to stand still."""


def reynolds(flow_m3_s: float, bore_m: float, temperature_c: float) -> float:
    """Reynolds number of a flow [m3/s] in a bore [m] at a temperature [degC]."""
    speed = velocity_m_s(flow_m3_s, bore_m)
    return density_kg_m3(temperature_c) * speed * bore_m / viscosity_pa_s(temperature_c)


def friction_factor(reynolds_number: float, relative_roughness: float) -> float:
    """Darcy friction factor. Raises ValueError for a Reynolds number that is not positive."""
    if reynolds_number <= 0:
        raise ValueError("nothing flows")
    if reynolds_number <= _constant("laminar_below"):
        return 64 / reynolds_number
    root = 8.0  # 1 / sqrt(f)
    for _ in range(_TURNS):
        root = -2 * log10(relative_roughness / 3.7 + 2.51 * root / reynolds_number)
    return 1 / root**2


@cache
def darcy_pa_m(flow_m3_s: float, bore_m: float, temperature_c: float) -> float:
    """Pressure lost a metre [Pa/m]; 0 where nothing flows. Drawn copper or plastic. Source: Darcy-Weisbach."""
    if flow_m3_s == 0:
        return 0.0
    factor = friction_factor(reynolds(flow_m3_s, bore_m, temperature_c), _constant("roughness") / bore_m)
    speed = velocity_m_s(flow_m3_s, bore_m)
    return factor / bore_m * density_kg_m3(temperature_c) * speed * speed / 2


def hazen_williams_pa_m(flow_m3_s: float, bore_m: float, c: float) -> float:
    """Pressure lost a metre [Pa/m] by the form of the fire codes, of cold water. Source: table ``water_friction``."""
    flow, bore = flow_m3_s / UNITS["gpm"], bore_m / UNITS["in"]
    loss = pow(flow / c, _constant("hw_flow_exponent")) / pow(bore, _constant("hw_bore_exponent"))
    return _constant("hw_coefficient") * float(loss)


def roughness_c(material: str) -> float:
    """Hazen-Williams coefficient of a material: 140 for copper (read), 150 for plastic (read)."""
    return _constant("c_copper" if material.startswith("copper") else "c_plastic")


def head_pa(rise_m: float, temperature_c: float) -> float:
    """Pressure [Pa] that a rise [m] takes; 0.433 psi a foot for cold water."""
    return density_kg_m3(temperature_c) * _constant("gravity") * rise_m


def cold_c() -> float:
    """Temperature at which cold pipe is reckoned [degC]."""
    return _constant("cold")


def hot_c() -> float:
    """Temperature at which hot pipe is reckoned [degC]."""
    return _constant("hot")


def _constant(symbol: str) -> float:
    return table("water_friction").constant(symbol)
