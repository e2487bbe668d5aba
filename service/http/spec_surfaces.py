"""JSON Schemas of what the service answers about facades and wall faces."""

from __future__ import annotations

from service.http.compass import NORTH, SIDES
from service.http.spec_words import Json, array, choice, flag, length, nullable, number, obj, ref, text
from service.survey.equipment import Category

SIDE: Json = {
    "type": "string",
    "enum": list(SIDES),
    "description": f"where a facade looks, to the nearest eighth of the compass; {NORTH}; null for a wall face",
}


def surface_schemas() -> Json:
    """Component schemas by name."""
    ring = array({"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2})
    rings = "rings of [distance from the anchor, z] around what is free; on a roof z is square to the distance"
    free = {"zones": array(ref("Zone")), "free_rings": array(ring, rings)}
    return {
        "Coverage": obj("How much of one surface each rule takes.", _surface()),
        "RuleShare": obj("What one rule takes of a surface.", _taken()),
        "Zone": obj("Where the reference point may not lie: closer than radius to the box.", _zone()),
        "Region": obj("One surface: zones that forbid, and the free rest.", {**_surface(), **free}),
        "TerminalClass": obj("Terminals that share their zones.", _terminal_class()),
    }


def _surface() -> Json:
    return {
        "surface": text("id of the facade, wall or roof plane"),
        "kind": {"type": "string", "enum": ["facade", "wall", "roof"]},
        "room": nullable(text("room of a wall face; null for a facade")),
        "side": {**nullable(SIDE), "enum": [*SIDES, None]},
        "from": ref("Anchor"),
        "applies_to": text("heater, class of terminals, or heater hung outdoors (flue line, underside)"),
        "total": number("area of the surface [units.area]"),
        "free": number("area where nothing forbids [units.area]"),
        "length": nullable(length("of a wall or facade; null for a roof")),
        "free_length": nullable(length("along how much of it some height is free")),
        "by_rule": array(ref("RuleShare"), "largest first; rules may overlap"),
    }


def _taken() -> Json:
    return {
        "rule": text("id of the rule"),
        "covered": number("area it forbids [units.area]"),
        "share": number("part of the surface's area, 0 to 1"),
        "closed_length": nullable(length("along how much of a wall or facade this rule alone leaves no height")),
    }


def _ends() -> Json:
    return {
        "from_distance": nullable(length("box, from the anchor; null: without end")),
        "to_distance": nullable(length("box, from the anchor; null: without end")),
        "from_z": nullable(length("box, survey's datum, on a roof from the anchor; null: without end")),
        "to_z": nullable(length("box, survey's datum, on a roof from the anchor; null: without end")),
    }


def _zone() -> Json:
    return {
        "rule": text("id of the rule"),
        "object": text("what it keeps away from"),
        **_ends(),
        "radius": length("0: the open box itself is forbidden"),
        "within": {
            **obj("Only places in this open box are forbidden; null: all of them.", _ends()),
            "type": ["object", "null"],
        },
        "interpretation": text("reading that the code leaves open; empty otherwise"),
    }


def _terminal_class() -> Json:
    return {
        "name": text("name that applies_to uses"),
        "terminal_of": {"type": "string", "enum": ["exhaust", "intake"]},
        "direct_vent": flag("sealed combustion"),
        "category": choice(Category, "vent category"),
        "input": number("input that decides the distance [units.power]"),
        "radius": length("centre to outer edge of the terminal"),
    }
