"""A sized gas system as plain text: the verdict, the pipes, what each appliance gets, the meter, what to ask for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.words import length_text

Json = dict[str, Any]

_OPEN = ("fail", "unknown")
_NONE = "-"
_METHODS = {
    "longest_length_by_tables": "longest length, tables",
    "longest_length_by_equation": "longest length, equation",
    "branch_length_by_tables": "branch length, tables",
    "branch_length_by_equation": "branch length, equation",
    "pressure_by_equation": "pressure along each run, equation",
}


def gas_text(answer: Json) -> str:
    """Summary of a gas sizing."""
    return "\n".join(
        [
            *_verdict(answer),
            *_headed(f"Pipes by {_method_words(answer['method'])}", _segments(answer)),
            *_headed("Appliances", _inlets(answer)),
            *_headed("Meter", _meter(answer)),
            *_headed("Pipe by other methods", _methods(answer)),
            *_headed("Besides pipe", _parts(answer)),
            *_headed("Request to the gas supplier", (f"  {line}" for line in answer["request_to_supplier"])),
            *_headed("Warnings", (f"  {line}" for line in answer["warnings"])),
            "",
            f"Assumptions: {len(answer['assumptions'])} (all in the JSON answer)",
            "Cautions:",
            *(f"  {line}" for line in answer["cautions"]),
            "Engine: {name} {version}, prices {price_book}".format(**answer["engine"]),
        ]
    )


def _headed(heading: str, lines: Iterator[str]) -> list[str]:
    """A part of the text with its heading; nothing where it is empty."""
    found = list(lines)
    return ["", heading, *found] if found else []


def _verdict(answer: Json) -> Iterator[str]:
    open_points = [f for f in answer["findings"] if f["verdict"] in _OPEN]
    advice = [f for f in answer["findings"] if f["verdict"] == "advice"]
    yield "LAWFUL as chosen" if answer["lawful"] else f"NOT LAWFUL: {_count(len(open_points), 'finding')}"
    yield from (f"  {_finding(f)}" for f in open_points + advice)
    cost = "cannot be had" if answer["cost"] is None else f"{answer['cost']:,.2f} {answer['units']['money']}"
    yield f"Pipe to make and renew: {cost}"


def _finding(finding: Json) -> str:
    missing = f" - not known: {finding['missing']}" if finding["missing"] else ""
    thing = f" {finding['object']}" if finding["object"] else ""
    return f"{finding['verdict']:<7} {finding['subject']}{thing}: {finding['detail']}{missing} [{finding['citation']}]"


def _segments(answer: Json) -> Iterator[str]:
    units = answer["units"]
    heads = ("pipe", f"load {units['power']}", "length used", "has", "needs", "becomes", "cost",
             f"{units['gas_pressure']} at end")  # fmt: skip
    rows = [_segment(s, answer) for s in answer["segments"]]
    yield from _table(heads, rows)
    if short := [s["id"] for s in answer["segments"] if s["already_short"]]:
        yield f"  Too small for today's load already: {', '.join(short)}"


def _segment(s: Json, answer: Json) -> tuple[str, ...]:
    present, chosen = s["present"], s["chosen"]
    has = _NONE if present["size"] is None else _pipe(present)
    becomes = {"keep": "stays", "impossible": "CANNOT BE HAD"}.get(s["action"])
    return (
        s["id"],
        _figure(s["load"]),
        _NONE if s["length_used"] is None else length_text(s["length_used"], answer),
        has,
        s["size_needed"] or "beyond all",
        becomes or f"{s['action']} {_pipe(chosen)}",
        _NONE if not s["cost"] else f"{s['cost']:,.2f}",
        _NONE if s["pressure_out"] is None else f"{s['pressure_out']:g}",
    )


def _pipe(pipe: Json) -> str:
    return f"{pipe['size']} {pipe['material']}"


def _inlets(answer: Json) -> Iterator[str]:
    units = answer["units"]
    heads = ("appliance", f"input {units['power']}", "without flow", "all firing", f"takes, {units['gas_pressure']}",
             "from", "")  # fmt: skip
    yield from _table(heads, [_inlet(i) for i in answer["inlets"]])
    for i in answer["inlets"]:
        if i["input_derated"] is not None:
            yield f"  {i['id']}: at this altitude about {_figure(i['input_derated'])} {units['power']} (a note)"


def _inlet(i: Json) -> tuple[str, ...]:
    verdict = {True: "ok", False: "NOT LAWFUL", None: "not known"}[i["lawful"]]
    static, firing = (_NONE if i[k] is None else f"{i[k]:g}" for k in ("static", "full_fire"))
    span = f"{i['min']:g} to {i['max']:g}"
    return i["id"], _figure(i["input"]), static, firing, span, i["limits_from"], verdict


def _meter(answer: Json) -> Iterator[str]:
    meter, power = answer["meter"], answer["units"]["power"]
    state = "enough" if meter["enough"] else f"TOO SMALL, needs {_class(meter)}"
    yield f"  connected {_figure(meter['connected'])} {power}, passes {_figure(meter['capacity'])} {power}: {state}"
    if meter["drawn"] != meter["connected"]:
        yield f"  drawn at once, as the survey states: {_figure(meter['drawn'])} {power}"
    if meter["service_regulator"] is not None:
        state = "enough" if meter["service_regulator_enough"] else "TOO SMALL"
        yield f"  service regulator passes {_figure(meter['service_regulator'])} {power}: {state}"


def _class(meter: Json) -> str:
    return f"class {meter['class_needed']}" if meter["class_needed"] else "one beyond the usual classes"


def _methods(answer: Json) -> Iterator[str]:
    money = answer["units"]["money"]
    governing = next(m for m in answer["methods"] if m["governs"])
    for m in answer["methods"]:
        cost = "cannot be had" if m["cost"] is None else f"{m['cost']:,.2f} {money}"
        yield f"  {_method_words(m['method'])}{' (governs)' if m['governs'] else ''}: {cost}{_differs(m, governing)}"


def _differs(method: Json, governing: Json) -> str:
    """Pipes whose needed size is another than by the governing method."""
    pairs = zip(method["sizes"], governing["sizes"], strict=True)
    other = [f"{a['segment']} {a['size_needed'] or 'beyond all'}" for a, b in pairs
             if a["size_needed"] != b["size_needed"]]  # fmt: skip
    return f"; needs {', '.join(other)}" if other else ""


def _parts(answer: Json) -> Iterator[str]:
    for p in answer["parts"]:
        yield f"  {p['quantity']:g} x {p['item']} ({p['where']}) [{p['citation']}; {p['known_from']}]"


def _method_words(method: str) -> str:
    return _METHODS[method]


def _figure(value: float) -> str:
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:g}"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _table(heads: tuple[str, ...], rows: list[tuple[str, ...]]) -> Iterator[str]:
    """Columns as wide as their widest cell; nothing without rows."""
    widths = [max(len(cell) for cell in column) for column in zip(heads, *rows, strict=True)]
    for row in [heads, *rows] if rows else []:
        yield "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def design_gas(design: Json, answer: Json) -> Iterator[str]:
    """What a placement's design does to the gas system, and what the heater gets of it."""
    system, works = design["gas_system"], design["gas"]
    yield f"  sized by {_method_words(system['method'])}; {_works(works)}"
    yield from (f"  renew {_renewal(r, answer)}" for r in works["renewals"])
    inlet = next(i for i in system["inlets"] if i["id"] == design["heater"]["id"])
    pressure = system["units"]["gas_pressure"]
    yield f"  heater gets {inlet['full_fire']:g} {pressure} with all firing, takes {inlet['min']:g} to {inlet['max']:g}"
    yield from (f"  meter:{line[1:]}" for line in _meter(system))
    yield from (f"  {line}" for line in system["request_to_supplier"])


def _works(works: Json) -> str:
    asked = [] if works["renewals"] else ["no old pipe is renewed"]
    if works["pressure_option"] is not None:
        asked.append(f"delivery pressure {works['pressure_option']}")
    if works["line_regulators"]:
        asked.append(_count(works["line_regulators"], "line regulator"))
    if works["ahead_of_regulator"]:
        asked.append("the heater has a line regulator of its own")
    return ", ".join(asked) or _count(len(works["renewals"]), "renewal")


def _renewal(renewal: Json, answer: Json) -> str:
    part = "" if renewal["part"] == "whole" else f" {renewal['part'].replace('_', ' ')}"
    length = length_text(renewal["length"], answer)
    return f"{renewal['segment']}{part} in {renewal['size']} {renewal['material']}, {length}"
