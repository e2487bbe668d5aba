"""Condensate of condensing heaters: how much, how sour, and the size and fall of its pipe."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import ceil

from service.rules.tables import table

LINE = "drain"
"""Option of a drain run in the pipe of the price book."""
LINE_SIZE = "3/4"
"""Nominal size [in] of the price book's condensate pipe."""


@dataclass(frozen=True, slots=True)
class CondensateRule:
    """One rule of the code on condensate, with how it is known."""

    id: str
    topic: str
    citation: str
    known_from: str
    note: str


@cache
def condensate_rule(rule: str) -> CondensateRule:
    """Rule CO1 to CO12; KeyError for another."""
    row = table("condensate_rules").where(rule=rule)
    note = "" if row.cells["note"] is None else row.text("note")
    cite = f"{row.text('standard')}, {row.text('section')}"
    return CondensateRule(rule, row.text("topic"), cite, row.text("known_from"), note)


def flow_m3_s(input_w: float) -> float:
    """Design flow [m3/s]: 1 US gal for each 100,000 Btu of input. Source: trade papers (read)."""
    return input_w * table("condensate").constant("volume")


def cap_m3_s(input_w: float, fuel: str) -> float:
    """Most that can form [m3/s], all water of combustion condensed. Source: heat of combustion
    (computed). KeyError for a fuel other than natural_gas or propane."""
    return input_w * table("condensate").constant(f"cap_{fuel}")


def acidity() -> tuple[float, float]:
    """Range of the condensate's pH, 3 to 5. Source: training text (read); other papers differ."""
    return table("condensate").constant("ph_low"), table("condensate").constant("ph_high")


def slope() -> float:
    """Least fall of a level drain [m/m]: 1/8 in per ft, 1.04 %. Source: IFGC 2024 307.2 (read)."""
    return table("condensate").constant("slope")


def fall_mm(horizontal_mm: int) -> int:
    """Height [mm], rounded up, that a horizontal drain must fall: 1/8 in per ft.
    Source: IFGC 2024 307.2 (read)."""
    return ceil(round(horizontal_mm * slope(), 6))


def gravity_ok(start_z_mm: int, end_z_mm: int, horizontal_mm: int) -> bool:
    """Whether condensate runs from start to end without a pump."""
    return start_z_mm - end_z_mm >= fall_mm(horizontal_mm)


def longest_run_mm(drop_mm: int) -> float:
    """Longest horizontal drain [mm] that ``drop_mm`` of height lets run by gravity (negative if it rises)."""
    return round(drop_mm / slope(), 6)


def line_size_of(option: str) -> str:
    """Nominal size [in] of a drain run: the price book's pipe unless the run names another."""
    return LINE_SIZE if option == LINE else option


def nominal_in(size: str) -> Fraction | None:
    """A nominal size such as 1/2, 3/4, 1 or 1-1/4 in inches; None for anything else."""
    whole, _, part = size.partition("-") if "-" in size else ("0", "", size)
    try:
        inches = Fraction(whole) + Fraction(part)
    except (ValueError, ZeroDivisionError):
        return None
    return inches if inches > 0 else None


def is_wide_enough(line: Fraction) -> bool:
    """Whether a waste line [in] is at least 3/4 in. Source: IMC 307.2.2 (read)."""
    return line >= Fraction(table("condensate").where(symbol="line_size").printed("value"))
