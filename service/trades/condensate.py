"""Condensate of condensing heaters: how much, and the fall of its pipe."""

from __future__ import annotations

from math import ceil

from service.rules.tables import table


def flow_m3_s(input_w: float) -> float:
    """Design flow [m3/s]: 1 US gal for each 100,000 Btu of input. Source: trade papers (read)."""
    return input_w * table("condensate").constant("volume")


def cap_m3_s(input_w: float, fuel: str) -> float:
    """Most that can form [m3/s], all water of combustion condensed. Source: heat of combustion
    (computed). KeyError for a fuel other than natural_gas or propane."""
    return input_w * table("condensate").constant(f"cap_{fuel}")


def fall_mm(horizontal_mm: int) -> int:
    """Height [mm], rounded up, that a horizontal drain must fall: 1/8 in per ft.
    Source: IFGC 2024 307.2 (read)."""
    return ceil(round(horizontal_mm * table("condensate").constant("slope"), 6))


def gravity_ok(start_z_mm: int, end_z_mm: int, horizontal_mm: int) -> bool:
    """Whether condensate runs from start to end without a pump."""
    return start_z_mm - end_z_mm >= fall_mm(horizontal_mm)


def longest_run_mm(drop_mm: int) -> float:
    """Longest horizontal drain [mm] that ``drop_mm`` of height lets run by gravity (negative if it rises)."""
    return round(drop_mm / table("condensate").constant("slope"), 6)
