"""Figures of the first design: cost by trade, clearances with margins, gas, water, power."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from service.demand_summary import design_hot_water
from service.gas_summary import design_gas
from service.report.model import Block, Bullets, Section, Table, Words
from service.waiting_summary import design_water
from service.water_summary import water_lines
from service.words import length_text

Json = dict[str, Any]
_WORST_FIRST = ("fail", "unknown", "advice", "pass")
NOT_TOLD = "Not told of this design: only a whole and lawful one is worked out further."


def cost(design: Json) -> Section:
    """Sum of each trade, then every line of the bill: quantity times price."""
    told = design.get("cost")
    if told is None:
        return Section("cost", "Cost", (Words("No cost was handed in with the design."),))
    trades = [(t["trade"], money(t["amount"])) for t in told["by_trade"]]
    rows, heads = (*trades, ("total", money(told["total"]))), ("Trade", told["currency"])
    bill = bill_lines("Bill of materials and work", told, told["currency"])
    return Section("cost", "Cost", (Table("Cost by trade", heads, rows, frozenset({1}), True), bill))


def bill_lines(caption: str, cost: Json, currency: str) -> Table:
    """Every line of a bill."""
    lines = (
        (x["trade"], x["description"], f"{x['quantity']:,.5g}", x["per"], money(x["unit_price"]), money(x["amount"]))
        for x in cost["lines"]
    )
    heads = ("Trade", "Item", "Quantity", "Per", "Price", currency)
    return Table(caption, heads, tuple(lines), frozenset({2, 4, 5}))


def clearances(design: Json, answer: Json) -> Section:
    """Everything that was checked, smallest margins first."""
    found = design["clearances"]
    measured = [f for f in found if f["margin"] is not None]
    rest = [f for f in found if f["margin"] is None]
    heads = ("Verdict", "Rule", "Of", "To", "Asks", "Has", "Margin", "Source")
    table = Table("Distances, smallest margin first", heads, tuple(_distance(f, answer) for f in measured),
                  frozenset({4, 5, 6}))  # fmt: skip
    return Section("clearances", "Clearances", (table, without_distance(rest)))


def without_distance(found: Sequence[Json]) -> Table:
    """Findings that measure nothing: what fails first, then what is advised, what is kept last."""
    heads = ("Verdict", "Rule", "Of", "To", "Found", "Source")
    order = sorted(found, key=lambda f: _WORST_FIRST.index(f["verdict"]))
    return Table("Without a distance", heads, tuple(_without(f) for f in order))


def _distance(f: Json, answer: Json) -> tuple[str, ...]:
    asks, has, margin = (length_text(f[k], answer) for k in ("required", "actual", "margin"))
    site = " (verify on site)" if f["verify_on_site"] else ""
    return f["verdict"], f["rule"], f["subject"], f["object"], asks, has, f"{margin}{site}", f["citation"]


def _without(f: Json) -> tuple[str, ...]:
    missing = f"; not known: {f['missing']}" if f["missing"] else ""
    return f["verdict"], f["rule"], f["subject"], f["object"], f"{f['detail']}{missing}", f["citation"]


def gas(design: Json, answer: Json, title: str = "Gas") -> Section:
    """Sizes, loads and pressures of every pipe; what each appliance gets."""
    system = design.get("gas_system")
    if system is None:
        return Section("gas", title, (Words(NOT_TOLD),))
    units = system["units"]
    load, pressure = units["power"], units["gas_pressure"]
    pipes = Table(
        "Pipes",
        ("Pipe", "From", "To", "Now", "Needs", "Length", f"Load, {load}", f"In, {pressure}", f"Out, {pressure}"),
        tuple(_pipe(s, answer) for s in system["segments"]), frozenset({5, 6, 7, 8}),
    )  # fmt: skip
    inlets = Table(
        "Appliances, all firing", ("Appliance", f"Input, {load}", f"Gets, {pressure}", "At least", "At most", "Kept"),
        tuple(_inlet(i) for i in system["inlets"]), frozenset({1, 2, 3, 4}),
    )  # fmt: skip
    asked = tuple(system["request_to_supplier"])
    more: tuple[Block, ...] = (Words("To ask the gas supplier for:"), Bullets(asked)) if asked else ()
    lines = _lines(design_gas(design, answer)) if "gas" in design else ()
    told = (Bullets(lines),) if lines else ()
    return Section("gas", title, (*told, pipes, inlets, *more))


def _pipe(s: Json, answer: Json) -> tuple[str, ...]:
    now, chosen = s["present"], s["chosen"]
    size = "none will do" if chosen is None else f"{chosen['size']} {chosen['material'].replace('_', ' ')}"
    ends = (_figure(s["pressure_in"]), _figure(s["pressure_out"]))
    had = "new" if now is None else f"{now['size']} {now['material'].replace('_', ' ')}"
    return s["id"], s["start"], s["end"], had, size, length_text(s["length"], answer), _figure(s["load"]), *ends


def _inlet(i: Json) -> tuple[str, ...]:
    kept = {True: "yes", False: "NO", None: "not known"}[i["lawful"]]
    return i["id"], _figure(i["input"]), _figure(i["full_fire"]), _figure(i["min"]), _figure(i["max"]), kept


def water(design: Json, answer: Json) -> Section:
    """Quality, relief, scald, demand, pressure and waiting, in sentences."""
    if "water_quality" not in design:
        return Section("water", "Water", (Words(NOT_TOLD),))
    parts: Sequence[tuple[str, Callable[[], Iterable[str]]]] = (
        ("Demand for hot water:", lambda: design_hot_water(design)[2:]),
        ("Quality, relief and scalding:", lambda: water_lines(design)),
        ("Pressure and waiting:", lambda: design_water(design, answer)),
    )
    blocks: list[Block] = []
    for title, lines in parts:
        told = _lines(lines())
        blocks += [Words(title), Bullets(told)] if told else []
    return Section("water", "Water", tuple(blocks))


def power(design: Json) -> Section:
    """The circuit chosen, and what every outlet looked at keeps."""
    told = design.get("power")
    if told is None:
        return Section("power", "Power", (Words(NOT_TOLD),))
    rows = tuple(
        (outlet["id"], rule["topic"], rule["holds"], rule["detail"], ", ".join(rule["missing"]), rule["citation"])
        for outlet in told["outlets"] if outlet["chosen"] for rule in outlet["rules"]
    )  # fmt: skip
    asked = told["ground_fault_protection"]
    by = f"; given by {asked['given_by']}" if asked["given_by"] else ""
    facts = (f"Ground-fault protection asked for: {asked['asked']} ({asked['why']}){by} [{asked['citation']}]",)
    heads = ("Outlet", "Question", "Holds", "Found", "Not known", "Source")
    return Section("power", "Power", (Bullets(facts), Table("The circuit chosen", heads, rows)))


def _lines(lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(line.strip() for line in lines if line.strip())


def money(amount: float) -> str:
    """An amount as a bill has it."""
    return f"{amount:,.2f}"


def _figure(value: float | None) -> str:
    return "not known" if value is None else f"{value:,.10g}"


