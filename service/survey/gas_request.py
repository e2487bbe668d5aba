"""A gas system that is to be sized by itself, without a house around it."""

from __future__ import annotations

from dataclasses import dataclass

from service.survey.equipment import PriceBook
from service.survey.gas import GasCharacter, GasSupply
from service.survey.house import UnitSystem


@dataclass(frozen=True, slots=True)
class GasRequest:
    """Gas system, gas and prices. Without plan ``gas.nodes`` is empty: nodes are then the ends of the segments."""

    name: str
    units: UnitSystem
    gas: GasSupply
    character: GasCharacter
    prices: PriceBook
    assumptions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
