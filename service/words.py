"""Figures as a tradesperson says them."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

Json = dict[str, Any]


def length_text(value: float, answer: Json) -> str:
    """Feet and inches to the eighth, as a tape reads, or metres."""
    if answer["units"]["length"] != "ft":
        return f"{value:.3f} {answer['units']['length']}"
    eighths = round(abs(value) * 96)
    feet, rest = divmod(eighths, 96)
    return f"{'-' if value < 0 and eighths else ''}{feet} ft {_inches(*divmod(rest, 8))} in"


def _inches(whole: int, eighths: int) -> str:
    if not eighths:
        return str(whole)
    part = Fraction(eighths, 8)
    return f"{whole}-{part}" if whole else str(part)
