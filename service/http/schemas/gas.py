"""Schemas of gas: its character, the supply and piping of a survey, and a gas system brought alone."""

from __future__ import annotations

from marshmallow import validate

from service.http.fields import Choice, Flag, Int, Known, Length, Measure, Number, Text
from service.http.schemas.base import AT_LEAST_ONE, ListOf, Strict, extent, identifier, many, one, point3, some
from service.http.schemas.equipment import PricesSchema
from service.http.schemas.fuel import Fuel
from service.survey.model import GasFittings, GasMaterial, GasMethod, UnitSystem
from service.trades import gas_meter
from service.units import Quantity

MOST_FITTINGS = 200
INDOORS = [str(m) for m in GasMaterial if m is not GasMaterial.PE]
"""Materials that a branch in the house may have."""
ABOVE_NOTHING = validate.Range(min=0, min_inclusive=False, error="out_of_range: more than 0 is expected")


class GasNodeSchema(Strict):
    """Joint or end of the gas piping."""

    id = identifier(required=True)
    at = point3(required=True)


class GasSegmentSchema(Strict):
    """Pipe between two nodes, ``start`` towards the meter; without ``size`` it is new and to be sized."""

    id = identifier()
    start = identifier(required=True)
    end = identifier(required=True)
    material = Text(required=True)
    size = Text()
    length = extent()
    elbows = Int(0, MOST_FITTINGS)
    tees = Int(0, MOST_FITTINGS)
    finished = Flag()
    fixed = Flag()
    before_regulator = Flag()


class MeasuredSegmentSchema(GasSegmentSchema):
    """Pipe between two nodes that are names only, so that its length must be given."""

    length = extent(required=True)


class ApplianceSchema(Strict):
    """Existing gas appliance; without ``input`` the typical one of its kind is taken."""

    id = identifier()
    kind = Text(required=True)
    input = Measure(Quantity.POWER, 0, 1e7)
    direct_vent = Flag()
    room = identifier()
    node = identifier(required=True)
    inlet_min = Measure(Quantity.GAS_PRESSURE, 0, 1e5)
    inlet_max = Measure(Quantity.GAS_PRESSURE, 0, 1e5)
    fan_assisted = Flag()
    vent_diameter = Length(low_mm=0)


class LineRegulatorSchema(Strict):
    """Line regulator at a node."""

    node = identifier(required=True)
    outlet_pressure = Measure(Quantity.GAS_PRESSURE, 100, 700_000, required=True)
    allowable_drop = Measure(Quantity.GAS_PRESSURE, 1, 100_000)
    capacity = Measure(Quantity.POWER, 0, 1e7)
    loss = Measure(Quantity.GAS_PRESSURE, 0, 100_000)


class PressureOptionSchema(Strict):
    """Delivery pressure that the supplier offers instead."""

    id = identifier()
    pressure = Measure(Quantity.GAS_PRESSURE, 100, 700_000, required=True)
    allowable_drop = Measure(Quantity.GAS_PRESSURE, 1, 100_000, required=True)
    regulated_pressure = Measure(Quantity.GAS_PRESSURE, 100, 700_000)
    regulated_drop = Measure(Quantity.GAS_PRESSURE, 1, 100_000)


class GasSchema(Strict):
    """Gas supply and piping."""

    delivery_node = identifier(required=True)
    pressure = Measure(Quantity.GAS_PRESSURE, 100, 700_000)
    meter_capacity = Measure(Quantity.POWER, 0, 1e7)
    meter_class = Known("meter_class", gas_meter.classes)
    service_regulator_capacity = Measure(Quantity.POWER, 0, 1e7)
    allowable_drop = Measure(Quantity.GAS_PRESSURE, 1, 100_000)
    method = Choice(GasMethod)
    fittings = Choice(GasFittings)
    diversity = Number(0, 1, validate=ABOVE_NOTHING)
    nodes = some(GasNodeSchema, required=True)
    segments = many(GasSegmentSchema)
    appliances = many(ApplianceSchema)
    free_outlets = ListOf(identifier())
    regulators = many(LineRegulatorSchema)
    branch_materials = ListOf(Known("material", lambda: INDOORS), validate=AT_LEAST_ONE)
    pressure_options = many(PressureOptionSchema)


class GasPipingSchema(GasSchema):
    """Gas supply and piping of which no plan is needed; ``nodes`` that are given must agree with the segments."""

    nodes = some(GasNodeSchema)
    segments = many(MeasuredSegmentSchema)


class GasCharacterSchema(Strict):
    """The gas, and the altitude at which it burns."""

    fuel = Choice(Fuel)
    heating_value = Measure(Quantity.HEATING_VALUE, 1e6, 2e8)
    specific_gravity = Number(0.35, 2.1)
    altitude = Measure(Quantity.ALTITUDE, -500, 5000)


class PlannedHeaterSchema(Strict):
    """The heater that is to hang on a gas system."""

    input = Measure(Quantity.POWER, 1, 1e7, required=True)
    inlet_min = Measure(Quantity.GAS_PRESSURE, 0, 1e5)
    inlet_max = Measure(Quantity.GAS_PRESSURE, 0, 1e5)
    node = identifier(required=True)


class GasSystemSchema(GasCharacterSchema):
    """A gas system alone, to be sized."""

    name = Text(required=True)
    units = Choice(UnitSystem, required=True)
    gas = one(GasPipingSchema, required=True)
    heater = one(PlannedHeaterSchema)
    prices = one(PricesSchema)
