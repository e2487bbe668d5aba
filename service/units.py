"""Units in and out: the only module that knows Pint, and it shows Pint no caller's text.

Every unit name that a caller may write is in ``_UNITS``; its factor is computed once, at import, in exact
decimals. Which of the look-alikes is meant: Btu is the International Table one (1055.05585 J), gallon the US
liquid one, ``in w.c.`` the conventional inch of water (1000 kg/m3, standard gravity), hardness is as CaCO3.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

import pint

from service.survey.model import UnitSystem


class Quantity(StrEnum):
    """Kinds of measure that surveys and answers hold; the comment is the SI unit they have in this module."""

    LENGTH = "length"  # m
    AREA = "area"  # m2
    OPENING_AREA = "opening_area"  # m2
    VOLUME = "volume"  # m3
    WATER_VOLUME = "water_volume"  # m3
    POWER = "power"  # W
    ELECTRIC_POWER = "electric_power"  # W
    GAS_PRESSURE = "gas_pressure"  # Pa
    WATER_PRESSURE = "water_pressure"  # Pa; also a gas regulator's inlet pressure
    FLOW = "flow"  # m3/s
    GAS_FLOW = "gas_flow"  # m3/s at 60 degF and 30 in of mercury
    AIR_FLOW = "air_flow"  # m3/s
    SPEED = "speed"  # m/s
    TEMPERATURE = "temperature"  # degC
    TEMPERATURE_RISE = "temperature_rise"  # K
    HARDNESS = "hardness"  # mg/L as CaCO3
    HARDNESS_MASS = "hardness_mass"  # g as CaCO3
    CONCENTRATION = "concentration"  # mg/L
    DAILY_USE = "daily_use"  # m3/s, the mean of a day
    ALTITUDE = "altitude"  # m
    HEATING_VALUE = "heating_value"  # J/m3


@dataclass(frozen=True, slots=True)
class _Spoken:
    """Units in which a quantity is spoken of: SI unit, bare numbers, decimals told, all that are understood."""

    base: str
    us: str
    us_digits: int
    si: str
    si_digits: int
    accepted: tuple[str, ...]


_DEFINITIONS = """
milli- = 1e-3
centi- = 1e-2
kilo- = 1e3
mega- = 1e6
meter = [length]
second = [time]
gram = [mass]
kelvin = [temperature]
delta_degC = kelvin
delta_degF = 5 / 9 * kelvin
inch = 0.0254 * meter
foot = 12 * inch
liter = 1e-3 * meter ** 3
gallon = 231 * inch ** 3
minute = 60 * second
hour = 60 * minute
day = 24 * hour
pound = 453.59237 * gram
grain = pound / 7000
standard_gravity = 9.80665 * meter / second ** 2
newton = kilogram * meter / second ** 2
joule = newton * meter
watt = joule / second
watt_hour = watt * hour
Btu_it = 4186.8 / 1.8 * pound / kilogram * joule
pascal = newton / meter ** 2
bar = 1e5 * pascal
pound_force_per_square_inch = pound * standard_gravity / inch ** 2
"""
"""By the international agreements on foot, pound and calorie and the SI. To read the whole of Pint's list would take
as long as to load a library."""
# Callers' names on the left, Pint's expression on the right.
_UNITS = {
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "in": "inch",
    "ft": "foot",
    "m2": "meter**2",
    "ft2": "foot**2",
    "mm2": "millimeter**2",
    "cm2": "centimeter**2",
    "in2": "inch**2",
    "m3": "meter**3",
    "L": "liter",
    "gal": "gallon",
    "ft3": "foot**3",
    "W": "watt",
    "kW": "kilowatt",
    "Btu/h": "Btu_it/hour",
    "kBtu/h": "1000*Btu_it/hour",
    "Pa": "pascal",
    "kPa": "kilopascal",
    "mbar": "millibar",
    "bar": "bar",
    "psi": "pound_force_per_square_inch",
    "in w.c.": "inch*kilogram*standard_gravity/liter",
    "m3/s": "meter**3/second",
    "L/s": "liter/second",
    "L/min": "liter/minute",
    "m3/h": "meter**3/hour",
    "gpm": "gallon/minute",
    "cfh": "foot**3/hour",
    "cfm": "foot**3/minute",
    "m/s": "meter/second",
    "ft/s": "foot/second",
    "degC": "delta_degC",
    "degF": "delta_degF",
    "mg/L": "milligram/liter",
    "gpg": "grain/gallon",
    "g": "gram",
    "grains": "grain",
    "gal/day": "gallon/day",
    "L/day": "liter/day",
    "J/m3": "joule/meter**3",
    "MJ/m3": "megajoule/meter**3",
    "kWh/m3": "kilowatt_hour/meter**3",
    "Btu/ft3": "Btu_it/foot**3",
}
_EIGHTHS_PER_FT = 96
_LENGTHS = ("mm", "cm", "m", "in", "ft")
_POWERS = ("W", "kW", "Btu/h", "kBtu/h")
_PRESSURES = ("Pa", "kPa", "mbar", "bar", "psi", "in w.c.")
_SPOKEN = {
    Quantity.LENGTH: _Spoken("m", "ft", 2, "m", 3, _LENGTHS),
    Quantity.AREA: _Spoken("m2", "ft2", 1, "m2", 2, ("m2", "ft2")),
    Quantity.OPENING_AREA: _Spoken("m2", "in2", 1, "mm2", 0, ("mm2", "cm2", "m2", "in2", "ft2")),
    Quantity.VOLUME: _Spoken("m3", "ft3", 0, "m3", 1, ("m3", "ft3")),
    Quantity.WATER_VOLUME: _Spoken("m3", "gal", 3, "L", 2, ("m3", "L", "gal")),
    Quantity.POWER: _Spoken("W", "Btu/h", 0, "kW", 3, _POWERS),
    Quantity.ELECTRIC_POWER: _Spoken("W", "W", 1, "W", 1, ("W", "kW")),
    Quantity.GAS_PRESSURE: _Spoken("Pa", "in w.c.", 3, "kPa", 4, _PRESSURES),
    Quantity.WATER_PRESSURE: _Spoken("Pa", "psi", 2, "kPa", 2, _PRESSURES),
    Quantity.FLOW: _Spoken("m3/s", "gpm", 3, "L/min", 2, ("m3/s", "L/s", "L/min", "m3/h", "gpm")),
    Quantity.GAS_FLOW: _Spoken("m3/s", "cfh", 1, "m3/h", 3, ("m3/s", "m3/h", "cfh")),
    Quantity.AIR_FLOW: _Spoken("m3/s", "cfm", 1, "L/s", 1, ("m3/s", "L/s", "m3/h", "cfm")),
    Quantity.SPEED: _Spoken("m/s", "ft/s", 1, "m/s", 2, ("m/s", "ft/s")),
    Quantity.TEMPERATURE: _Spoken("degC", "degF", 1, "degC", 1, ("degC", "degF")),
    Quantity.TEMPERATURE_RISE: _Spoken("degC", "degF", 1, "degC", 1, ("degC", "degF")),
    Quantity.HARDNESS: _Spoken("mg/L", "gpg", 2, "mg/L", 1, ("mg/L", "gpg")),
    Quantity.HARDNESS_MASS: _Spoken("g", "grains", 0, "g", 1, ("g", "grains")),
    Quantity.CONCENTRATION: _Spoken("mg/L", "mg/L", 2, "mg/L", 2, ("mg/L",)),
    Quantity.DAILY_USE: _Spoken("m3/s", "gal/day", 1, "L/day", 1, ("m3/s", "gal/day", "L/day")),
    Quantity.ALTITUDE: _Spoken("m", "ft", 0, "m", 0, ("m", "ft")),
    Quantity.HEATING_VALUE: _Spoken("J/m3", "Btu/ft3", 1, "MJ/m3", 3, ("J/m3", "MJ/m3", "kWh/m3", "Btu/ft3")),
}


def _factors() -> dict[tuple[Quantity, str], float]:
    """SI units in one unit, for each quantity that scales without an offset."""
    registry: pint.UnitRegistry[Decimal] = pint.UnitRegistry(None, non_int_type=Decimal)
    registry.load_definitions(_DEFINITIONS.splitlines())
    sizes = {name: registry.Quantity(Decimal(1), "dimensionless") * registry(text) for name, text in _UNITS.items()}
    return {
        (quantity, name): float((sizes[name] / sizes[spoken.base]).to("dimensionless").magnitude)
        for quantity, spoken in _SPOKEN.items()
        if quantity is not Quantity.TEMPERATURE
        for name in spoken.accepted
    }


_FACTORS = _factors()


def units_of(quantity: Quantity) -> tuple[str, ...]:
    """Closed list of unit names that ``{"value", "unit"}`` may carry for a quantity."""
    return _SPOKEN[quantity].accepted


def unit_name(quantity: Quantity, system: UnitSystem) -> str:
    """Unit of bare numbers of a quantity in a system."""
    return _SPOKEN[quantity].us if system is UnitSystem.US else _SPOKEN[quantity].si


def to_si(quantity: Quantity, value: float, unit: str) -> float:
    """Value in a caller's unit -> SI (see ``Quantity`` for the unit of each).

    Raises:
        KeyError: the unit is not one of ``units_of(quantity)``.
    """
    if quantity is Quantity.TEMPERATURE:
        return {"degC": value, "degF": (value - 32) / 1.8}[unit]
    return value * _FACTORS[quantity, unit]


def from_si(quantity: Quantity, value: float, system: UnitSystem) -> float:
    """SI value -> the system's unit, not rounded."""
    if quantity is Quantity.TEMPERATURE:
        return value * 1.8 + 32 if system is UnitSystem.US else value
    return value / _FACTORS[quantity, unit_name(quantity, system)]


def rounded_from_si(quantity: Quantity, value: float, system: UnitSystem) -> float:
    """SI value -> the system's unit, rounded as the quantity is told to people."""
    spoken = _SPOKEN[quantity]
    digits = spoken.us_digits if system is UnitSystem.US else spoken.si_digits
    return round(from_si(quantity, value, system), digits) + 0.0  # + 0.0 turns -0.0 into 0.0


def told(quantity: Quantity, value: float, system: UnitSystem) -> str:
    """SI value as text with its unit, for sentences; feet with inches, as a tape reads."""
    if quantity is Quantity.LENGTH and system is UnitSystem.US:
        return feet_and_inches(from_si(quantity, value, system))
    digits = f"{rounded_from_si(quantity, value, system):.4f}".rstrip("0").rstrip(".")
    return f"{digits} {unit_name(quantity, system)}"


def feet_and_inches(feet: float) -> str:
    """To the eighth of an inch, as a tape reads; below a foot in inches alone."""
    eighths = round(abs(feet) * _EIGHTHS_PER_FT)
    whole, rest = divmod(eighths, _EIGHTHS_PER_FT)
    told = f"{whole} ft " if whole else ""
    return f"{'-' if feet < 0 and eighths else ''}{told}{_inches(*divmod(rest, 8))} in"


def _inches(whole: int, eighths: int) -> str:
    if not eighths:
        return str(whole)
    part = Fraction(eighths, 8)
    return f"{whole}-{part}" if whole else str(part)
