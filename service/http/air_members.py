"""Schema of a design's combustion air."""

from __future__ import annotations

from service.design import AirMethod
from service.http.fields import Choice, Measure, Text
from service.http.schemas.base import ListOf, Strict, many
from service.units import Quantity

MOST_AREA_M2, MOST_VOLUME_M3, MOST_FLOW_M3_S = 1e4, 1e9, 1e4


class AirOpeningSchema(Strict):
    """An opening to be made, or an end of a duct."""

    area_free = Measure(Quantity.OPENING_AREA, 0, MOST_AREA_M2, required=True)
    area_gross_metal = Measure(Quantity.OPENING_AREA, 0, MOST_AREA_M2)
    area_gross_wood = Measure(Quantity.OPENING_AREA, 0, MOST_AREA_M2)
    where = Text()


class AirSchema(Strict):
    """What gives a heater that burns room air its air; gross areas left out are the least that do."""

    method = Choice(AirMethod, required=True)
    rooms = ListOf(Text(), required=True)
    openings = many(AirOpeningSchema)
    through = ListOf(Text())
    supply_flow = Measure(Quantity.AIR_FLOW, 0, MOST_FLOW_M3_S)
    counted_volume = Measure(Quantity.VOLUME, 0, MOST_VOLUME_M3, allow_none=True)
    required_volume = Measure(Quantity.VOLUME, 0, MOST_VOLUME_M3, allow_none=True)
    citation = Text()
    price_keys = ListOf(Text())
