"""Sums of money as they are told."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from service.design import CostLine
from service.survey.equipment import MONEY_SCALE


def cents_below(units: float) -> int | None:
    """Whole cents not above a bound in money units; None where there is no bound."""
    return int(units // MONEY_SCALE) if 0 <= units < float("inf") else None


def by_trade(lines: Iterable[CostLine]) -> dict[str, int]:
    """What each trade costs, in the order of the bill [cents]."""
    sums: Counter[str] = Counter()
    for line in lines:
        sums[line.trade] += line.amount_cents
    return dict(sums)
