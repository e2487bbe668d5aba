"""JSON Schemas of a design's vent and condensate."""

from __future__ import annotations

from service.http.spec_words import (
    SENTENCES,
    Json,
    array,
    flag,
    integer,
    length,
    money,
    nullable,
    number,
    obj,
    ref,
    text,
)


def vent_schemas() -> Json:
    """Component schemas by name."""
    return {
        "PartLine": obj("Item that a rule asks for, with its count.", _part()),
        "VentCategory": obj("What the heater's category says of its vent.", _category()),
        "VentPipe": obj("The vent system; null where a fact is not known.", _pipe()),
        "VentLength": obj("Equivalent length against the listing.", _length()),
        "VentSystem": obj("The vent of a design in full.", _system()),
        "Condensate": {**obj("Condensate; null for a heater that makes none.", _condensate()),
                       "type": ["object", "null"]},
    }  # fmt: skip


def _part() -> Json:
    return {
        "item": text("what it is"),
        "quantity": number("items, feet or metres, as per says"),
        "per": text("each, ft or m"),
        "where": text("what it belongs to: segment, node, appliance or run"),
        "citation": text("standard and section"),
        "known_from": text("read, memory or common_practice"),
    }


def _category() -> Json:
    return {
        "category": text("I to IV"),
        "pressure": text("positive or non_positive, static, in the vent"),
        "condensate": text("avoided or possible"),
        "citation": text("standard and section"),
        "known_from": text("read, memory or common_practice"),
        "note": text("note"),
    }


def _pipe() -> Json:
    return {
        "id": text("as the listing calls it; stem of its price keys"),
        "name": text("in words"),
        "in_table": flag("a system of the catalogue; else as the survey tells it"),
        "material": nullable(text("of the exhaust pipe")),
        "construction": nullable(text("single, concentric or twin")),
        "inner_diameter": nullable(length("of the exhaust pipe")),
        "outer_diameter": nullable(length("of the air pipe about it")),
        "listed_to": {"type": ["array", "null"], "items": {"type": "string"}, "description": "standards"},
        "temperature_class": nullable(text("class of ULC S636")),
    }


def _length() -> Json:
    fitting = {
        "fitting": text("kind"),
        "quantity": integer("how many"),
        "each": length("what one counts"),
        "total": length("what all count"),
        "by_friction": nullable(length("what friction makes of one, k D / f; a cross-check that decides nothing")),
        "note": text("whence the allowance"),
    }
    return {
        "pipe": length("of pipe, crossings included"),
        "fittings": array(obj("What fittings of one kind count.", fitting)),
        "total": length("pipe and fittings"),
        "limit": length("of the listing"),
        "elbows": integer("of 90 degrees"),
        "max_elbows": nullable(integer("of the listing; null: no limit of its own")),
        "counts": text("which pipes are counted"),
    }


def _slope() -> Json:
    return {
        "fall": number("fall by length of the level parts"),
        "falls_to": {"type": "string", "enum": ["heater", "terminal"]},
        "level_length": length("of this run"),
        "drop": length("that this run takes, within the height that the design holds for it"),
        "known_from": text("how the way of the fall is known"),
        "note": text("note"),
    }


def _snow() -> Json:
    return {
        "depth": length("of snow"),
        "required": length("over what the rule measures from"),
        "actual": length("found"),
        "rule": text("id of the rule"),
        "citation": text("standard and section"),
    }


def _cold() -> Json:
    return {
        "winter_design_temperature": number("of the survey [units.temperature]"),
        "fitting_below": number("the fitting is asked for below this [units.temperature]"),
        "needed": flag("the survey's winter asks for the fitting"),
        "included": flag("the design has it"),
        "price": nullable(money("of one; null: not in the design, or without a price and not in the total")),
        "known_from": text("how the limit is known"),
    }


def _intake() -> Json:
    return {
        "pipe": length("of its pipe: beside the vent's, and on along the wall to its own hole"),
        "elbows": integer("how many it has"),
        "side": text("where its terminal lies, seen from the exhaust's from outside: left, right, below or above"),
        "apart": length("from centre to centre of the two terminals"),
        "least_apart": length("that the listing asks for"),
        "length_basis": text("what counts against the greatest length: exhaust_only, combined or each"),
    }


def _system() -> Json:
    leg = {
        "upright": flag("upright or level"),
        "length": length("from turn to turn"),
        "supports_apart": length("most between supports"),
        "supports_between": integer("supports between the leg's ends; each turn has one of its own"),
    }
    units = {"length": text("ft or m"), "money": text("currency"), "temperature": text("degF or degC")}
    snow = obj("Height over the snow; null where none is surveyed.", _snow())
    return {
        "units": obj("Units of this member.", units),
        "category": ref("VentCategory"),
        "system": ref("VentPipe"),
        "equivalent_length": ref("VentLength"),
        "slope": obj("Fall of the level parts.", _slope()),
        "snow": nullable(snow),
        "intake": nullable(obj("The second pipe of a twin-pipe vent.", _intake())),
        "cold_climate": obj("The fitting for cold climates.", _cold()),
        "legs": array(obj("One straight leg, from the heater on.", leg)),
        "parts": array(ref("PartLine"), "the heater's end first"),
        "findings": array(ref("Finding"), "of vent and frost; broken rules first"),
        "warnings": SENTENCES,
    }


def _condensate() -> Json:
    rule = {
        "rule": text("id"),
        "topic": text("what it asks"),
        "citation": text("standard and section"),
        "known_from": text("read, memory or common_practice"),
        "note": text("note"),
    }
    acidity = {"low": number("the sourest"), "high": number("the least sour")}
    return {
        "units": obj("Units of this member.", {"length": text("ft or m"), "flow": text("gal/h or L/h")}),
        "flow": number("at full fire, for design [units.flow]"),
        "flow_at_most": number("all water of combustion condensed [units.flow]"),
        "ph": obj("Acidity.", acidity),
        "line_size": text("nominal size of the drain run [in]"),
        "connection_size": nullable(text("nominal size of the heater's connection [in]; null: not known")),
        "fall": number("least fall by length"),
        "level_length": length("level length of the run"),
        "drop": nullable(length("that the level length needs; null for a pumped run")),
        "pumped": flag("no drain lies low enough"),
        "neutraliser": text("size in words"),
        "parts": array(ref("PartLine")),
        "rules": array(obj("One rule.", rule)),
        "findings": array(ref("Finding"), "broken rules first"),
    }
