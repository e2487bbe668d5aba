"""Schemas of what the house has: water, drains, outlets."""

from __future__ import annotations

from service.http.fields import Flag, Measure, Text
from service.http.schemas.base import ListOf, Strict, identifier, many, point3, some
from service.http.schemas.fixtures import FixtureSchema
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


class ReceptacleSchema(Strict):
    """Outlet or panel."""

    id = identifier()
    at = point3(required=True)
    is_panel = Flag()
