"""Water side of a heater: flow it can heat, and pipe size by velocity."""

from __future__ import annotations

from math import pi

from service.rules.tables import table
from service.trades.water_pipe import STANDARD_BRANCH, branch_sizes

SIZES: tuple[str, ...] = tuple(branch_sizes(STANDARD_BRANCH))
"""Sizes of type L copper offered, smallest first."""


def velocity_m_s(flow_m3_s: float, inside_diameter_m: float) -> float:
    """Mean velocity [m/s]: flow / bore area."""
    return flow_m3_s / (pi / 4 * inside_diameter_m**2)


def velocity_limit_m_s(hot: bool) -> float:
    """Highest velocity [m/s] in copper: 8 ft/s cold, 5 ft/s hot. Source: NSPC 10.14.1 (read)."""
    return table("water").constant("velocity_hot" if hot else "velocity_cold")


def branch_size(flow_m3_s: float, hot: bool) -> str:
    """Smallest copper size at which the flow keeps to the velocity limit.
    Raises ValueError when not even the largest size offered does."""
    for size, inside_m in branch_sizes(STANDARD_BRANCH).items():
        if velocity_m_s(flow_m3_s, inside_m) <= velocity_limit_m_s(hot):
            return size
    raise ValueError(f"no size up to {SIZES[-1]} carries {flow_m3_s} m3/s")


def largest_flow_m3_s() -> float:
    """Most flow [m3/s] that the largest size offered carries hot within the velocity limit."""
    return pi / 4 * branch_sizes(STANDARD_BRANCH)[SIZES[-1]] ** 2 * velocity_limit_m_s(hot=True)


def heated_flow_m3_s(input_w: float, efficiency: float, rise_k: float) -> float:
    """Flow [m3/s] that an input warms by ``rise_k`` [K]: input x efficiency / (heat factor x rise),
    heat factor 8.33 x 60 Btu/(h gpm F). Source: computed; good to 0.5 % for flow metered cold."""
    if rise_k <= 0:
        raise ValueError("rise must be positive")
    return input_w * efficiency / (table("water").constant("heat_factor") * rise_k)
