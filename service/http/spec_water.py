"""JSON Schemas of a design's water."""

from __future__ import annotations

from service.http.spec_words import Json, array, flag, integer, money, nullable, number, obj, ref, text

KNOWN = {"citation": text("standard and section"), "known_from": text("read, memory or common_practice")}


def water_schemas() -> Json:
    """Component schemas by name."""
    return {
        "WaterPart": obj("Item for the heater's water, with the price that holds it.", _part()),
        "WaterQuality": obj("The water that the heater gets: hardness, softener, scale, limits.", _quality()),
    }


def _part() -> Json:
    return {
        "item": text("what it is"),
        "quantity": integer("how many"),
        "where": text("what it belongs to"),
        "price_key": nullable(text("price that holds it; null: no price does")),
        "price": nullable(money("of one such price; null: the book has none")),
        "in_total": flag("the design's total holds it"),
        **KNOWN,
        "note": text("note"),
    }


def _quality() -> Json:
    descaling = {
        "months": integer("between two flushes with weak acid; where the hardness is not known, as for the hardest"),
        "months_softened": integer("the same behind a softener that works"),
        "known_from": text("how the interval is known"),
        "note": text("note"),
    }
    units = {
        "hardness": text("gpg or mg/L, as CaCO3"),
        "hardness_mass": text("grains or g, as CaCO3"),
        "concentration": text("mg/L"),
        "daily_use": text("gal/day or L/day"),
        "temperature": text("degF or degC"),
        "money": text("currency"),
    }
    return {
        "units": obj("Units of this member.", units),
        "setpoint": number("of the heater [units.temperature]"),
        "hardness": obj("Hardness with its class.", _hardness()),
        "softener": obj("Whether a softener is advised and what it must take.", _softener()),
        "scale": obj("Langelier and Ryznar indices.", _scale()),
        "descaling": obj("How often the heater is descaled.", descaling),
        "limits": array(obj("Range of a substance, and whether it is kept.", _limit())),
        "parts": array(ref("WaterPart")),
        "findings": array(ref("Finding"), "on the water; broken rules first"),
    }


def _hardness() -> Json:
    return {
        "value": nullable(number("as CaCO3 [units.hardness]; null: not known")),
        "class": nullable(text("soft, moderately hard, hard or very hard; null: not known")),
        **KNOWN,
    }


def _softener() -> Json:
    return {
        "present": flag("one is there already"),
        "advised": nullable(flag("the water is harder than advised_above; null: not known")),
        "bought": flag("the design buys one"),
        "advised_above": number("hardness [units.hardness]"),
        "use_from": text("whence the use of water is"),
        "size": nullable(obj("What a softener must take; null: hardness not known.", _size())),
        "sodium_added": nullable(number("by softening all hardness [units.concentration]; null: not known")),
        "notes": array({"type": "string"}),
        **KNOWN,
    }


def _size() -> Json:
    return {
        "compensated_hardness": number("hardness with the allowance for iron [units.hardness]"),
        "daily_use": number("water a day [units.daily_use]"),
        "load_a_day": number("hardness to take out a day [units.hardness_mass]"),
        "capacity": number("for a week [units.hardness_mass]"),
        "capacity_with_reserve": number("for a week with 20 % kept back [units.hardness_mass]"),
        "nominal_size": nullable(number("next size sold for the capacity [units.hardness_mass]; null: none so large")),
    }


def _scale() -> Json:
    index = {
        "place": text("where the water is that hot"),
        "temperature": number("there [units.temperature]"),
        "saturation_ph": number("pHs, full form"),
        "langelier": number("pH - pHs, full form: above zero scale may form"),
        "langelier_short_form": number("the same by the short form, a cross-check"),
        "ryznar": number("2 pHs - pH"),
        "ryznar_class": text("forms scale, little of either or corrosive"),
    }
    sample = {
        "ph": number("pH"),
        "tds": number("dissolved solids [units.concentration]"),
        "calcium_hardness": number("as CaCO3 [units.concentration]"),
        "alkalinity": number("as CaCO3 [units.concentration]"),
    }
    return {
        "tendency": nullable(text("scaling, corrosive or balanced, beyond 0.5 either side; null: not known")),
        "sample": nullable(obj("What the indices are made of.", sample)),
        "missing": array({"type": "string"}, "facts without which there is no index"),
        "indices": array(obj("Indices at one temperature, the coldest first.", index)),
        **KNOWN,
    }


def _limit() -> Json:
    return {
        "substance": text("ph, chloride, iron or tds"),
        "low": nullable(number("least (pH), or null")),
        "high": number("most (pH, or units.concentration)"),
        "found": nullable(number("of the analysis; null: not told")),
        "kept": nullable(flag("within the range; null: not known")),
        **KNOWN,
        "note": text("note"),
    }
