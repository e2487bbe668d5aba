"""A design's power as one line of text."""

from __future__ import annotations

from typing import Any

Json = dict[str, Any]
WORDS = {
    "cable": "new outlet by cable from",
    "cord": "plugs into",
    "cord_gfci": "plugs, once it is made ground-fault protected, into",
    "wired": "wired in from",
    "wired_switch": "wired in, with a switch in sight, from",
    "wired_gfci": "wired in, behind a ground-fault breaker, from",
    "wired_switch_gfci": "wired in, with a switch in sight and a ground-fault breaker, from",
}


def power_line(design: Json) -> str:
    """How the heater is connected, and what its circuit carries or what is not known of it."""
    power = design["power"]
    heater, circuit = power["heater"], power["circuit"]
    told = f"{WORDS[power['option']]} {power['ends_at']}"
    draws = f"{heater['running_current']:.2f} A, {heater['current_with_frost_element']:.2f} A with frost element"
    return f"Power     {told}: {draws}; {_carried(circuit, power)}"


def _carried(circuit: Json, power: Json) -> str:
    if circuit["carries"] == "yes":
        own = "new circuit" if circuit["new"] else "circuit"
        amount = f"{circuit['current_after']:.2f} of {circuit['limit']:g} A"
        return f"{own} of {circuit['breaker']:g} A then carries {amount}"
    chosen = [o for o in power["outlets"] if o["chosen"]]
    missing = sorted({fact for o in chosen for rule in o["rules"] for fact in rule["missing"]})
    return f"have an electrician find out: {', '.join(missing) or 'outlet or panel'}"
