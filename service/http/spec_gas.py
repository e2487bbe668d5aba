"""JSON Schemas of a sized gas system."""

from __future__ import annotations

from service.design import Verdict
from service.http.spec_words import (
    SENTENCES,
    Json,
    array,
    choice,
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
from service.survey.model import GasFittings, GasMethod

_ACTIONS: Json = {
    "type": "string",
    "enum": ["keep", "renew", "new", "impossible"],
    "description": "what becomes of the pipe; impossible: nothing that may be had carries the load",
}


def gas_schemas() -> Json:
    """Component schemas by name."""
    return {
        "GasUnits": obj("Unit of each quantity of this answer; follows the request's units.", _units()),
        "GasEngine": obj("What made this answer.", _engine()),
        "GasPipe": obj("Pipe as it is there.", _present()),
        "GasPipeChosen": {**obj("Pipe as it will be.", _chosen()), "type": ["object", "null"]},
        "GasSegment": obj("One pipe, by the method that governs.", _segment()),
        "GasInlet": obj("One appliance's inlet.", _inlet()),
        "GasZone": obj("Pipes at one pressure.", _zone()),
        "GasMeter": obj("The supplier's meter and regulator.", _meter()),
        "GasMethodResult": obj("What one method makes of the same pipes.", _method()),
        "GasFinding": obj("One rule applied to one thing.", _finding()),
        "GasSystem": obj("The gas system as a design leaves it.", _system()),
        "GasSizing": obj("A gas system sized and judged.", _sizing()),
    }


def _pressure(description: str) -> Json:
    return number(f"{description}, gauge [units.gas_pressure]")


def _power(description: str) -> Json:
    return number(f"{description} [units.power]")


def _units() -> Json:
    return {
        "length": text("ft or m"),
        "power": text("Btu/h or kW"),
        "gas_pressure": text("in w.c. or kPa"),
        "gas_flow": text("cfh or m3/h, at 60 degF and 30 in of mercury"),
        "speed": text("ft/s or m/s"),
        "money": text("currency of the price book"),
    }


def _engine() -> Json:
    return {
        "name": text("name of the service"),
        "version": text("version of the service"),
        "price_book": text("price book applied"),
    }


def _present() -> Json:
    return {
        "material": text("as surveyed; of new pipe, as asked for"),
        "size": nullable(text("nominal size, of corrugated tubing its EHD; null for new pipe")),
        "capacity": nullable(_power("what it passes at the length used; null where that is not known")),
    }


def _chosen() -> Json:
    return {
        "material": text("material"),
        "size": text("nominal size, of corrugated tubing its EHD"),
        "capacity": nullable(_power("what it passes at the length used; null by the pressure method")),
        "source": text("table or equation that the capacity is from"),
        "known_from": text("read, memory or computed; empty where no capacity is known"),
    }


def _segment() -> Json:
    return {
        "id": text("id of the segment"),
        "start": text("node towards the meter"),
        "end": text("node away from it"),
        "zone": integer("place of its zone in zones, from 0"),
        "action": _ACTIONS,
        "load": _power("what it carries with everything firing"),
        "flow": number("the same as flow of gas [units.gas_flow]"),
        "length": length("length of pipe"),
        "length_used": nullable(length("length that sizes it, fittings included; null by the pressure method")),
        "present": ref("GasPipe"),
        "size_needed": nullable(text("smallest size of the present material that carries the load")),
        "chosen": ref("GasPipeChosen"),
        "already_short": flag("too small for today's load, without the planned heater"),
        "pressure_in": nullable(_pressure("at its start with everything firing")),
        "pressure_out": nullable(_pressure("at its end; null beyond pipe that cannot be had")),
        "speed": nullable(number("of the gas, at its end [units.speed]")),
        "speed_note": text("where the gas is fast; empty otherwise"),
        "cost": nullable(money("of making or renewing it, 0 for pipe that stays")),
    }


def _inlet() -> Json:
    return {
        "id": text("id of the appliance"),
        "kind": text("kind of appliance"),
        "node": text("node that it hangs on"),
        "input": _power("input that pipe is sized for"),
        "input_derated": nullable(_power("input at this altitude, a note; null where none is lost")),
        "static": nullable(_pressure("without flow, as set")),
        "full_fire": nullable(_pressure("with everything firing")),
        "min": _pressure("least that it takes"),
        "max": _pressure("most that it takes"),
        "limits_from": text("nameplate, listing or common practice"),
        "lawful": {"type": ["boolean", "null"], "description": "whether both lie within; null where not known"},
    }


def _zone() -> Json:
    return {
        "root": text("node where the zone begins"),
        "supply": _pressure("pressure there"),
        "allowable_drop": number("drop that is allowed [units.gas_pressure]"),
        "longest_run": length("longest run of pipe, fittings not counted"),
        "load": _power("what it feeds"),
        "behind_regulator": flag("a line regulator feeds it"),
        "hybrid": flag("it is a part of a system at more than one pressure"),
    }


def _meter() -> Json:
    return {
        "connected": _power("sum of all inputs"),
        "drawn": _power("what runs at once, by the stated diversity"),
        "capacity": _power("what the meter passes"),
        "enough": flag("whether it covers what runs at once"),
        "class_needed": nullable(text("smallest class that does; null beyond the table")),
        "service_regulator": nullable(_power("what the supplier's regulator passes; null where not known")),
        "service_regulator_enough": {"type": ["boolean", "null"], "description": "null where not known"},
    }


def _method() -> Json:
    size = {
        "segment": text("id of the segment"),
        "size_needed": nullable(text("smallest size of the present material that carries the load")),
        "action": _ACTIONS,
    }
    return {
        "method": choice(GasMethod, "how pipe is sized"),
        "governs": flag("whether the rest of the answer is by it"),
        "cost": nullable(money("of all pipe that is renewed or new; null where some cannot be had")),
        "sizes": array(obj("One pipe.", size)),
        "cross_check": text("how the cost was confirmed a second way"),
    }


def _finding() -> Json:
    return {
        "rule": text("id of the rule, beginning gas."),
        "citation": text("standard and section, or table"),
        "verdict": choice(Verdict, "unknown never counts as a pass"),
        "subject": text("what the rule is about"),
        "object": text("id of the segment, appliance or node"),
        "detail": text("the finding in words, with its figures"),
        "missing": text("fact that would settle an unknown verdict; empty otherwise"),
    }


def _sizing() -> Json:
    return {"name": text("name of the request"), **_system(), "engine": ref("GasEngine")}


def _system() -> Json:
    return {
        "lawful": flag("nothing failed and nothing is unknown, with the pipe as chosen and what is asked agreed"),
        "units": ref("GasUnits"),
        "method": choice(GasMethod, "the method that governs"),
        "fittings": choice(GasFittings, "how fittings add to length"),
        "diversity": nullable(number("stated share of the load that runs at once, 0 to 1")),
        "cost": nullable(money("of all pipe that is renewed or new; null where some cannot be had")),
        "segments": array(ref("GasSegment"), "those nearer to the meter first"),
        "inlets": array(ref("GasInlet")),
        "zones": array(ref("GasZone"), "that of the delivery first"),
        "meter": ref("GasMeter"),
        "methods": array(ref("GasMethodResult"), "the one that governs first"),
        "parts": array(ref("PartLine")),
        "findings": array(ref("GasFinding"), "broken rules first, then unknown ones"),
        "request_to_supplier": array({"type": "string"}, "for the gas supplier; empty where nothing is asked"),
        "assumptions": SENTENCES,
        "warnings": SENTENCES,
        "cautions": SENTENCES,
    }
