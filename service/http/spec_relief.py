"""JSON Schemas of a design's relief and scald."""

from __future__ import annotations

from service.http.spec_water import KNOWN
from service.http.spec_words import Json, array, choice, flag, nullable, number, obj, ref, text
from service.survey.water import ReliefRule


def relief_schemas() -> Json:
    """Component schemas by name."""
    return {"ReliefAndScald": obj("Relief valve, its discharge, expansion, scalding water.", _relief_and_scald())}


def _relief_and_scald() -> Json:
    units = {
        "water_pressure": text("psi or kPa"),
        "temperature": text("degF or degC"),
        "power": text("Btu/h or kW"),
        "money": text("currency"),
    }
    return {
        "units": obj("Units of this member.", units),
        "valve": obj("What the relief valve must be.", _valve()),
        "discharge": array(obj("One rule on the valve's discharge pipe.", _discharge())),
        "expansion": obj("Thermal expansion of the water.", _expansion()),
        "scald": obj("How soon the water burns, and who must not get it.", _scald()),
        "parts": array(ref("WaterPart")),
        "findings": array(ref("Finding"), "on relief and scald; broken rules first"),
    }


def _valve() -> Json:
    return {
        "local_rule": choice(ReliefRule, "rule that is applied"),
        "temperature_relief": flag("the valve relieves temperature too"),
        "pressure_at_most": number("setting, nor above the heater's rated working pressure [units.water_pressure]"),
        "temperature_at_most": nullable(number("setting [units.temperature]; null: no temperature relief")),
        "capacity_at_least": number("the heater's input [units.power]"),
        **KNOWN,
        "note": text("note"),
        "rule_told": flag("the survey tells the local rule; else the strictest is applied"),
        "size": text("usual nominal size of inlet and outlet [in]"),
    }


def _discharge() -> Json:
    return {
        "rule": text("id"),
        "topic": text("what it asks"),
        "kept": nullable(flag("the pipe of the survey keeps it; null: the survey does not tell")),
        **KNOWN,
        "note": text("note"),
    }


def _expansion() -> Json:
    return {
        "closed_system": nullable(flag("a check or reducing valve closes the house from the main; null: not known")),
        "tank_present": flag("an expansion tank is there already"),
        "tank_bought": flag("the design buys one"),
        **KNOWN,
        "note": text("note"),
    }


def _scald() -> Json:
    burn = {
        "seconds": number("until skin is burnt through"),
        "relation": {"type": "string", "enum": ["about", "more_than", "less_than"]},
    }
    outlet = {
        "id": text("fixture, or its kind where the survey names none"),
        "kind": text("kind of outlet"),
        "at_most": number("hottest water that it may give [units.temperature]"),
        "setpoint_is_over": flag("the setpoint is hotter"),
        "device": text("what sees to it, whatever the setpoint"),
        **KNOWN,
    }
    mixing = {
        "needed": flag("the setpoint is hotter than a bath or shower may get"),
        "present": flag("one is there already"),
        "bought": flag("the design buys one"),
    }
    return {
        "setpoint": number("of the heater [units.temperature]"),
        "setpoint_told": flag("by the survey; else it is taken"),
        "burns_adult": obj("Third-degree burn of an adult.", burn),
        "burns_infant": obj("Third-degree burn of an infant.", burn),
        "outlets": array(obj("An outlet that has a limit.", outlet)),
        "mixing_valve": obj("Mixing valve at the heater, or at every bath and shower.", mixing),
        "notes": array({"type": "string"}),
    }
