"""How many supports hold a straight run, of gas pipe or of a vent."""

from __future__ import annotations

from math import ceil

_GRACE_MM = 1
"""Lengths are rounded to whole millimetres: what exceeds a whole number of spacings by no more is that number."""


def spacings_begun(length_mm: int, apart_mm: float) -> int:
    """Spacings [mm] that a length [mm] takes, the last one begun counted whole. ValueError for a negative length or
    no spacing."""
    if length_mm < 0 or apart_mm <= 0:
        raise ValueError("length must not be negative, spacing must be positive")
    return max(ceil((length_mm - _GRACE_MM) / apart_mm), 0)
