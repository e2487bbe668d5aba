"""The line of a summary that tells how a heater gets its combustion air."""

from __future__ import annotations

from typing import Any

Json = dict[str, Any]


def air_line(design: Json, answer: Json) -> str:
    """Method, size, and what the room has of what it would need."""
    air, units = design["air"], answer["units"]
    if air is None:
        return "Air       from outdoors, by the heater's own pipe: the room needs none"
    parts = [air["method"].replace("_", " "), *_openings(air, units), *_flow(air, units), _volumes(air, units)]
    through = [f"by way of {', '.join(air['through'])}"] if air["through"] else []
    return f"Air       {'; '.join([*parts[:1], *through, *parts[1:]])} [{air['citation']}]"


def _openings(air: Json, units: Json) -> list[str]:
    sizes = sorted({(o["area_free"], o["area_gross_metal"], o["area_gross_wood"]) for o in air["openings"]})
    unit, count = units["opening_area"], len(air["openings"])
    return [
        f"{count} of {free:,.1f} {unit} free area (louvre: {metal:,.1f} {unit} in metal, {wood:,.1f} {unit} in wood)"
        for free, metal, wood in sizes
    ]


def _flow(air: Json, units: Json) -> list[str]:
    return [f"fan for {air['supply_flow']:,.1f} {units['air_flow']}"] if air["supply_flow"] else []


def _volumes(air: Json, units: Json) -> str:
    unit, counted, asked = units["volume"], air["counted_volume"], air["required_volume"]
    rooms = " and ".join(air["rooms"])
    if counted is None or asked is None:
        return f"no volume of {rooms} would do"
    return f"{rooms}: {counted:,.0f} {unit}, {asked:,.0f} {unit} asked for without openings"
