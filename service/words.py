"""Figures as a tradesperson says them."""

from __future__ import annotations

from typing import Any

from service.units import feet_and_inches

Json = dict[str, Any]


def length_text(value: float, answer: Json) -> str:
    """Feet and inches to the eighth, as a tape reads, or metres."""
    if answer["units"]["length"] != "ft":
        return f"{value:.3f} {answer['units']['length']}"
    return feet_and_inches(value)
