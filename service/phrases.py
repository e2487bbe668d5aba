"""Sentences with quantities in them, which are told in the units of whoever reads them.

The check speaks of millimetres, watts and pascals. What it says keeps each quantity apart from the words around it, so
that every edge (JSON, command line, drawings, report) puts it in the survey's units.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain

from service.survey.model import UnitSystem
from service.units import Quantity, told


@dataclass(frozen=True, slots=True)
class Amount:
    """A quantity, in the SI unit of its kind; ``metric`` is how a survey in SI units is told it."""

    kind: Quantity
    value: float
    metric: str

    def text(self, system: UnitSystem) -> str:
        """With its unit."""
        return told(self.kind, self.value, system) if system is UnitSystem.US else self.metric


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words and quantities in their order."""

    parts: tuple[str | Amount, ...]

    def __str__(self) -> str:
        """In SI units."""
        return text(self, UnitSystem.SI)

    def __add__(self, more: Detail) -> Phrase:
        return phrase(self, more)


Detail = str | Phrase
"""What a finding says; plain words where it holds no quantity."""


def phrase(*parts: Detail | Amount) -> Phrase:
    """Parts one after the other."""
    return Phrase(tuple(chain.from_iterable(p.parts if isinstance(p, Phrase) else (p,) for p in parts)))


def joined(between: str, details: Iterable[Detail]) -> Phrase:
    """Details with words between them."""
    parts = [part for detail in details for part in (between, detail)]
    return phrase(*parts[1:])


def text(detail: Detail, system: UnitSystem) -> str:
    """The sentence in a system's units."""
    if isinstance(detail, str):
        return detail
    return "".join(p if isinstance(p, str) else p.text(system) for p in detail.parts)


def mm(length_mm: float, decimals: int = 0) -> Amount:
    """A length [mm]."""
    return Amount(Quantity.LENGTH, length_mm / 1000, f"{length_mm:.{decimals}f} mm")


def watts(load_w: float) -> Amount:
    """A load of gas [W]."""
    return Amount(Quantity.POWER, load_w, f"{load_w:.0f} W")


def pascals(pressure_pa: float, decimals: int = 0) -> Amount:
    """A pressure of gas [Pa]."""
    return Amount(Quantity.GAS_PRESSURE, pressure_pa, f"{pressure_pa:.{decimals}f} Pa")


def water_pascals(pressure_pa: float, decimals: int = 1) -> Amount:
    """A pressure of water [Pa]."""
    return Amount(Quantity.WATER_PRESSURE, pressure_pa, f"{pressure_pa / 1000:.{decimals}f} kPa")


def mm2(area_mm2: float) -> Amount:
    """An area of an opening [mm2]."""
    return Amount(Quantity.OPENING_AREA, area_mm2 / 1e6, f"{area_mm2:.0f} mm2")


def m3(volume_m3: float) -> Amount:
    """A volume of a room [m3]."""
    return Amount(Quantity.VOLUME, volume_m3, f"{volume_m3:.1f} m3")


def m3_s(flow_m3_s: float, decimals: int = 2) -> Amount:
    """A flow of air [m3/s]."""
    return Amount(Quantity.AIR_FLOW, flow_m3_s, f"{flow_m3_s * 1000:.{decimals}f} L/s")


def m_s(speed_m_s: float) -> Amount:
    """A speed [m/s]."""
    return Amount(Quantity.SPEED, speed_m_s, f"{speed_m_s:.2f} m/s")
