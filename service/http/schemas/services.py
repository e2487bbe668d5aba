"""Schemas of what the house has: water, drains, outlets."""

from __future__ import annotations

from service.http.fields import Flag, Int, Known, Length, Measure, Number, Text
from service.http.schemas.base import ListOf, Strict, identifier, many, one, point3, some
from service.http.schemas.fixtures import FixtureSchema
from service.trades.circuits import wire_sizes
from service.units import Quantity


class WaterLineSchema(Strict):
    """Water pipe as a polyline."""

    id = identifier()
    points = ListOf(point3(), required=True)
    size = Text(required=True)
    material = Text(required=True)


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


class CircuitSchema(Strict):
    """What is known of an outlet's branch circuit; voltage in V, breaker in A, wire in AWG."""

    voltage = Number(1, 1000)
    breaker = Number(1, 400)
    present_load = Measure(Quantity.ELECTRIC_POWER, 0, 100_000)
    fixed_load = Measure(Quantity.ELECTRIC_POWER, 0, 100_000)
    dedicated = Flag()
    wire = Known("wire", wire_sizes)
    wire_length = Length(low_mm=0)


class ReceptacleSchema(Strict):
    """Outlet or panel."""

    id = identifier()
    at = point3(required=True)
    is_panel = Flag()
    circuit = one(CircuitSchema)
    gfci = Flag()
    free_spaces = Int(0, 200)
