"""Schemas of what the house has: gas, water, drains, outlets."""

from __future__ import annotations

from service.http.fields import Flag, Measure, Text
from service.http.schemas.base import ListOf, Strict, extent, identifier, many, point3, some
from service.units import Quantity


class GasNodeSchema(Strict):
    """Joint or end of the gas piping."""

    id = identifier(required=True)
    at = point3(required=True)


class GasSegmentSchema(Strict):
    """Pipe between two nodes, ``start`` towards the meter."""

    id = identifier()
    start = identifier(required=True)
    end = identifier(required=True)
    material = Text(required=True)
    size = Text(required=True)
    length = extent()


class ApplianceSchema(Strict):
    """Existing gas appliance."""

    id = identifier()
    kind = Text(required=True)
    input = Measure(Quantity.POWER, 0, 1e7, required=True)
    direct_vent = Flag()
    room = identifier()
    node = identifier(required=True)


class GasSchema(Strict):
    """Gas supply and piping."""

    delivery_node = identifier(required=True)
    pressure = Measure(Quantity.GAS_PRESSURE, 100, 700_000)
    meter_capacity = Measure(Quantity.POWER, 0, 1e7)
    allowable_drop = Measure(Quantity.GAS_PRESSURE, 1, 100_000)
    nodes = some(GasNodeSchema, required=True)
    segments = many(GasSegmentSchema)
    appliances = many(ApplianceSchema)
    free_outlets = ListOf(identifier())


class WaterLineSchema(Strict):
    """Water pipe as a polyline."""

    id = identifier()
    points = ListOf(point3(), required=True)
    size = Text(required=True)
    material = Text(required=True)


class FixtureSchema(Strict):
    """Hot-water fixture."""

    id = identifier()
    kind = Text(required=True)
    at = point3(required=True)
    flow = Measure(Quantity.FLOW, 0, 0.05, required=True)


class WaterSchema(Strict):
    """Water supply."""

    cold = some(WaterLineSchema, required=True)
    hot = some(WaterLineSchema, required=True)
    static_pressure = Measure(Quantity.WATER_PRESSURE, 0, 3e6)
    hardness = Measure(Quantity.HARDNESS, 0, 5000)
    softener = Flag()
    fixtures = many(FixtureSchema)


class DrainSchema(Strict):
    """Place for condensate."""

    id = identifier()
    at = point3(required=True)


class ReceptacleSchema(Strict):
    """Outlet or panel."""

    id = identifier()
    at = point3(required=True)
    is_panel = Flag()
