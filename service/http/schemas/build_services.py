"""From loaded gas, water, drains and outlets to the survey's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.http.schemas.fuel import Fuel
from service.http.schemas.notes import Notes, named
from service.survey.model import (
    Appliance,
    Drain,
    Fixture,
    GasNode,
    GasSegment,
    GasSupply,
    Point3,
    Receptacle,
    WaterLine,
    WaterSupply,
)
from service.units import Quantity, to_si, told

Entry = Mapping[str, Any]
# Common practice: what utilities and tank regulators deliver to a house, and the drop the code's tables allow.
PRESSURE_IN_WC = {Fuel.NATURAL_GAS: 7.0, Fuel.PROPANE: 11.0}
DROP_IN_WC = 0.5


def build_gas(entry: Entry, fuel: Fuel, notes: Notes) -> GasSupply:
    """The gas supply."""
    nodes = tuple(GasNode(e["id"], e["at"]) for e in entry["nodes"])
    appliances = tuple(_appliance(e, i, notes) for i, e in enumerate(entry.get("appliances", [])))
    places = {node.id: node.at for node in nodes}
    return GasSupply(
        delivery_node=entry["delivery_node"],
        pressure_pa=_pressure(entry, "pressure", PRESSURE_IN_WC[fuel], "Gas pressure", notes),
        meter_capacity_w=_meter(entry, appliances, notes),
        allowable_drop_pa=_pressure(entry, "allowable_drop", DROP_IN_WC, "Allowable drop of gas pressure", notes),
        nodes=nodes,
        segments=tuple(_segment(e, i, places, notes) for i, e in enumerate(entry.get("segments", []))),
        appliances=appliances,
        free_outlets=tuple(entry.get("free_outlets", [])),
    )


def delivery_point(entry: Entry) -> Point3 | None:
    """Where gas enters, None while the document names no such node."""
    return next((e["at"] for e in entry["nodes"] if e["id"] == entry["delivery_node"]), None)


def build_water(entry: Entry, notes: Notes) -> WaterSupply:
    """The water supply."""
    for key, words in (("static_pressure", "Static water pressure"), ("hardness", "Water hardness")):
        if key not in entry:
            notes.assume(f"{words} not given and not judged")
    return WaterSupply(
        cold=tuple(_line(e, named(e, "cold", i)) for i, e in enumerate(entry["cold"])),
        hot=tuple(_line(e, named(e, "hot", i)) for i, e in enumerate(entry["hot"])),
        static_pressure_pa=entry.get("static_pressure"),
        hardness_mg_l=entry.get("hardness"),
        fixtures=tuple(
            Fixture(named(e, "fixture", i), e["kind"], e["at"], e["flow"])
            for i, e in enumerate(entry.get("fixtures", []))
        ),
        softener=entry.get("softener"),
    )


def build_drain(entry: Entry, index: int) -> Drain:
    """One drain."""
    return Drain(named(entry, "drain", index), entry["at"])


def build_receptacle(entry: Entry, index: int) -> Receptacle:
    """One outlet or panel."""
    return Receptacle(named(entry, "receptacle", index), entry["at"], entry.get("is_panel", False))


def _pressure(entry: Entry, key: str, in_wc: float, words: str, notes: Notes) -> float:
    default = to_si(Quantity.GAS_PRESSURE, in_wc, "in w.c.")
    text = told(Quantity.GAS_PRESSURE, default, notes.system)
    return notes.taken(entry.get(key), default, f"{words} not given, taken as {text}")


def _meter(entry: Entry, appliances: tuple[Appliance, ...], notes: Notes) -> float:
    """A meter of unknown size is taken as full, so that a larger one is priced."""
    connected = sum(a.input_w for a in appliances)
    text = told(Quantity.POWER, connected, notes.system)
    sentence = f"Meter capacity not given, taken as just the load connected today ({text})"
    return notes.taken(entry.get("meter_capacity"), connected, sentence)


def _segment(entry: Entry, index: int, places: Mapping[str, Point3], notes: Notes) -> GasSegment:
    name = named(entry, "segment", index)
    ends = places.get(entry["start"]), places.get(entry["end"])
    length = entry.get("length")
    if length is None:
        notes.assume("Length of gas segment not given, taken along the axes between its nodes", name)
        length = _manhattan_mm(*ends)
    return GasSegment(name, entry["start"], entry["end"], entry["material"], entry["size"], length)


def _manhattan_mm(a: Point3 | None, b: Point3 | None) -> int:
    """Distance along the axes [mm]; 0 while a node is unknown, which the checks refuse."""
    return sum(abs(p - q) for p, q in zip(a, b, strict=True)) if a and b else 0


def _appliance(entry: Entry, index: int, notes: Notes) -> Appliance:
    name = named(entry, "appliance", index)
    sentence = "Not said whether gas appliance is direct vent, treated as drawing air from the room"
    return Appliance(
        id=name,
        kind=entry["kind"],
        input_w=entry["input"],
        direct_vent=notes.unknown(entry.get("direct_vent"), sentence, name),
        room=notes.unknown(entry.get("room"), "Room of gas appliance not given, counted in every room", name),
        node=entry["node"],
    )


def _line(entry: Entry, name: str) -> WaterLine:
    return WaterLine(name, tuple(entry["points"]), entry["size"], entry["material"])
