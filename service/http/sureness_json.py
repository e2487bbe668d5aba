"""How sure the choice is, as JSON."""

from __future__ import annotations

from typing import Any

from service.http.differs_json import differs_json
from service.http.quantities import Quantities
from service.siting.features import FEATURES
from service.usecases.explain_results import Answered, PriceRange, RangeEnd, Rival, Sureness

Json = dict[str, Any]


def sureness_json(told: Sureness, q: Quantities) -> Json:
    """Ranges of prices, and missing answers."""
    return {
        "prices": [_price_json(p, q) for p in told.prices],
        "answers": [_answer_json(a, q) for a in told.answers],
        "answers_without_effect": list(told.idle),
        "answers_together": None if told.together is None else _rival_json(told.together, q),
        "answers_network_only": told.answers_network_only,
        "complete": told.complete,
        "why": told.why,
    }


def _price_json(price: PriceRange, q: Quantities) -> Json:
    return {
        "key": price.key,
        "description": price.description,
        "per": price.per,
        "price": q.money(price.cents),
        "from": _end_json(price.low, q),
        "to": _end_json(price.high, q),
        "in_every_design": price.everywhere,
    }


def _end_json(end: RangeEnd, q: Quantities) -> Json:
    return {
        "price": q.money_or_none(end.cents),
        "known": end.known,
        "network_only": end.network_only,
        "next": None if end.rival is None else _rival_json(end.rival, q),
    }


def _answer_json(answer: Answered, q: Quantities) -> Json:
    return {
        "pointer": answer.pointer,
        "question": answer.question,
        "taken_as": answer.taken_as,
        "saving": q.money_or_none(answer.saving_cents),
        "next": _rival_json(answer.rival, q),
    }


def _rival_json(rival: Rival, q: Quantities) -> Json:
    features = dict(zip(FEATURES, rival.features, strict=True))
    return {
        **features,
        "heater_and_vent": rival.heater,
        "objective": q.money(rival.cents),
        "differs": differs_json(rival.differs, q),
    }
