"""The fuel gas code's sizing equations, low and high pressure.

Flow at 60 F and 30 in of mercury, pressures gauge. Results come from the annex form, which made the printed tables;
the code's diameter form passes 0.4 to 0.8 % more and is here for comparison. What a pipe loses is told in one
quantity for each class of pressure: Pa below 1.5 psi at the supply, from there on Pa2, the difference of the squares
of absolute pressures, so that losses along a way add up in both. Both forms are for turbulent flow, and for the sea
level's atmosphere; at altitude the nameplate input without derating makes up for it.
"""

from __future__ import annotations

from functools import cache, lru_cache
from math import pow, sqrt

from service.rules.tables import UNITS, Row, table

ROUNDING = 1 + 1e-9
"""A limit met exactly may be missed by the last bit after conversion of units."""


def flow_m3_s(input_w: float, heating_value_j_m3: float) -> float:
    """Gas flow [m3/s] of an input [W]. Source: IFGC 2018 402.2 (read). ValueError unless the heating value is
    positive."""
    _positive(heating_value_j_m3)
    return input_w / heating_value_j_m3


@lru_cache(maxsize=256)
def cr_factor(specific_gravity: float) -> float:
    """Factor Cr [-] of the equations: 0.00354 S T (Z/S)^0.152. Source: NFPA 54 B.4 (memory; returns the Cr printed
    in IFGC 2018 402.4). ValueError outside gravity 0.35 to 2.1."""
    temperature_r = table("gas_equation").where(symbol="base_temperature").printed("value")
    ratio = _gas_of(specific_gravity).printed("viscosity") / specific_gravity
    return _constant("cr_coefficient") * specific_gravity * temperature_r * pow(ratio, _constant("cr_exponent"))


@lru_cache(maxsize=256)
def y_factor(specific_gravity: float) -> float:
    """Factor Y [-] of the high-pressure equation, the inverse of supercompressibility. Source: IFGC 2018 402.4
    (read). ValueError outside gravity 0.35 to 2.1."""
    return _gas_of(specific_gravity).printed("y")


def is_high(supply_pa: float) -> bool:
    """Whether the high-pressure equation serves: 1.5 psi and more at the inlet. Source: IFGC 2018 402.4 (read)."""
    return supply_pa * ROUNDING >= _constant("low_pressure_limit")


def budget(supply_pa: float, drop_pa: float) -> float:
    """What may be lost [Pa, or Pa2 at high pressure] from a supply at a permitted drop [Pa].
    ValueError unless the drop is positive and leaves a gauge pressure of zero or more."""
    return _budget(supply_pa, drop_pa, _constant("atmosphere"))


def capacity_m3_s(inside_m: float, length_m: float, supply_pa: float, drop_pa: float, specific_gravity: float) -> float:
    """Flow [m3/s] that a pipe passes: Q = k D^2.623 x^0.541 (cfh, in), k = 2313 and x = dH/(Cr L) (in w.c., ft) at
    low pressure, k = 2237 and x = (P1^2 - P2^2) Y / (Cr L) (psi absolute) at high.

    Source: NFPA 54 B.4 / IFGC A.4 (memory; returns the printed tables to three figures). ValueError unless bore,
    length and drop are positive, and as ``budget`` and ``cr_factor``.
    """
    _positive(length_m)
    gradient = budget(supply_pa, drop_pa) / length_m / _unit_gradient(supply_pa, specific_gravity)
    return _unit_flow_m3_s(inside_m, is_high(supply_pa)) * pow(gradient, _constant("gradient_exponent"))


def loss(inside_m: float, length_m: float, flow_m3_s: float, supply_pa: float, specific_gravity: float) -> float:
    """What a flow loses [Pa, or Pa2 at high pressure] along a pipe: ``capacity_m3_s`` solved for the drop, range and
    source as there. ValueError for a negative flow or length."""
    if flow_m3_s < 0 or length_m < 0:
        raise ValueError("flow and length must not be negative")
    ratio = flow_m3_s / _unit_flow_m3_s(inside_m, is_high(supply_pa))
    gradient = pow(ratio, 1 / _constant("gradient_exponent"))
    return gradient * length_m * _unit_gradient(supply_pa, specific_gravity)


def pressure_after(supply_pa: float, inlet_pa: float, lost: float) -> float | None:
    """Gauge pressure [Pa] behind a pipe that starts at ``inlet_pa`` in the zone of a supply and loses ``lost`` [as
    ``loss``]; None when less than none would be left, so that the flow cannot be passed."""
    atmosphere_pa = _constant("atmosphere")
    if not is_high(supply_pa):
        left_pa = inlet_pa - lost
    else:
        square = (inlet_pa + atmosphere_pa) ** 2 - lost
        left_pa = sqrt(square) - atmosphere_pa if square >= 0 else -atmosphere_pa
    return left_pa if left_pa >= 0 else None


def diameter_needed_m(
    flow_m3_s: float, length_m: float, supply_pa: float, drop_pa: float, specific_gravity: float
) -> float:
    """Bore [m] that a flow needs by the code's own form: D = Q^0.381 / (k x^0.206), k = 19.17 at low, 18.93 at high
    pressure, x as in ``capacity_m3_s`` with 14.7 psi for the atmosphere; for comparison only.
    Source: IFGC 2018 402.4 (constants memory). ValueError as ``capacity_m3_s``."""
    _positive(length_m)
    permitted = _budget(supply_pa, drop_pa, _constant("code_atmosphere"))
    gradient = permitted / length_m / _unit_gradient(supply_pa, specific_gravity)
    divisor = _constant("code_high_coefficient" if is_high(supply_pa) else "code_low_coefficient")
    divisor *= pow(gradient, _constant("code_gradient_exponent"))
    return pow(flow_m3_s / UNITS["cfh"], _constant("code_flow_exponent")) / divisor * UNITS["in"]


def _budget(supply_pa: float, drop_pa: float, atmosphere_pa: float) -> float:
    if not 0 < drop_pa <= supply_pa * ROUNDING:
        raise ValueError("drop must be positive and not above the supply pressure")
    if not is_high(supply_pa):
        return drop_pa
    return drop_pa * (2 * (supply_pa + atmosphere_pa) - drop_pa)


@lru_cache(maxsize=1024)
def _unit_flow_m3_s(inside_m: float, high: bool) -> float:
    """Flow at a gradient of one."""
    _positive(inside_m)
    power = pow(inside_m / UNITS["in"], _constant("diameter_exponent"))
    return _constant("high_coefficient" if high else "low_coefficient") * power * UNITS["cfh"]


@lru_cache(maxsize=1024)
def _unit_gradient(supply_pa: float, specific_gravity: float) -> float:
    """The gradient of one [Pa/m, or Pa2/m at high pressure]."""
    gradient = cr_factor(specific_gravity) / UNITS["ft"]
    if is_high(supply_pa):
        return gradient / y_factor(specific_gravity) * UNITS["psi"] ** 2
    return gradient * UNITS["in w.c."]


def _gas_of(specific_gravity: float) -> Row:
    """Gas whose viscosity and Y go with a gravity; ValueError outside the table."""
    for row in table("gas_properties").rows:
        if row.printed("gravity_low") <= specific_gravity <= row.printed("gravity_high"):
            return row
    raise ValueError(f"specific gravity {specific_gravity} is outside the table of gases")


@cache
def _constant(symbol: str) -> float:
    return table("gas_equation").constant(symbol)


def _positive(*values: float) -> None:
    if not all(value > 0 for value in values):
        raise ValueError("bore, length and heating value must be positive")
