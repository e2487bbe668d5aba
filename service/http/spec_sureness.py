"""JSON Schema of how sure the choice is."""

from __future__ import annotations

from service.http.spec_differs import differs
from service.http.spec_words import NETWORK_ONLY, Json, array, choice, flag, money, nullable, obj, text
from service.survey.equipment import Per


def sureness() -> Json:
    """Ranges of prices, and missing answers."""
    answer = {
        "pointer": text("JSON Pointer to where the answer would stand in the survey"),
        "question": text("what to go back and look at"),
        "taken_as": text("how it is taken while nobody tells"),
        "saving": nullable(money("how much less the best design then costs; null where there is none without it")),
        "next": _rival(),
    }
    return obj(
        "How far prices may move, and which missing answers could change the design; null if not asked for.",
        {
            "prices": array(obj("One price of the cheapest design, all others as they are.", _price()), "by amount"),
            "answers": array(obj("A missing answer that could change the design.", answer)),
            "answers_without_effect": array(text("JSON Pointer"), "missing answers none of which changes it"),
            "answers_together": nullable(_rival()),
            "answers_network_only": NETWORK_ONLY,
            "complete": flag("all was looked at in time"),
            "why": text("what is not known; empty if complete"),
        },
    )


def _price() -> Json:
    end = {
        "price": nullable(money("last whole cent at which it is among the cheapest; null: there is no end")),
        "known": flag("false: time ran out before, it may end sooner"),
        "network_only": NETWORK_ONLY,
        "next": nullable({**_rival(), "description": "what costs less beyond; null: none as far as was looked"}),
    }
    return {
        "key": text("key of the price"),
        "description": text("what is bought"),
        "per": choice(Per, "what the price is for"),
        "price": money("price now"),
        "from": obj("Lower end.", end),
        "to": obj("Upper end, looked for up to a hundred times the price.", end),
        "in_every_design": flag("every design buys as many: the price decides nothing"),
    }


def _rival() -> Json:
    return obj(
        "A design that costs less beyond the end, or with the answer.",
        {
            "room": text("room it hangs in; outdoors"),
            "way_out": text("facade or roof plane where the vent ends, or the facade it hangs on"),
            "heater": text("id of the heater"),
            "gas_pipe": text("segment that the gas branch is tapped from; delivery: the delivery itself"),
            "heater_and_vent": text("the heater with the vent chosen"),
            "objective": money("its cost at the prices of now, with weighed waiting"),
            "differs": differs("the cheapest design"),
        },
    )
