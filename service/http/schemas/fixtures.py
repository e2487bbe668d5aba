"""Schemas of hot-water fixtures."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, validates_schema

from service.http.fields import Int, Measure, Text
from service.http.schemas.base import Strict, identifier, point3
from service.trades import fixtures
from service.units import Quantity

MOST_ALIKE = 100


class DrawSchema(Strict):
    """Equal hot-water fixtures; flow may be left out where kind is one of those that the tables know."""

    id = identifier()
    kind = Text(required=True)
    flow = Measure(Quantity.FLOW, 0, 0.05)
    count = Int(1, MOST_ALIKE)
    use_temperature = Measure(Quantity.TEMPERATURE, 20, 99)

    @validates_schema
    def _knows_a_flow(self, data: dict[str, Any], **kwargs: Any) -> None:
        if "flow" not in data and data["kind"] not in fixtures.kinds():
            known = ", ".join(fixtures.kinds())
            raise ValidationError(f"missing: needed for a kind that is none of {known}", "flow")


class FixtureSchema(DrawSchema):
    """Equal hot-water fixtures at one place; flow may be left out where kind is one of those that the tables know."""

    at = point3(required=True)
