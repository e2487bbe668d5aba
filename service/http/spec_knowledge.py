"""JSON Schemas of the read-only resources."""

from __future__ import annotations

from service.http.spec_words import Json, array, choice, flag, integer, nullable, number, obj, ref, text
from service.rules.rule import Subject
from service.rules.tables import MARKS
from service.survey.equipment import Per
from service.survey.model import Figure

_WORDS = array({"type": "string"})


def knowledge_schemas() -> Json:
    """Component schemas by name."""
    return {
        "RuleSets": obj("Ids of the rule sets.", {"rule_sets": _WORDS}),
        "RuleSet": obj("Rules of one code, as printed.", _rule_set()),
        "Rule": obj("One rule.", _rule()),
        "LocalAmendment": obj("Example of how a place changes one rule; holds only if a survey says so.", _local()),
        "MountingRule": obj("One rule for the place of the case.", _mounting_rule()),
        "Printed": {
            **obj(
                "Distance as printed: inches and, where the text prints it, millimetres.",
                {"inches": text("inches, may be a fraction"), "si_mm": nullable(integer("millimetres"))},
            ),
            "type": ["object", "null"],
        },
        "PriceBooks": obj("Ids of the price books.", {"price_books": _WORDS}),
        "PriceBook": obj("Prices of one book.", _price_book()),
        "Heaters": obj("The catalogue.", {"heaters": array(ref("HeaterRequest"))}),
        "Sources": obj("Citations of every table.", {"sources": array(obj("One table.", _source()))}),
        "Limits": obj("Limits in force.", {"limits": array(obj("One limit.", _limit()))}),
        "State": obj("State of the process.", {"status": text("alive or ready")}),
        "ProblemType": obj("What a problem type means.", _problem_type()),
        "Index": obj("Where to look next.", _index()),
        "Anything": {"type": "object", "description": "an OpenAPI 3.1 document"},
    }


def _rule_set() -> Json:
    return {
        "id": text("id a survey names"),
        "title": text("title"),
        "edition": text("edition"),
        "country": text("country"),
        "sources": array({"type": "string"}, "where the figures come from"),
        "rules": array(ref("Rule")),
        "mounting_sources": array({"type": "string"}, "where the figures of the mounting rules come from"),
        "mounting_rules": array(ref("MountingRule")),
        "local_amendments": array(ref("LocalAmendment"), "examples for site.amendments; none of them holds by itself"),
    }


def _local() -> Json:
    return {
        "layer": text("the place"),
        "rule_id": text("rule that it changes"),
        "figure": choice(Figure, "which of its distances"),
        "distance": ref("Printed"),
        "enforce": flag("makes advice binding"),
        "standard": text("standard"),
        "section": text("section"),
        "mark": text("read, memory or common_practice"),
        "note": text("note"),
        "citation": text("standard and section"),
    }


def _mounting_rule() -> Json:
    return {
        "id": text("id that findings carry"),
        "countries": array({"type": "string"}, "where it holds"),
        "rooms": array({"type": "string"}, "uses of rooms that it speaks of; empty means all"),
        "via": text("no, also or only: whether it holds in rooms that open only into such a room"),
        "draft": text("direct, room_air or any"),
        "unless": text("property of the heater or the room that lifts it"),
        "relation": text("how it measures"),
        **{name: ref("Printed") for name in ("distance", "width", "height", "floor", "high")},
        "force": text("required or advisory"),
        "on_missing": text("what an unknown fact means"),
        "standard": text("standard"),
        "section": text("section"),
        "mark": text("read, memory or common_practice"),
        "reading": text("where the code leaves the meaning open"),
        "note": text("note"),
        "citation": text("standard and section"),
    }


def _rule() -> Json:
    distances = {name: ref("Printed") for name in ("distance", "beside", "below", "above", "gate")}
    return {
        "id": text("id that findings carry"),
        "objects": array({"type": "string"}, "what it measures to"),
        "draft": text("direct, room_air or any"),
        "categories": array({"type": "string"}, "vent categories; empty means all"),
        "input_over_btu_h": nullable(number("binds above this input [Btu/h]")),
        "input_upto_btu_h": nullable(number("binds up to this input [Btu/h]")),
        "pressure_over_psi": nullable(number("binds above this inlet pressure [psi]")),
        "pressure_upto_psi": nullable(number("binds up to this inlet pressure [psi]")),
        "relation": text("how it measures"),
        **distances,
        "open_sides_min": nullable(integer("least open sides of a deck")),
        "strict": flag("must be more than the distance"),
        "force": text("required or advisory"),
        "on_missing": text("what an unknown fact means"),
        "standard": text("standard"),
        "section": text("section"),
        "mark": text("read, memory or common_practice"),
        "subject": choice(Subject, "whether it is about the terminal or about a twin-pipe vent's intake"),
        "reading": text("where the code leaves the measuring open"),
        "note": text("note"),
        "citation": text("standard and section"),
    }


def _price_book() -> Json:
    item = {
        "key": text("key"),
        "trade": text("who does it"),
        "description": text("what it is"),
        "per": {"type": "string", "enum": [per.value for per in Per]},
        "cents": integer("whole cents an item, metre or foot"),
    }
    return {
        "id": text("id a survey names"),
        "currency": text("currency"),
        "items": array(obj("One price.", item)),
    }


def _source() -> Json:
    return {
        "name": text("table"),
        "title": text("title"),
        "standard": text("standard"),
        "edition": text("edition"),
        "section": text("section"),
        "sources": array({"type": "string"}, "whence the figures come, where the rows come from several places"),
        "known_from": {"type": "string", "enum": list(MARKS), "description": "the least sure mark of its rows"},
        "marks": {
            "type": "object",
            "description": "how many rows have which mark",
            "propertyNames": {"enum": list(MARKS)},
            "additionalProperties": {"type": "integer", "minimum": 1},
        },
        "note": text("note"),
    }


def _limit() -> Json:
    return {
        "name": text("name, as in a limit-exceeded problem"),
        "limit": number("at most this"),
        "unit": text("unit"),
        "text": text("what it bounds"),
        "setting": nullable(text("environment variable that changes it; null where nothing does")),
    }


def _problem_type() -> Json:
    return {
        "type": text("type of the problem"),
        "status": integer("HTTP status"),
        "title": text("title"),
        "text": text("what to do about it"),
    }


def _index() -> Json:
    return {
        "name": text("name of the service"),
        "version": text("version"),
        "documentation": text("page to read"),
        "description": text("OpenAPI document"),
        "operations": _WORDS,
    }
