"""In what a design differs from another, as a line of text."""

from __future__ import annotations

from typing import Any

from service.words import length_text

Json = dict[str, Any]
HARDLY = {"ft": 0.08, "m": 0.025}
"""Less than that is not worth words beside what is more [the length's unit]."""


def differs_text(told: list[Json], answer: Json) -> str:
    """All differences after one another, those of an inch or less only where there are no others; empty without any."""
    least = HARDLY[answer["units"]["length"]]
    seen = [d for d in told if d["by"] is None or abs(d["by"]) > least]
    return "; ".join(_one(d, answer) for d in seen or told)


def _one(told: Json, answer: Json) -> str:
    what = told["what"].replace("_", " ") + (f" of {told['run']}" if told["run"] else "")
    by = "" if told["by"] is None else f" ({length_text(told['by'], answer)})"
    return f"{what} {told['this']} instead of {told['other']}{by}"
