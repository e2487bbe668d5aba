"""JSON Schemas of a design's water pressure."""

from __future__ import annotations

from service.http.spec_words import SENTENCES, Json, array, flag, length, nullable, number, obj, ref, text


def pressure_schemas() -> Json:
    """Component schemas by name."""
    return {
        "WaterPressure": {**obj("Pressure from the supply to the worst fixture; null for a design without water runs.",
                                _pressure()), "type": ["object", "null"]},
    }  # fmt: skip


def _pressure() -> Json:
    step = {
        "what": text("part of the way"),
        "length": nullable(length("with fittings; null where it is no single pipe")),
        "flow": nullable(number("[units.flow]")),
        "loss": number("pressure lost, by Darcy-Weisbach [units.water_pressure]"),
        "loss_by_hazen_williams": nullable(number("the same by Hazen-Williams, for comparison")),
    }
    fixture = {
        "fixture": text("id"),
        "residual": number("pressure left with all fixtures open [units.water_pressure]"),
        "least": number("least that it needs"),
        "to_spare": number("residual less least"),
        "citation": text("whence the least is known"),
        "known_from": text("read, memory or common_practice"),
    }
    units = {
        "length": text("ft or m"),
        "flow": text("gpm or L/min"),
        "water_pressure": text("psi or kPa"),
        "money": text("currency of the price book"),
    }
    return {
        "units": obj("Units of this member.", units),
        "static": nullable(number("where the supply enters, without flow; null where not told")),
        "static_limit": number("above it a reducing valve is needed"),
        "reducing_valve_needed": flag("static is above the limit and no valve is told"),
        "supply": nullable(number("behind reducing valve and equipment")),
        "main_flow": nullable(number("all fixtures at once [units.flow]")),
        "hot_flow": nullable(number("through heater and branches")),
        "chain": array(obj("Part of the way.", step), "to the worst fixture; empty where facts are missing"),
        "fixtures": array(obj("What is left at a fixture.", fixture)),
        "worst": {"type": ["string", "null"], "description": "fixture with least to spare"},
        "missing": SENTENCES,
        "parts": array(ref("PartLine"), "asked for by the codes"),
        "assumptions": SENTENCES,
        "warnings": SENTENCES,
    }
