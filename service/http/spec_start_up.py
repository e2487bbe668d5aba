"""JSON Schemas of a design's start-up sheet."""

from __future__ import annotations

from service.http.spec_words import SENTENCES, Json, array, integer, nullable, number, obj, ref, text
from service.http.start_up_json import BLANKS


def start_up_schemas() -> Json:
    """Component schemas by name."""
    return {
        "StartUpReading": obj("A figure to be read on site, with what is expected and its limits.", _reading()),
        "StartUpStep": obj("One step; its place in the list is its place in the order.", _step()),
        "StartUp": obj("The start-up sheet of a design. What is null is to be filled in on site.", _sheet()),
    }


def _reading() -> Json:
    return {
        "id": text("within its step"),
        "name": text("in words"),
        "unit": text("of all its figures"),
        "expected": nullable(number("of this design; null: not known to us")),
        "low": nullable(number("least; null: no limit known to us")),
        "high": nullable(number("most; null: no limit known to us")),
        "found": nullable(number("blank, to be filled in")),
        "from": text("whence the figures are"),
        "citation": text("whence the limits are"),
        "known_from": text("read, memory or common_practice; listing or survey where it is the house's own"),
    }


def _step() -> Json:
    return {
        "number": integer("place in the order, from 1"),
        "id": text("id"),
        "who": text("whose work it is"),
        "title": text("in a few words"),
        "action": text("what to do"),
        "caution": text("what to heed; may be empty"),
        "after": array({"type": "string"}, "steps that must be done before"),
        "citation": text("standard and section, or trade practice"),
        "known_from": text("read, memory or common_practice"),
        "readings": array(ref("StartUpReading")),
        "done": nullable(text("blank, to be filled in")),
    }


def _sheet() -> Json:
    point = {
        "id": text("id"),
        "text": text("what to say"),
        "known_from": text("read, memory or common_practice"),
        "done": nullable(text("blank, to be filled in")),
    }
    header = {name: nullable(text("blank, to be filled in")) for name in BLANKS}
    return {
        "licences": SENTENCES,
        "cautions": SENTENCES,
        "header": obj("Blanks for the head of the sheet.", header),
        "steps": array(ref("StartUpStep"), "in their order"),
        "customer": array(obj("One point to go through with the customer.", point)),
    }
