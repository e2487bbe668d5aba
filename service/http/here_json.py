"""Answers about places that a survey asks about, as JSON."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from service.design import Part
from service.http.findings_json import finding_json, sorted_findings
from service.http.quantities import Quantities
from service.usecases.results import CheckedDesign, HereAnswer, Refusal

Json = dict[str, Any]


def here_json(here: HereAnswer, best_cents: int | None, design: Callable[[CheckedDesign], Json], q: Quantities) -> Json:
    """One answer; ``design`` writes a design, ``best_cents`` is what the best of the house costs."""
    cost = None if here.design is None else here.design.design.total_cents
    extra = None if cost is None or best_cents is None else cost - best_cents
    return {
        "id": here.id,
        "status": here.status.value,
        "cost": q.money_or_none(cost),
        "extra_cost": q.money_or_none(extra),
        "extra_by_trade": [{"trade": trade, "amount": q.money(cents)} for trade, cents in here.extra_by_trade],
        "design": None if here.design is None else design(here.design),
        "refused": [_refusal_json(r, q) for r in here.refused],
        "why": here.why,
    }


def _refusal_json(refusal: Refusal, q: Quantities) -> Json:
    return {
        "heaters": list(refusal.heaters),
        "part": "mount" if refusal.part is Part.MOUNT else "terminal",
        "z": q.length(refusal.z_mm),
        "broken": [finding_json(f, q) for f in sorted_findings(refusal.broken)],
    }
