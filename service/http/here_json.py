"""Answers about places that a survey asks about, as JSON."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from service.building.model import Building
from service.design import Design, Part
from service.http.design_json import design_json
from service.http.findings_json import finding_json, sorted_findings
from service.http.quantities import Quantities
from service.usecases.results import CheckedDesign, Deadlock, HereAnswer, Proof, Refusal, WayOut

Json = dict[str, Any]


def here_json(here: HereAnswer, best: Proof, design: Callable[[CheckedDesign], Json], q: Quantities) -> Json:
    """One answer; ``design`` writes a design, ``best`` tells of the best of the house."""
    return {
        "id": here.id,
        "dwelling": here.dwelling,
        "status": here.status.value,
        "cost": q.money_or_none(here.cost_cents),
        "bound": q.money_or_none(here.bound_cents),
        "extra_cost": q.money_or_none(_more(here.cost_cents, best.cost_cents)),
        "extra_objective": q.money_or_none(_more(here.objective_cents, best.objective_cents)),
        "extra_by_trade": [{"trade": trade, "amount": q.money(cents)} for trade, cents in here.extra_by_trade],
        "design": None if here.design is None else design(here.design),
        "refused": [_refusal_json(r, q) for r in here.refused],
        "why": here.why,
    }


def deadlock_json(found: Deadlock, building: Building, q: Quantities) -> Json:
    """Why nothing is lawful, and what would open a design."""
    return {
        "dwelling": found.dwelling,
        "beside": list(found.beside),
        "ways_out": [_way_json(w, building, q) for w in found.ways_out],
        "blocking": list(found.blocking),
        "complete": found.complete,
        "why": found.why,
        "changes": [{"what": c.what, **_design_json(c.design, c.building, q)} for c in found.changes],
        "changes_untried": list(found.untried),
    }


def _way_json(way: WayOut, building: Building, q: Quantities) -> Json:
    broken = [finding_json(f, q) for f in sorted_findings(way.broken)]
    return {"rules": list(way.rules), **_design_json(way.design, building, q), "broken": broken}


def _design_json(design: Design, building: Building, q: Quantities) -> Json:
    whole = design_json(design, building, q)
    return {
        "heater": design.heater.label,
        "mount": whole["mount"],
        "terminal": whole["terminal"],
        "cost": q.money(design.total_cents),
    }


def _more(here: int | None, best: int | None) -> int | None:
    return None if here is None or best is None else here - best


def _refusal_json(refusal: Refusal, q: Quantities) -> Json:
    return {
        "heaters": list(refusal.heaters),
        "part": "mount" if refusal.part is Part.MOUNT else "terminal",
        "z": q.length(refusal.z_mm),
        "broken": [finding_json(f, q) for f in sorted_findings(refusal.broken)],
    }
