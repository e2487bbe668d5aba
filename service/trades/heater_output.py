"""What a tankless heater delivers: flow by rise, the hot share of a mixed draw, the rise at its least fire."""

from __future__ import annotations

from service.rules.tables import table
from service.survey.equipment import Heater
from service.trades.gas_loads import derated_w
from service.trades.water import heated_flow_m3_s

ROUNDING = 1 + 1e-9
"""By which factor a flow may pass what is carried, for figures that are equal but for rounding."""


def burner_flow_m3_s(heater: Heater, rise_k: float, altitude_m: float = 0.0) -> float:
    """Flow [m3/s], metered cold, that the burner warms by ``rise_k`` [K] above 0, at an altitude [m]: derated input x
    thermal efficiency / (heat factor x rise). Raises ValueError for a rise of 0 or less.
    Source: computed, good to 0.5 %; the altitude's share is NFPA 54's (memory), a listing may know better."""
    return heated_flow_m3_s(derated_w(heater.input_max_w, altitude_m), heater.efficiency, rise_k)


def capacity_m3_s(heater: Heater, rise_k: float, altitude_m: float = 0.0) -> float:
    """Flow [m3/s] that the heater delivers at a rise [K]: what its burner warms, at most what its valve passes; all of
    that where nothing need be warmed."""
    if rise_k <= 0:
        return heater.max_flow_m3_s
    return min(heater.max_flow_m3_s, burner_flow_m3_s(heater, rise_k, altitude_m))


def hot_share(use_c: float, hot_c: float, cold_c: float) -> float:
    """Share of hot water, 0 to 1, in a draw mixed to ``use_c``; all of it where hot is not hotter than cold or than
    the use asks. Source: balance of heat, (use - cold) / (hot - cold)."""
    if use_c >= hot_c or hot_c <= cold_c:
        return 1.0
    return max(0.0, (use_c - cold_c) / (hot_c - cold_c))


def least_rise_k(heater: Heater, flow_m3_s: float) -> float:
    """Least rise [K] that the burner can give a flow [m3/s] above 0: at its least input. Asked for less, it overshoots
    or cycles. Raises ZeroDivisionError without flow. Source: computed."""
    return heater.input_min_w * heater.efficiency / (table("water").constant("heat_factor") * flow_m3_s)
