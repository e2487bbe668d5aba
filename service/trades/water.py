"""Water side of a heater: flow it can heat, and pipe size by velocity."""

from __future__ import annotations

from math import pi

from service.rules.tables import table
from service.trades.water_pipe import STANDARD_BRANCH, branch_sizes, option_name

SIZES: tuple[str, ...] = tuple(branch_sizes(STANDARD_BRANCH))
"""Sizes of type L copper offered, smallest first."""


def velocity_m_s(flow_m3_s: float, inside_diameter_m: float) -> float:
    """Mean velocity [m/s]: flow / bore area."""
    return flow_m3_s / (pi / 4 * inside_diameter_m**2)


def velocity_limit_m_s(hot: bool, material: str = STANDARD_BRANCH) -> float:
    """Highest velocity [m/s]: in copper 8 ft/s cold, 5 ft/s hot (NSPC 10.14.1, read), in plastic 8 ft/s (common
    practice)."""
    if not material.startswith("copper"):
        return table("water").constant("velocity_plastic")
    return table("water").constant("velocity_hot" if hot else "velocity_cold")


def branch_options(flow_m3_s: float, hot: bool, material: str = STANDARD_BRANCH) -> tuple[str, ...]:
    """Sizes of a material at which the flow keeps to the velocity limit, smallest first, by their option names."""
    limit = velocity_limit_m_s(hot, material)
    return tuple(
        option_name(material, size)
        for size, bore in branch_sizes(material).items()
        if velocity_m_s(flow_m3_s, bore) <= limit
    )


def largest_branch(material: str = STANDARD_BRANCH) -> str:
    """The largest size of a material that is offered, by its option name."""
    return option_name(material, list(branch_sizes(material))[-1])


def branch_size(flow_m3_s: float, hot: bool, material: str = STANDARD_BRANCH) -> str:
    """Smallest size of a material at which the flow keeps to the velocity limit, by its option name.
    Raises ValueError when not even the largest size offered does."""
    options = branch_options(flow_m3_s, hot, material)
    if not options:
        raise ValueError(f"no size of {material} carries {flow_m3_s} m3/s")
    return options[0]


def heated_flow_m3_s(input_w: float, efficiency: float, rise_k: float) -> float:
    """Flow [m3/s] that an input warms by ``rise_k`` [K]: input x efficiency / (heat factor x rise),
    heat factor 8.33 x 60 Btu/(h gpm F). Source: computed; good to 0.5 % for flow metered cold."""
    if rise_k <= 0:
        raise ValueError("rise must be positive")
    return input_w * efficiency / (table("water").constant("heat_factor") * rise_k)
