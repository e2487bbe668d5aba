"""JSON Schema of what one design differs in from another."""

from __future__ import annotations

from service.http.spec_words import Json, array, choice, length, nullable, obj, text
from service.usecases.differences import Aspect


def differs(other: str) -> Json:
    """Differences from ``other``, in words."""
    return array(
        obj(
            "One difference.",
            {
                "what": choice(Aspect, "what is otherwise"),
                "run": nullable(text("of which run, a service; null: of none")),
                "other": text(f"how {other} has it; none: not at all"),
                "this": text("how this one has it"),
                "by": nullable(length("how far apart, or how much longer (shorter if negative) its run is")),
            },
        ),
        f"in what it differs from {other}, beside room, way out, heater and gas pipe",
    )
