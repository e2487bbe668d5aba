"""Fixtures and heaters that are to be held against each other, without a house around them."""

from __future__ import annotations

from dataclasses import dataclass

from service.survey.equipment import Heater
from service.survey.fixtures import HotWater
from service.survey.house import UnitSystem


@dataclass(frozen=True, slots=True)
class HotWaterRequest:
    """What is asked for, and the heaters that are to give it."""

    name: str
    units: UnitSystem
    facts: HotWater
    heaters: tuple[Heater, ...]
    assumptions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
