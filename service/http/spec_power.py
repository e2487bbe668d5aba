"""JSON Schemas of a design's power."""

from __future__ import annotations

from service.http.spec_words import Json, array, choice, flag, length, nullable, number, obj, ref, text
from service.trades.circuits import Fit
from service.trades.power_options import PowerOption


def power_schemas() -> Json:
    """Component schemas by name."""
    return {
        "PowerOutlet": obj("An outlet or panel of the survey, and whether it can take the heater.", _outlet()),
        "Power": obj("Power of a design in full.", _power()),
    }


def _volts(description: str) -> Json:
    return number(f"{description} [V]")


def _amperes(description: str) -> Json:
    return number(f"{description} [A]")


def _watts(description: str) -> Json:
    return number(f"{description} [W]")


def _heater() -> Json:
    return {
        "voltage": _volts("of the heater"),
        "voltage_known": flag("told by its entry; else the usual one"),
        "running_load": _watts("running"),
        "running_current": _amperes("running, at power factor one"),
        "load_with_frost_element": _watts("with its frost element on"),
        "current_with_frost_element": _amperes("with its frost element on"),
        "frost_element_known": flag("told by its entry; else the most that is usual"),
    }


def _circuit() -> Json:
    return {
        "new": flag("a new circuit from a panel"),
        "breaker": nullable(_amperes("its breaker; null: not known")),
        "wire": nullable(text("its copper wire, AWG; null: not known")),
        "present_load": nullable(_watts("what it feeds already; null: not known")),
        "current_after": nullable(_amperes("with the heater, all taken as continuous")),
        "limit": nullable(_amperes("most continuous current")),
        "limit_fastened_in_place": nullable(_amperes("of all that is fastened in place; null: none, or not known")),
        "carries": choice(Fit, "whether it carries the heater; unknown is to be settled on site"),
    }


def _drop() -> Json:
    return {
        "wire": text("wire that is reckoned with, AWG"),
        "wire_known": flag("as surveyed or planned; else what the breaker asks, or the least of all"),
        "new_cable": length("of the run; 0 where the heater's own cord is the run"),
        "old_cable": nullable(length("from the panel to the outlet; null: not known, and not reckoned")),
        "lost": _volts("on the way there and back, by the heater's current"),
        "share": number("of the voltage"),
        "recommended_share": number("most that is recommended"),
        "longest_cable": nullable(length("of such wire at which that share is lost; null: a heater without load")),
    }


def _protection() -> Json:
    return {
        "code": text("electrical code"),
        "code_from": text("survey, or rule set: the edition that goes with it"),
        "asked": choice(Fit, "whether an outlet at the heater needs it"),
        "why": text("why"),
        "given_by": text("what gives it in this design"),
        "citation": text("standard and section"),
        "known_from": text("read, memory or common_practice"),
    }


def _outlet() -> Json:
    rule = {
        "rule": text("id"),
        "topic": text("what it asks"),
        "holds": choice(Fit, "whether it holds"),
        "detail": text("in words"),
        "missing": array({"type": "string"}, "facts that would settle it"),
        "citation": text("standard and section"),
        "known_from": text("read, memory or common_practice"),
    }
    return {
        "id": text("id in the survey"),
        "is_panel": flag("a panel, of which a new circuit can be led"),
        "chosen": flag("the design's own"),
        "distance": length("straight, from the heater's power port"),
        "within_cord": flag("an outlet no farther than the cord is long"),
        "carries": choice(Fit, "whether its circuit, or a new one, carries the heater"),
        "rules": array(obj("One rule.", rule)),
    }


def _power() -> Json:
    units = {"length": text("ft or m"), "voltage": text("V"), "current": text("A"), "load": text("W")}
    disconnect = {
        "by": text("what disconnects the heater"),
        "citation": text("standard and section"),
        "known_from": text("read, memory or common_practice"),
    }
    cord = {
        "length": length("of the listing"),
        "used": nullable(length("up to the outlet; null: no old outlet is used")),
    }
    return {
        "units": obj("Units of this member.", units),
        "heater": obj("What the heater draws.", _heater()),
        "option": choice(PowerOption, "how it is connected"),
        "ends_at": text("outlet or panel"),
        "circuit": obj("The circuit it is on.", _circuit()),
        "voltage_drop": obj("Voltage lost on the cable.", _drop()),
        "ground_fault_protection": obj("Protection of the outlet.", _protection()),
        "disconnect": obj("What disconnects it.", disconnect),
        "cord": obj("The heater's own cord.", cord),
        "outlets": array(ref("PowerOutlet"), "all of the survey, by id"),
        "findings": array(ref("Finding"), "broken rules first"),
    }
