"""JSON Schema of the combustion air that a design provides."""

from __future__ import annotations

from service.design import AirMethod
from service.http.spec_words import SENTENCES, Json, array, choice, nullable, number, obj, text


def air_provision() -> Json:
    """The component ``AirProvision``."""
    area = "[units.opening_area]"
    opening = {
        "where": text("outdoors or into which room, high or low"),
        "area_free": number(f"free area {area}"),
        "area_gross_metal": number(f"what a metal louvre must measure if its maker tells no free area {area}"),
        "area_gross_wood": number(f"the same of wood {area}"),
    }
    members = {
        "method": choice(AirMethod, "how the heater gets its air"),
        "citation": text("standard and section; the heater's instructions govern"),
        "rooms": array({"type": "string"}, "rooms whose volume is counted, the heater's first"),
        "counted_volume": nullable(number("volume of these rooms [units.volume]")),
        "required_volume": nullable(number("volume that would do without openings [units.volume]; null: none would")),
        "openings": array(obj("An opening to be made, or an end of a duct.", opening)),
        "through": array({"type": "string"}, "adjoining rooms that grilles open into, or that a duct passes"),
        "supply_flow": number("what a fan brings from outdoors, 0 without one [units.air_flow]"),
        "price_keys": {**SENTENCES, "description": "keys of the price book, bought once each"},
    }
    return obj("Combustion air of a heater that burns room air.", members)


def design_air() -> Json:
    """The member ``air`` of a design."""
    return {
        "oneOf": [{"$ref": "#/components/schemas/AirProvision"}, {"type": "null"}],
        "description": "null for a heater that brings its own air from outdoors",
    }
