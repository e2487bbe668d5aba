"""Each unit factor against its published definition.

Sources: NIST SP 811 (2008), appendix B (memory); the inch, pound and gallon of the 1959/1964 agreements
(exact, memory); BIPM definition of the litre, bar and degree Celsius (exact, memory).
"""

from __future__ import annotations

from math import isclose

import pytest

from service.survey.model import UnitSystem
from service.units import Quantity, from_si, rounded_from_si, to_si, told, unit_name, units_of

INCH = 0.0254  # exact
POUND = 0.45359237  # kg, exact
G = 9.80665  # m/s2, standard, exact
GALLON = 231 * INCH**3  # US liquid, exact
BTU_IT = 1055.05585262  # J, SP 811 footnote 9
GRAIN = POUND / 7000  # kg, exact

DEFINITIONS = {
    (Quantity.LENGTH, "m"): 1.0,
    (Quantity.LENGTH, "cm"): 0.01,
    (Quantity.LENGTH, "mm"): 0.001,
    (Quantity.LENGTH, "in"): INCH,
    (Quantity.LENGTH, "ft"): 12 * INCH,
    (Quantity.AREA, "m2"): 1.0,
    (Quantity.AREA, "ft2"): 144 * INCH**2,
    (Quantity.OPENING_AREA, "mm2"): 1e-6,
    (Quantity.OPENING_AREA, "cm2"): 1e-4,
    (Quantity.OPENING_AREA, "m2"): 1.0,
    (Quantity.OPENING_AREA, "in2"): INCH**2,
    (Quantity.OPENING_AREA, "ft2"): 144 * INCH**2,
    (Quantity.VOLUME, "m3"): 1.0,
    (Quantity.VOLUME, "ft3"): (12 * INCH) ** 3,  # SP 811: 2.831685 E-02
    (Quantity.WATER_VOLUME, "m3"): 1.0,
    (Quantity.WATER_VOLUME, "L"): 1e-3,
    (Quantity.WATER_VOLUME, "gal"): GALLON,
    (Quantity.TEMPERATURE_RISE, "degC"): 1.0,
    (Quantity.TEMPERATURE_RISE, "degF"): 5 / 9,  # exact: a kelvin is 1.8 degrees Fahrenheit
    (Quantity.POWER, "W"): 1.0,
    (Quantity.POWER, "kW"): 1000.0,
    (Quantity.POWER, "Btu/h"): BTU_IT / 3600,  # SP 811: 2.930711 E-01
    (Quantity.POWER, "kBtu/h"): BTU_IT / 3.6,
    (Quantity.ELECTRIC_POWER, "W"): 1.0,
    (Quantity.ELECTRIC_POWER, "kW"): 1000.0,
    (Quantity.GAS_PRESSURE, "Pa"): 1.0,
    (Quantity.GAS_PRESSURE, "kPa"): 1000.0,
    (Quantity.GAS_PRESSURE, "mbar"): 100.0,
    (Quantity.GAS_PRESSURE, "bar"): 100_000.0,
    (Quantity.GAS_PRESSURE, "psi"): POUND * G / INCH**2,  # SP 811: 6.894757 E+03
    (Quantity.GAS_PRESSURE, "in w.c."): 1000 * G * INCH,  # SP 811, conventional inch of water: 2.490889 E+02
    (Quantity.FLOW, "m3/s"): 1.0,
    (Quantity.FLOW, "L/s"): 0.001,
    (Quantity.FLOW, "L/min"): 0.001 / 60,
    (Quantity.FLOW, "m3/h"): 1 / 3600,
    (Quantity.FLOW, "gpm"): GALLON / 60,  # SP 811: 6.309020 E-05
    (Quantity.GAS_FLOW, "m3/s"): 1.0,
    (Quantity.GAS_FLOW, "m3/h"): 1 / 3600,
    (Quantity.GAS_FLOW, "cfh"): (12 * INCH) ** 3 / 3600,
    (Quantity.AIR_FLOW, "m3/s"): 1.0,
    (Quantity.AIR_FLOW, "L/s"): 0.001,
    (Quantity.AIR_FLOW, "m3/h"): 1 / 3600,
    (Quantity.AIR_FLOW, "cfm"): (12 * INCH) ** 3 / 60,  # SP 811: 4.719474 E-04
    (Quantity.SPEED, "m/s"): 1.0,
    (Quantity.SPEED, "ft/s"): 12 * INCH,
    (Quantity.HARDNESS, "mg/L"): 1.0,
    (Quantity.HARDNESS, "gpg"): GRAIN * 1e6 / (GALLON * 1000),  # SP 811, grain per gallon: 1.711806 E+01 mg/L
    (Quantity.HARDNESS_MASS, "g"): 1.0,
    (Quantity.HARDNESS_MASS, "grains"): GRAIN * 1000,  # SP 811: 6.479891 E-02 g
    (Quantity.CONCENTRATION, "mg/L"): 1.0,
    (Quantity.DAILY_USE, "m3/s"): 1.0,
    (Quantity.DAILY_USE, "gal/day"): GALLON / 86_400,  # SP 811: 4.381264 E-08
    (Quantity.DAILY_USE, "L/day"): 0.001 / 86_400,
    (Quantity.ALTITUDE, "m"): 1.0,
    (Quantity.ALTITUDE, "ft"): 12 * INCH,
    (Quantity.HEATING_VALUE, "J/m3"): 1.0,
    (Quantity.HEATING_VALUE, "MJ/m3"): 1e6,
    (Quantity.HEATING_VALUE, "kWh/m3"): 3.6e6,
    (Quantity.HEATING_VALUE, "Btu/ft3"): BTU_IT / (12 * INCH) ** 3,  # SP 811: 3.725895 E+04
}
WATER = {
    (Quantity.WATER_PRESSURE, unit): value
    for (quantity, unit), value in DEFINITIONS.items()
    if quantity is Quantity.GAS_PRESSURE
}


@pytest.mark.parametrize(("quantity", "unit"), sorted({**DEFINITIONS, **WATER}))
def test_factor_equals_definition(quantity: Quantity, unit: str) -> None:
    """A unit's factor is the one its definition gives."""
    assert isclose(to_si(quantity, 1.0, unit), {**DEFINITIONS, **WATER}[quantity, unit], rel_tol=1e-12)


def test_every_accepted_unit_has_a_definition_here() -> None:
    """No unit can be added without a cited definition."""
    temperatures = {(Quantity.TEMPERATURE, unit) for unit in units_of(Quantity.TEMPERATURE)}
    accepted = {(quantity, unit) for quantity in Quantity for unit in units_of(quantity)}
    assert accepted == set(DEFINITIONS) | set(WATER) | temperatures


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(32, 0), (212, 100), (-40, -40), (68, 20)])
def test_fahrenheit_is_a_point_on_a_scale(fahrenheit: float, celsius: float) -> None:
    """Freezing and boiling point of water, where both scales meet, and room temperature."""
    assert isclose(to_si(Quantity.TEMPERATURE, fahrenheit, "degF"), celsius, abs_tol=1e-9)
    assert isclose(from_si(Quantity.TEMPERATURE, celsius, UnitSystem.US), fahrenheit, abs_tol=1e-9)


@pytest.mark.parametrize("quantity", list(Quantity))
@pytest.mark.parametrize("system", list(UnitSystem))
def test_out_and_in_again_is_the_same(quantity: Quantity, system: UnitSystem) -> None:
    """to_si undoes from_si in either system."""
    unit = unit_name(quantity, system)
    assert isclose(to_si(quantity, from_si(quantity, 12.34, system), unit), 12.34, rel_tol=1e-12)


def test_look_alike_names_are_refused() -> None:
    """Spellings that Pint would misread (coulomb, farad, thermochemical Btu) are not in the list."""
    for unit in ("C", "F", "Btu", "inH2O", "gallon", "foot", "9**9**9"):
        assert not any(unit in units_of(quantity) for quantity in Quantity)
    with pytest.raises(KeyError):
        to_si(Quantity.LENGTH, 1, "psi")


def test_figures_for_people_are_rounded_by_quantity() -> None:
    """3.6 m is 11.81 ft; 100,000 Btu/h are 29.307 kW; nothing is ever minus zero."""
    assert rounded_from_si(Quantity.LENGTH, 3.6, UnitSystem.US) == 11.81
    assert told(Quantity.POWER, to_si(Quantity.POWER, 100_000, "Btu/h"), UnitSystem.SI) == "29.307 kW"
    assert told(Quantity.GAS_PRESSURE, 1743.62237, UnitSystem.US) == "7 in w.c."
    assert str(rounded_from_si(Quantity.LENGTH, -0.0001, UnitSystem.SI)) == "0.0"
