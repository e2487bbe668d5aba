"""In what a design differs from another, as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from service.http.quantities import Quantities
from service.usecases.differences import Difference

Json = dict[str, Any]


def differs_json(told: Iterable[Difference], q: Quantities) -> list[Json]:
    """Every difference: what, of which run (null: of none), how the other has it, how this one does, and by how far."""
    return [
        {
            "what": d.aspect.value,
            "run": None if d.service is None else d.service.value,
            "other": d.other,
            "this": d.own,
            "by": q.length_or_none(d.by_mm),
        }
        for d in told
    ]
