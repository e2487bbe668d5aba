"""How sure the choice is, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

Json = dict[str, Any]


def sureness_lines(told: Json) -> Iterator[str]:
    """Ranges of prices that decide something, then missing answers."""
    yield from ("", "How far prices may move with this design still among the cheapest")
    for price in told["prices"]:
        if not price["in_every_design"]:
            ends = f"{_end(price['from'])} to {_end(price['to'])}"
            open_end = "" if price["to"]["next"] else " and beyond"
            yield f"  {price['description']}: {ends}{open_end} (now {price['price']:,.2f})"
            for side in ("from", "to"):
                if price[side]["next"] is not None:
                    yield f"    {'below' if side == 'from' else 'above'}: {_design(price[side]['next'])}"
    yield from ("", "Missing answers that could change the design")
    for answer in told["answers"]:
        saving = "opens a design" if answer["saving"] is None else f"may save {answer['saving']:,.2f}"
        yield f"  {answer['question']} (taken: {answer['taken_as']}) {saving}: {_design(answer['next'])}"
    if told["answers_together"] is not None:
        yield f"  several together: {_design(told['answers_together'])}"
    if not told["answers"] and told["answers_together"] is None:
        yield f"  none of {len(told['answers_without_effect'])}"
    if told["why"]:
        yield f"  {told['why']}"


def _end(end: Json) -> str:
    price = "any price" if end["price"] is None else f"{end['price']:,.2f}"
    return price if end["known"] else f"{price} or sooner"


def _design(design: Json) -> str:
    return f"{design['heater_and_vent']} in {design['room']}, out by {design['way_out']}, gas from {design['gas_pipe']}"
