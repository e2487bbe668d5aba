"""Items for the water of a design, each with the price that holds it."""

from __future__ import annotations

from service.design import Design
from service.rules.figures import Figure
from service.survey.model import Survey, WaterItem
from service.usecases.water_results import WaterPart

CONNECTION = "water.connection"
"""Price of the service valve and connector of one side."""


def part(
    survey: Survey, design: Design, item: str, where: str, rule: Figure, price_key: str | None, quantity: int = 1
) -> WaterPart:
    """An item with its rule; in the total where a line of the bill holds its price."""
    price = survey.prices.items.get(price_key or "")
    billed = any(line.key == price_key and line.quantity > 0 for line in design.lines)
    cents = None if price is None else price.cents
    return WaterPart(item, quantity, where, price_key, cents, billed, rule.citation, rule.known_from, rule.note)


def bought(survey: Survey, design: Design, item: WaterItem, words: str, rule: Figure) -> WaterPart:
    """A thing that may be bought, with its price whether it is in the total or not."""
    return part(survey, design, words, design.heater.id, rule, item.price_key)
