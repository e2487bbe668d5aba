"""Gas meters by class: what a class passes of a given gas, and the smallest that covers a load."""

from __future__ import annotations

from math import sqrt

from service.rules.tables import table
from service.survey.model import GasCharacter

ROUNDING = 1 + 1e-9
"""A whole rating and the loads that add up to it may miss each other by the last bit."""


def classes() -> tuple[str, ...]:
    """Meter classes, smallest first."""
    return tuple(row.text("class") for row in table("gas_meters").rows)


def capacity_m3_s(class_name: str, gas: GasCharacter) -> float:
    """Flow [m3/s] of this gas that a meter passes at its rated differential (0.5 in w.c.); KeyError for no class.

    Rated flow times sqrt(rated gravity / gravity): common practice, unverified. Source of the classes: table
    ``gas_meters`` (ANSI B109.1, memory).
    """
    row = table("gas_meters").where(**{"class": class_name})
    return row.si("rated_flow") * sqrt(row.printed("rated_gravity") / gas.specific_gravity)


def capacity_w(class_name: str, gas: GasCharacter) -> float:
    """Load [W] that a meter covers; range and source as ``capacity_m3_s``. KeyError for no class."""
    return capacity_m3_s(class_name, gas) * gas.heating_value_j_m3


def class_for(load_w: float, gas: GasCharacter) -> str | None:
    """Smallest class that covers a load [W]; None beyond the table, where the supplier must be asked."""
    return next((name for name in classes() if load_w <= capacity_w(name, gas) * ROUNDING), None)
