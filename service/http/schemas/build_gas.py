"""From loaded gas entries to the survey's, every default told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from service.http.schemas.fuel import Fuel
from service.http.schemas.notes import Notes, named
from service.rules.tables import table
from service.survey.model import (
    Appliance,
    GasCharacter,
    GasFittings,
    GasMaterial,
    GasMethod,
    GasNode,
    GasSegment,
    GasSupply,
    LineRegulator,
    Point3,
    PressureOption,
)
from service.trades import gas_loads, gas_meter, gas_pipe
from service.units import Quantity, to_si, told

Entry = Mapping[str, Any]
# Common practice: what utilities and tank regulators deliver to a house, and the drop the code's tables allow.
PRESSURE_IN_WC = {Fuel.NATURAL_GAS: 7.0, Fuel.PROPANE: 11.0}
DROP_IN_WC = 0.5
NOT_KNOWN_W = 0.0
"""Stands for an input that nobody knows, until the document is refused for it."""


def build_character(entry: Entry, notes: Notes) -> GasCharacter:
    """The gas and the altitude at which it burns."""
    fuel = notes.taken(entry.get("fuel"), Fuel.NATURAL_GAS, "Fuel not given, taken as natural gas")
    return GasCharacter(
        fuel=str(fuel),
        heating_value_j_m3=_property(entry, "heating_value", fuel, notes),
        specific_gravity=_property(entry, "specific_gravity", fuel, notes),
        altitude_m=notes.taken(entry.get("altitude"), 0.0, "Altitude not given, taken as sea level"),
    )


def build_gas(entry: Entry, gas: GasCharacter, notes: Notes) -> GasSupply:
    """The gas supply; see ``note_rooms`` for what a house adds."""
    nodes = tuple(GasNode(e["id"], e["at"]) for e in entry.get("nodes", []))
    places = {node.id: node.at for node in nodes}
    appliances = tuple(_appliance(e, i, notes) for i, e in enumerate(entry.get("appliances", [])))
    supply = GasSupply(
        delivery_node=entry["delivery_node"],
        pressure_pa=_pressure(entry, "pressure", PRESSURE_IN_WC[Fuel(gas.fuel)], "Gas pressure", notes),
        meter_capacity_w=_meter(entry, appliances, gas, notes),
        allowable_drop_pa=_pressure(entry, "allowable_drop", DROP_IN_WC, "Allowable drop of gas pressure", notes),
        nodes=nodes,
        segments=tuple(_segment(e, i, places, notes) for i, e in enumerate(entry.get("segments", []))),
        appliances=appliances,
        free_outlets=tuple(entry.get("free_outlets", [])),
        regulators=tuple(_regulator(e, notes) for e in entry.get("regulators", [])),
        pressure_options=tuple(_option(e, i, notes) for i, e in enumerate(entry.get("pressure_options", []))),
    )
    return _with_choices(supply, entry, notes)


def delivery_point(entry: Entry) -> Point3 | None:
    """Where gas enters, None while the document names no such node."""
    return next((e["at"] for e in entry["nodes"] if e["id"] == entry["delivery_node"]), None)


def note_rooms(appliances: Sequence[Appliance], notes: Notes) -> None:
    """What is taken for granted of appliances that stand in a house whose air is judged."""
    for appliance in appliances:
        sentence = "Not said whether gas appliance is direct vent, treated as drawing air from the room"
        notes.unknown(appliance.direct_vent, sentence, appliance.id)
        notes.unknown(appliance.room, "Room of gas appliance not given, counted in every room", appliance.id)


def _property(entry: Entry, name: str, fuel: Fuel, notes: Notes) -> float:
    default = table("gas_properties").where(fuel=str(fuel)).si(name)
    text = told(Quantity.HEATING_VALUE, default, notes.system) if name == "heating_value" else f"{default:g}"
    words = name.replace("_", " ").capitalize()
    return notes.taken(entry.get(name), default, f"{words} of the gas not given, taken as {text}")


def _with_choices(supply: GasSupply, entry: Entry, notes: Notes) -> GasSupply:
    """How pipe is sized, what the branch may be made of, and what the supplier's regulator passes."""
    method = "Method of sizing gas pipe not given, taken as the longest length by the code's tables"
    fittings = "Not said how fittings of gas pipe add to length, each that was counted adds its equivalent length"
    steel = "Materials of the heater's gas branch not given, taken as Schedule 40 steel"
    regulator = "Capacity of the supplier's regulator not given, left to the supplier"
    return replace(
        supply,
        method=notes.taken(entry.get("method"), GasMethod.LONGEST_TABLES, method),
        fittings=notes.taken(entry.get("fittings"), GasFittings.COUNTED, fittings),
        diversity=entry.get("diversity"),
        branch_materials=tuple(
            dict.fromkeys(notes.taken(entry.get("branch_materials"), [GasMaterial.STEEL.value], steel))
        ),
        service_regulator_w=notes.taken(entry.get("service_regulator_capacity"), None, regulator),
    )


def _pressure(entry: Entry, key: str, in_wc: float, words: str, notes: Notes, subject: str | None = None) -> float:
    default = to_si(Quantity.GAS_PRESSURE, in_wc, "in w.c.")
    text = told(Quantity.GAS_PRESSURE, default, notes.system)
    return notes.taken(entry.get(key), default, f"{words} not given, taken as {text}", subject)


def _meter(entry: Entry, appliances: Sequence[Appliance], gas: GasCharacter, notes: Notes) -> float:
    """A class passes what its table says; a meter of unknown size is taken as full, so that a larger one is priced."""
    if (name := entry.get("meter_class")) is not None:
        rated = gas_meter.capacity_w(name, gas)
        text = told(Quantity.POWER, rated, notes.system)
        notes.assume(f"Gas meter of class {name} taken to pass {text} of this gas, by table gas_meters")
        return rated
    connected = sum(a.input_w for a in appliances)
    text = told(Quantity.POWER, connected, notes.system)
    sentence = f"Meter capacity not given, taken as just the load connected today ({text})"
    return notes.taken(entry.get("meter_capacity"), connected, sentence)


def _segment(entry: Entry, index: int, places: Mapping[str, Point3], notes: Notes) -> GasSegment:
    name = named(entry, "segment", index)
    _note_size(entry, name, notes)
    open_run = "Not said whether gas segment lies behind finished surfaces, taken as open"
    return GasSegment(
        id=name,
        start=entry["start"],
        end=entry["end"],
        material=entry["material"],
        size=notes.unknown(entry.get("size"), "Size of gas segment not given, taken as new pipe to be sized", name),
        length_mm=_length(entry, name, places, notes),
        elbows=entry.get("elbows"),
        tees=entry.get("tees"),
        finished=notes.taken(entry.get("finished"), False, open_run, name),
        fixed=entry.get("fixed", False),
        before_regulator=entry.get("before_regulator", False),
    )


def _note_size(entry: Entry, name: str, notes: Notes) -> None:
    material, size = entry["material"], entry.get("size")
    if size is not None and material in gas_pipe.MATERIALS and not gas_pipe.is_known(material, size):
        notes.warn(f"gas segment {name}: {material} has no size {size!r}, so what it carries is not known")


def _length(entry: Entry, name: str, places: Mapping[str, Point3], notes: Notes) -> int:
    given: int | None = entry.get("length")
    if given is not None:
        return given
    notes.assume("Length of gas segment not given, taken along the axes between its nodes", name)
    return _manhattan_mm(places.get(entry["start"]), places.get(entry["end"]))


def _manhattan_mm(a: Point3 | None, b: Point3 | None) -> int:
    """Distance along the axes [mm]; 0 while a node is unknown, which the checks refuse."""
    return sum(abs(p - q) for p, q in zip(a, b, strict=True)) if a and b else 0


def _appliance(entry: Entry, index: int, notes: Notes) -> Appliance:
    name = named(entry, "appliance", index)
    return Appliance(
        id=name,
        kind=entry["kind"],
        input_w=entry["input"] if "input" in entry else _typical(entry["kind"], name, notes),
        direct_vent=entry.get("direct_vent"),
        room=entry.get("room"),
        node=entry["node"],
        inlet_min_pa=entry.get("inlet_min"),
        inlet_max_pa=entry.get("inlet_max"),
        fan_assisted=entry.get("fan_assisted"),
        vent_diameter_mm=entry.get("vent_diameter"),
    )


def _typical(kind: str, name: str, notes: Notes) -> float:
    """Typical input of a kind [W]; ``input_faults`` refuses a kind that has none."""
    typical = gas_loads.typical_input_w(kind)
    if typical is None:
        return NOT_KNOWN_W
    source = table("gas_appliances")
    text = f"{told(Quantity.POWER, typical, notes.system)} ({gas_loads.typical_mark(kind)})"
    sentence = f"Input of gas appliance not given, taken as typical by table {source.name} ({source.standard})"
    notes.assume(sentence, f"{name} {text}")
    return typical


def _regulator(entry: Entry, notes: Notes) -> LineRegulator:
    words = "Allowable drop behind line regulator"
    if "capacity" not in entry:
        notes.assume("Capacity of line regulator not given, not known to pass more than it does today", entry["node"])
    return LineRegulator(
        node=entry["node"],
        outlet_pa=entry["outlet_pressure"],
        allowable_drop_pa=_pressure(entry, "allowable_drop", DROP_IN_WC, words, notes, entry["node"]),
        capacity_w=entry.get("capacity"),
        loss_pa=entry.get("loss"),
    )


def _option(entry: Entry, index: int, notes: Notes) -> PressureOption:
    name = named(entry, "pressure-option", index)
    if "regulated_pressure" in entry:
        sentence = "Allowable drop behind the new line regulator not given, taken as that of today's supply"
        notes.unknown(entry.get("regulated_drop"), sentence, name)
    return PressureOption(
        id=name,
        pressure_pa=entry["pressure"],
        allowable_drop_pa=entry["allowable_drop"],
        regulated_pa=entry.get("regulated_pressure"),
        regulated_drop_pa=entry.get("regulated_drop"),
    )
