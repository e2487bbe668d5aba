"""What is told besides the cheapest designs, as JSON."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from service.http.quantities import Quantities
from service.siting.features import FEATURES
from service.usecases.checked import CheckedDesign
from service.usecases.explain_results import Compared, DifferentSet, Explained

Json = dict[str, Any]
WriteDesign = Callable[[CheckedDesign], Json]
SECOND_DECIMALS = 1


def explained_json(told: Explained, design: WriteDesign, q: Quantities) -> Json:
    """The parts that were asked for, null where not; ``design`` writes a design."""
    return {"different": None if told.different is None else _different_json(told.different, design, q)}


def _different_json(found: DifferentSet, design: WriteDesign, q: Quantities) -> Json:
    least = min((c.checked.design.total_cents for c in found.designs), default=0)
    return {
        "asked": found.asked,
        "status": found.status.value,
        "total": q.money_or_none(found.total_cents),
        "bound": q.money_or_none(found.bound_cents),
        "regions": found.regions,
        "designs": [_compared_json(c, least, design, q) for c in found.designs],
        "why": found.why,
    }


def _compared_json(row: Compared, least_cents: int, design: WriteDesign, q: Quantities) -> Json:
    cents = row.checked.design.total_cents
    return {
        **dict(zip(FEATURES, row.features, strict=True)),
        "cost": q.money(cents),
        "extra_cost": q.money(cents - least_cents),
        "by_trade": [{"trade": trade, "amount": q.money(amount)} for trade, amount in row.by_trade],
        "mean_wait_s": None if row.mean_wait_s is None else round(row.mean_wait_s, SECOND_DECIMALS),
        "smallest_margin": q.length_or_none(row.margin_mm),
        "needs": [{"what": what, "count": count} for what, count in row.needs],
        "design": design(row.checked),
    }
