"""In what a design differs from another, as a line of text."""

from __future__ import annotations

from typing import Any

from service.words import length_text

Json = dict[str, Any]


def differs_text(told: list[Json], answer: Json) -> str:
    """All differences after one another; empty without any."""
    return "; ".join(_one(d, answer) for d in told)


def _one(told: Json, answer: Json) -> str:
    what = told["what"].replace("_", " ") + (f" of {told['run']}" if told["run"] else "")
    by = "" if told["by"] is None else f" ({length_text(told['by'], answer)})"
    return f"{what} {told['this']} instead of {told['other']}{by}"
