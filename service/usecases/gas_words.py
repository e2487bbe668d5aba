"""Figures and pipes of a gas report in words, in the caller's units."""

from __future__ import annotations

from dataclasses import dataclass

from service.rules.figures import Figure
from service.survey.model import GasMaterial, UnitSystem
from service.units import Quantity, from_si, told

_IN_PSI_FROM = 0.7
_MATERIALS = {
    GasMaterial.STEEL: "Schedule 40 steel",
    GasMaterial.COPPER_K: "copper type K",
    GasMaterial.COPPER_L: "copper type L",
    GasMaterial.PE: "polyethylene",
}


@dataclass(frozen=True, slots=True)
class Words:
    """Writes SI figures for a reader in one system of units."""

    system: UnitSystem

    def pressure(self, pa: float) -> str:
        """Gauge pressure [Pa], as the trade says it: inches of water, from 0.7 psi on psi; or kilopascals."""
        in_psi = self.system is UnitSystem.US and from_si(Quantity.WATER_PRESSURE, abs(pa), self.system) >= _IN_PSI_FROM
        return told(Quantity.WATER_PRESSURE if in_psi else Quantity.GAS_PRESSURE, pa, self.system)

    def printed(self, rule: Figure) -> str:
        """A length or pressure of a rule, in the words of the rule where the caller has its units."""
        if self.system is UnitSystem.US:
            return f"{rule.printed:g} {rule.unit}"
        return self.pressure(rule.value) if rule.unit == "psi" else self.length(rule.value * 1000)

    def power(self, watts: float) -> str:
        """Input or load [W]."""
        if self.system is UnitSystem.SI:
            return told(Quantity.POWER, watts, self.system)
        return f"{from_si(Quantity.POWER, watts, self.system):,.0f} Btu/h"

    def length(self, mm: float) -> str:
        """Length [mm]."""
        return told(Quantity.LENGTH, mm / 1000, self.system)

    def flow(self, m3_s: float) -> str:
        """Flow of gas at standard conditions [m3/s]."""
        return told(Quantity.GAS_FLOW, m3_s, self.system)

    def speed(self, m_s: float) -> str:
        """Speed [m/s]."""
        return told(Quantity.SPEED, m_s, self.system)

    def heating_value(self, j_m3: float) -> str:
        """Heating value [J/m3]."""
        return told(Quantity.HEATING_VALUE, j_m3, self.system)

    def altitude(self, metres: float) -> str:
        """Altitude [m]."""
        return told(Quantity.ALTITUDE, metres, self.system)


def pipe_words(material: str, size: str | None) -> str:
    """A pipe by size and material; what is not a material of ours, as the survey calls it."""
    if size is None:
        return material_words(material)
    if material == GasMaterial.CSST:
        return f"corrugated tubing EHD {size}"
    return f"{size} in {material_words(material)}"


def material_words(material: str) -> str:
    """A material alone."""
    if material == GasMaterial.CSST:
        return "corrugated tubing"
    return next((words for known, words in _MATERIALS.items() if known == material), material)


def listed(names: list[str]) -> str:
    """Names with commas and a last 'and'."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
