"""Schema and builder of what is to be told besides the cheapest designs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.http.fields import Choice, Flag, Int, Number
from service.http.schemas.base import ListOf, Strict, extent
from service.survey.explain import FEWEST_DIFFERENT, MARGIN_STEP_MM, MOST_DIFFERENT, WAITING_STEP_S, Explain, TradeOff

LEAST_STEP_S, MOST_STEP_S = 0.1, 600


class ExplainSchema(Strict):
    """What is to be told besides the cheapest designs; all within the time of the request."""

    different = Int(FEWEST_DIFFERENT, MOST_DIFFERENT)
    trade_offs = ListOf(Choice(TradeOff))
    waiting_step = Number(LEAST_STEP_S, MOST_STEP_S)
    margin_step = extent()
    sureness = Flag()
    certificate = Flag()


def build_explain(entry: Mapping[str, Any] | None) -> Explain:
    """Wishes; what is left out is not told."""
    given = entry or {}
    return Explain(
        different=given.get("different", 0),
        trade_offs=tuple(dict.fromkeys(given.get("trade_offs", ()))),
        waiting_step_s=given.get("waiting_step", WAITING_STEP_S),
        margin_step_mm=given.get("margin_step", MARGIN_STEP_MM),
        sureness=given.get("sureness", False),
        certificate=given.get("certificate", False),
    )
