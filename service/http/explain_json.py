"""What is told besides the cheapest designs, as JSON."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from service.http.certificate_json import CERTIFICATE, certificate_json
from service.http.differs_json import differs_json
from service.http.quantities import Quantities
from service.http.sureness_json import sureness_json
from service.siting.features import FEATURES
from service.survey.explain import TradeOff
from service.usecases.checked import CheckedDesign
from service.usecases.explain_results import Certified, Compared, DifferentSet, Explained, Front

Json = dict[str, Any]
WriteDesign = Callable[[CheckedDesign], Json]
SECOND_DECIMALS = 1


def explained_json(told: Explained, design: WriteDesign, q: Quantities) -> Json:
    """The parts that were asked for, null where not; ``design`` writes a design."""
    return {
        "different": None if told.different is None else _different_json(told.different, design, q),
        "trade_offs": [_front_json(front, design, q) for front in told.trade_offs],
        "sureness": None if told.sureness is None else sureness_json(told.sureness, q),
        **_certified_json(told.certified),
    }


def _certified_json(told: Certified | None) -> Json:
    """The certificate without its digests, null if not asked for or not to be had, and why."""
    if told is None or told.certificate is None:
        return {CERTIFICATE: None, "no_certificate": "" if told is None else told.why}
    return {CERTIFICATE: certificate_json(told.certificate, told.ground), "no_certificate": ""}


def _front_json(front: Front, design: WriteDesign, q: Quantities) -> Json:
    step = front.step if front.kind is TradeOff.WAITING else q.length(front.step)
    return {
        "against": front.kind.value,
        "step": step,
        "designs": _table(front.designs, design, q),
        "complete": front.complete,
        "network_only": front.network_only,
        "why": front.why,
    }


def _different_json(found: DifferentSet, design: WriteDesign, q: Quantities) -> Json:
    return {
        "asked": found.asked,
        "status": found.status.value,
        "total": q.money_or_none(found.total_cents),
        "bound": q.money_or_none(found.bound_cents),
        "regions": found.regions,
        "network_only": found.network_only,
        "designs": _table(found.designs, design, q),
        "why": found.why,
    }


def _table(rows: Sequence[Compared], design: WriteDesign, q: Quantities) -> list[Json]:
    """Designs side by side, with what each costs more than the cheapest."""
    least = min((c.checked.design.total_cents for c in rows), default=0)
    return [_compared_json(c, least, design, q) for c in rows]


def _compared_json(row: Compared, least_cents: int, design: WriteDesign, q: Quantities) -> Json:
    cents = row.checked.design.total_cents
    return {
        **dict(zip(FEATURES, row.features, strict=True)),
        "cost": q.money(cents),
        "extra_cost": q.money(cents - least_cents),
        "by_trade": [{"trade": trade, "amount": q.money(amount)} for trade, amount in row.by_trade],
        "mean_wait_s": None if row.mean_wait_s is None else round(row.mean_wait_s, SECOND_DECIMALS),
        "margin": q.length(row.margin_mm),
        "needs": [{"what": what, "count": count} for what, count in row.needs],
        "differs": differs_json(row.differs, q),
        "design": design(row.checked),
    }
