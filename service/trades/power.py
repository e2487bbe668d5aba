"""Electricity of a heater: fan, board, ignition."""

from __future__ import annotations

from service.rules.tables import table


def current_a(power_w: float) -> float:
    """Current [A] at the branch circuit's voltage, power factor one. Source: common practice, 120 V."""
    return power_w / table("power").constant("voltage")


def continuous_limit_a() -> float:
    """Continuous current [A] a 15 A branch circuit may carry. Source: NEC 210.20(A) (memory)."""
    constants = table("power")
    return constants.constant("circuit") * constants.constant("continuous_share")


def circuit_ok(power_w: float) -> bool:
    """Whether a branch circuit of its own carries the heater [W]."""
    return current_a(power_w) <= continuous_limit_a()
