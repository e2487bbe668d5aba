"""The fuels that a survey may name."""

from __future__ import annotations

from enum import StrEnum


class Fuel(StrEnum):
    """Fuel gas."""

    NATURAL_GAS = "natural_gas"
    PROPANE = "propane"
