"""Fixture units and the curve of the same code: units summed over fixtures, flow read off the curve."""

from __future__ import annotations

from itertools import pairwise

from service.rules.tables import Row, table

IPC = "ipc"
"""The code whose units and whose curve are both known."""


def hot_units(fixture: str) -> float:
    """Units of the hot column for one fixture, as the code names it. KeyError for another name.
    Source: IPC 2018 Table E103.3(2) (mostly read)."""
    return table("fixture_units").where(fixture=fixture).printed("hot")


def curve_flow_m3_s(code: str, units: float) -> float:
    """Flow [m3/s] of a code's own units, above 0: linear between rows, the first row below it. Raises ValueError
    beyond the code's last row, KeyError for another code. Source: each code's curve (read in part), common practice."""
    rows = _rows(code)
    if units <= rows[0].printed("units"):
        return rows[0].si("flow")
    for low, high in pairwise(rows):
        a, b = low.printed("units"), high.printed("units")
        if units <= b:
            return low.si("flow") + (high.si("flow") - low.si("flow")) * (units - a) / (b - a)
    raise ValueError(f"{units:g} units are beyond the curve of {code}")


def curve_mark(code: str, units: float) -> str:
    """Least sure mark of the rows that a reading rests on."""
    rows = _rows(code)
    above = [row for row in rows if row.printed("units") >= units][:1]
    exact = above and above[0].printed("units") == units
    below = [] if exact else [row for row in rows if row.printed("units") < units][-1:]
    return "memory" if "memory" in {row.text("known_from") for row in (*below, *above)} else "read"


def _rows(code: str) -> tuple[Row, ...]:
    rows = tuple(row for row in table("demand_curves").rows if row.text("code") == code)
    if not rows:
        raise KeyError(code)
    return rows
