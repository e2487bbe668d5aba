"""Schemas of the demand for hot water: how it is reckoned, climate, and fixtures with heaters brought alone."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, validate, validates_schema

from service.http.fields import Choice, Flag, Measure, Text
from service.http.schemas.base import AT_LEAST_ONE, ListOf, Strict, identifier, one, some
from service.http.schemas.equipment import HeaterEntry
from service.http.schemas.fixtures import DrawSchema
from service.http.schemas.fuel import Fuel
from service.survey.model import DemandMethod, UnitSystem
from service.units import Quantity

COLDEST_AIR_C, HOTTEST_AIR_C = -60, 50
MONTHS_IN_YEAR = 12
TWELVE = validate.Length(equal=MONTHS_IN_YEAR, error="wrong_count: twelve months are expected, January first")
YEAR = ("annual_mean", "warmest_month", "coldest_month")


def air() -> Measure:
    """Field for a mean temperature of the air."""
    return Measure(Quantity.TEMPERATURE, COLDEST_AIR_C, HOTTEST_AIR_C)


def inlet() -> Measure:
    """Field for the coldest temperature of the cold water that comes in."""
    return Measure(Quantity.TEMPERATURE, 0, 50)


class DemandSchema(Strict):
    """How the demand for hot water is reckoned; at_once are sets of fixtures that run together (concurrent_use)."""

    method = Choice(DemandMethod)
    at_once = ListOf(ListOf(identifier(), validate=AT_LEAST_ONE), validate=AT_LEAST_ONE)
    use_temperature = Measure(Quantity.TEMPERATURE, 20, 99)

    @validates_schema
    def _names_who_runs_together(self, data: dict[str, Any], **kwargs: Any) -> None:
        method = data.get("method")
        if method is DemandMethod.CONCURRENT_USE and "at_once" not in data:
            raise ValidationError("missing: concurrent use needs the sets of fixtures that run together", "at_once")
        if method not in (None, DemandMethod.CONCURRENT_USE) and "at_once" in data:
            raise ValidationError(f"contradiction: {method} asks not who runs together", "at_once")


class ClimateSchema(Strict):
    """Mean air temperatures: of the twelve months, January first, or of the year and its warmest and coldest month."""

    monthly_air_temperatures = ListOf(air(), validate=TWELVE)
    annual_mean = air()
    warmest_month = air()
    coldest_month = air()
    south_of_equator = Flag()

    @validates_schema
    def _is_told_in_one_way(self, data: dict[str, Any], **kwargs: Any) -> None:
        if "monthly_air_temperatures" in data:
            faults = {name: ["contradiction: the months tell it already"] for name in YEAR if name in data}
        else:
            needed = "missing: needed where the twelve months are not given"
            faults = {name: [needed] for name in YEAR if name not in data}
            if not faults and not data["coldest_month"] <= data["annual_mean"] <= data["warmest_month"]:
                faults = {"annual_mean": ["contradiction: not between the coldest and the warmest month"]}
        if faults:
            raise ValidationError(faults)


class HotWaterDemandSchema(Strict):
    """Fixtures, and heaters to be held against them."""

    name = Text(required=True)
    units = Choice(UnitSystem, required=True)
    fixtures = some(DrawSchema, required=True)
    demand = one(DemandSchema)
    inlet_temperature = inlet()
    setpoint = Measure(Quantity.TEMPERATURE, 30, 90)
    climate = one(ClimateSchema)
    altitude = Measure(Quantity.ALTITUDE, -500, 5000)
    fuel = Choice(Fuel)
    heaters = ListOf(HeaterEntry(), validate=AT_LEAST_ONE)
