"""Sums of money as they are told."""

from __future__ import annotations

from collections import Counter

from service.design import Design
from service.survey.equipment import MONEY_SCALE


def cents_below(units: float) -> int | None:
    """Whole cents not above a bound in money units; None where there is no bound."""
    return int(units // MONEY_SCALE) if 0 <= units < float("inf") else None


def by_trade(design: Design) -> dict[str, int]:
    """What each trade costs, in the order of the bill [cents]."""
    sums: Counter[str] = Counter()
    for line in design.lines:
        sums[line.trade] += line.amount_cents
    return dict(sums)
