"""Limits of runs and supplies that may be lifted where nothing is lawful, each a group of rules that count as one.

A limit of pipe, water or air is lifted only where nothing keeps it: of gas and water pipe the size that reaches
farthest (by pressure: loses least) is let past its limit and no smaller one, a room goes without air only if none can
be had. So what is lacking then is the least that lacks by the pipe and the air that may be bought.
"""

from __future__ import annotations

from collections.abc import Iterable

from service.survey.model import GasMethod

Rules = frozenset[str]

VENT_RUN: Rules = frozenset({"vent.equivalent", "vent.elbows"})
GAS_RUN: Rules = frozenset({"gas.branch", "gas.segment"})
GAS_LOSS: Rules = frozenset({"gas.pressure_run"})
GAS_INLET: Rules = frozenset({"gas.inlet_low", "gas.inlet_high"})
AIR: Rules = frozenset({"air.volume", "air.method", "air.way", "air.rooms"})
WATER_PRESSURE: Rules = frozenset({"water.pressure"})
WATER_FLOW: Rules = frozenset({"water.velocity"})
DEMAND: Rules = frozenset({"demand.capacity"})
DRAIN_SIZE: Rules = frozenset({"CO2"})
CIRCUIT: Rules = frozenset({"power.load", "power.shared", "power.voltage", "power.panel", "power.wire"})
NEAR_WALL = "ROOF-WALL"
OVER_ROOF: Rules = frozenset({NEAR_WALL, "ROOF-PITCH", "ROOF-PARTS"})
"""Near an upright wall the search offers no terminal; lifted, one stands at the height by pitch, which may be too low
there."""
_FIRST = {
    VENT_RUN: "vent.equivalent", GAS_RUN: "gas.branch", GAS_LOSS: "gas.pressure_run", GAS_INLET: "gas.inlet_low",
    AIR: "air.volume", WATER_PRESSURE: "water.pressure", WATER_FLOW: "water.velocity", DEMAND: "demand.capacity",
    DRAIN_SIZE: "CO2", CIRCUIT: "power.load", OVER_ROOF: NEAR_WALL,
}  # fmt: skip
"""Each group by the rule that stands for it."""
SUPPLIES = (GAS_RUN, GAS_LOSS, GAS_INLET, AIR, WATER_PRESSURE, WATER_FLOW, DEMAND, DRAIN_SIZE, CIRCUIT)
"""Limits that are the house's or a heater's, not a place's."""


def gas_pipe(method: GasMethod) -> Rules:
    """What limits gas pipe by a method."""
    return GAS_LOSS if method is GasMethod.PRESSURE else GAS_RUN


def whole(rules: Iterable[str]) -> Rules:
    """Rules with all others of each group that has one of them."""
    found = frozenset(rules)
    return found.union(*(group for group in _FIRST if group & found))


def as_one(rules: Iterable[str]) -> Rules:
    """Rules with each group told as the one that stands for it."""
    found = frozenset(rules)
    groups = [group for group in _FIRST if group & found]
    return found.difference(*groups) | {_FIRST[group] for group in groups}
