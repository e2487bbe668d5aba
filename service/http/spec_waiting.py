"""JSON Schemas of a design's wait for hot water."""

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


def waiting_schemas() -> Json:
    """Component schemas by name."""
    return {
        "HotWaterLimit": obj("Limit on the hot-water pipe of a fixture.", _limit()),
        "FixtureWait": obj("Wait for hot water at one fixture, or at several alike.", _fixture()),
        "Recirculation": {**obj("What a loop to the farthest fixture would take, not in the cost; null unless asked "
                                "for.", _loop()), "type": ["object", "null"]},
        "Waiting": {**obj("Wait for hot water; null for a design without a hot run.", _waiting()),
                    "type": ["object", "null"]},
    }  # fmt: skip


def _limit() -> Json:
    return {
        "rule": text("id of the limit"),
        "measures": {"type": "string", "enum": ["length", "volume"], "description": "what is limited"},
        "limit": number("what it may be at most [units.length or units.water_volume]"),
        "actual": number("what it is"),
        "kept": flag("within the limit"),
        "applies": flag("the survey's rule set holds this limit; the others are told for comparison"),
        "citation": text("standard, edition and section"),
        "known_from": text("read, memory or common_practice"),
        "note": text("what it counts"),
    }


def _fixture() -> Json:
    repeated = {
        "cold_after": number("hot water at once for so long [s]"),
        "cold_for": number("then cold water for so long: what ran through while the burner lit [s]"),
    }
    times = {
        "first_start": number("first start after installation or purge, at most [s]"),
        "cold_pipe": number("any later draw from a pipe that has gone cold [s]; this is what is priced"),
        "cold_pipe_least": number("the same, at least [s]"),
        "cold_pipe_most": number("the same, at most [s]"),
        "repeated": obj("A draw soon repeated.", repeated),
    }
    return {
        "fixture": text("id"),
        "kind": text("kind"),
        "count": integer("so many alike"),
        "flow": number("flow of each [units.flow]"),
        "length": length("pipe from heater to fixture"),
        "volume": nullable(number("water in it [units.water_volume]")),
        "time_to_hot": nullable(obj("Time until hot water comes.", times)),
        "missing": text("fact without which the time is not known; empty otherwise"),
        "lights_burner": flag("its flow alone starts the heater"),
        "limits": array(ref("HotWaterLimit")),
    }


def _loop() -> Json:
    return {
        "to_fixture": text("the farthest fixture"),
        "return_length": length("new return pipe"),
        "price": nullable(money("pump and return pipe; null where the price book has none for the pump")),
        "mean_when_warm": nullable(number("mean wait once the loop is warm [s]")),
        "parts": array(ref("PartLine"), "what else it needs"),
    }


def _waiting() -> Json:
    units = {
        "length": text("ft or m"),
        "flow": text("gpm or L/min"),
        "water_volume": text("gal or L"),
        "money": text("currency of the price book"),
        "time": text("s"),
    }
    return {
        "units": obj("Units of this member.", units),
        "mean": nullable(number("mean over all fixtures of time_to_hot.cold_pipe [s], each with its count")),
        "price_of_a_second": nullable(money("what the survey says a second of the mean is worth")),
        "weighed": nullable(money("mean times price: part of the objective, not of the cost")),
        "fixtures": array(ref("FixtureWait")),
        "recirculation": ref("Recirculation"),
        "assumptions": SENTENCES,
        "warnings": SENTENCES,
        "citation": text("how the time is reckoned"),
    }
