"""Demand for hot water as plain text: the demand by every method, the rise, the heaters that carry it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

Json = dict[str, Any]


def demand_text(answer: Json) -> str:
    """Summary of a demand."""
    return "\n".join(
        [
            *_head(answer),
            "",
            "Demand by method",
            *_methods(answer),
            "",
            "Heaters",
            *_heaters(answer),
            *_months(answer),
            "",
            f"Assumptions: {len(answer['assumptions'])} (all in the JSON answer)",
            "Warnings:",
            *(f"  - {line}" for line in answer["warnings"]),
            "Cautions:",
            *(f"  - {line}" for line in answer["cautions"]),
        ]
    )


def design_hot_water(design: Json) -> list[str]:
    """What a placement's design says of hot water; nothing where the survey has no fixtures."""
    part = design["hot_water"]
    if part is None:
        return []
    heater = part["heaters"][0]
    carried = f"  {heater['id']} carries {_figure(heater['capacity'])} {part['units']['flow']}"
    return ["", "Demand for hot water", *_head(part), f"{carried}, {_figure(heater['margin'])} to spare"]


def _head(part: Json) -> list[str]:
    flow, degree = part["units"]["flow"], part["units"]["temperature"]
    inlet, of = part["inlet"], ", ".join(part["together"])
    how = _method(part["method"]) + (f" of {of}" if of else "")
    month = f" in {inlet['month']}" if inlet["month"] else ""
    return [
        f"  asked for {_figure(part['demand'])} {flow}: {how if part['is_told'] else f'the largest draw alone, {of}'}",
        f"  rise {part['rise']:g} {degree}: from {inlet['coldest']:g} {degree}{month} ({_method(inlet['source'])}) to "
        f"{part['setpoint']:g} {degree}",
    ]


def _methods(answer: Json) -> Iterator[str]:
    flow = answer["units"]["flow"]
    for m in answer["methods"]:
        found = f"{_figure(m['demand'])} {flow}" if m["demand"] is not None else f"cannot tell: {m['missing']}"
        governs = " (governs)" if m["governs"] else ""
        yield f"  {_method(m['method'])}{governs}: {found} [{m['citation']}; {m['known_from']}]"


def _heaters(answer: Json) -> Iterator[str]:
    flow = answer["units"]["flow"]
    for h in answer["heaters"]:
        state = "carries it" if h["carries"] else "TOO SMALL"
        if not h["carries"] and h["in_parallel"]:
            state += f", {h['in_parallel']} in parallel would do"
        yield f"  {h['id']}: {_figure(h['capacity'])} {flow}, margin {_figure(h['margin'])}: {state}"


def _months(answer: Json) -> Iterator[str]:
    if not answer["months"]:
        return
    flow, degree = answer["units"]["flow"], answer["units"]["temperature"]
    yield from ("", "Over the year")
    for m in answer["months"]:
        able, asked = ", ".join(m["carried_by"]) or "none", f"{_figure(m['demand'])} {flow}"
        rise = f"inlet {m['inlet']:g}, rise {m['rise']:g} {degree}"
        yield f"  {m['month']:<9} {rise}, asked for {asked}; carried by {able}"


def _method(word: str) -> str:
    return word.replace("_", " ")


def _figure(value: float | None) -> str:
    return "-" if value is None else f"{value:.2f}"
