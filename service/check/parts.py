"""Designs that are given in part: which findings stand, and what stays open."""

from __future__ import annotations

from service.design import Design, Finding, Part

LEAVES_OPEN = {
    Part.MOUNT: "room, listed clearances, working space and heights; whether the runs begin at the heater",
    Part.TERMINAL: "every clearance of the vent terminal; whether the vent's run ends there",
    Part.INTAKE: "every clearance of the intake's terminal; its distance from the exhaust and the way to it",
    Part.VENT_RUN: "length, elbows, rise and fall of the vent; the rooms and walls that it passes",
    Part.GAS_RUN: "way and material of the gas branch; sizes and pressures up to the heater",
    Part.COLD_RUN: "way and size of the cold pipe",
    Part.HOT_RUN: "way and size of the hot pipe",
    Part.DRAIN_RUN: "way and fall of the condensate drain",
    Part.POWER_RUN: "way of the cable, circuit and connection of the heater",
    Part.AIR: "combustion air of the room",
    Part.GAS_WORKS: "meter, service regulator and pressures; sizes of the gas branch and of the pipe before it",
    Part.COST: "quantities, prices and total",
}
_ALSO_NEEDS = {"vent.room": Part.MOUNT, "CO8": Part.COST}
"""Rules that speak of one part more than the run that they are told with."""
_OF_THE_WHOLE = frozenset({"price.lines", "price.quantity", "price.total"})


def open_parts(design: Design) -> tuple[tuple[Part, str], ...]:
    """Parts that the heater needs and nobody gave, each with what it leaves open."""
    return tuple((p, LEAVES_OPEN[p]) for p in Part if p in design.needed and p not in design.given)


def stands(design: Design, finding: Finding) -> bool:
    """Whether a finding rests on given parts alone."""
    if finding.rule_id in _OF_THE_WHOLE:
        return design.whole
    needs = _ALSO_NEEDS.get(finding.rule_id)
    return needs is None or needs in design.given
