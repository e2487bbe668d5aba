"""How sure the choice is, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.differs_summary import differs_text

Json = dict[str, Any]
PER = {"each": "each", "ft": "a foot", "m": "a metre"}


def sureness_lines(told: Json, answer: Json) -> Iterator[str]:
    """Ranges of prices that decide something, then missing answers."""
    money = answer["units"]["money"]
    yield from ("", "How far prices may move, all others as they are, with this design still among the cheapest")
    for price in told["prices"]:
        if not price["in_every_design"]:
            unit = f"{money} {PER[price['per']]}"
            ends = f"{price_end(price, 'from')} to {price_end(price, 'to')} {unit}"
            yield f"  {price['description']} ({price['key']}): {ends} (now {price['price']:,.2f})"
            for side in ("from", "to"):
                if price[side]["next"] is not None:
                    yield f"    {'below' if side == 'from' else 'above'}: {design_words(price[side]['next'], answer)}"
    yield from ("", "Missing answers that could change the design")
    for fact in told["answers"]:
        saving = "opens a design" if fact["saving"] is None else f"may save {fact['saving']:,.2f} {money}"
        yield f"  {fact['question']} (taken: {fact['taken_as']}) {saving}: {design_words(fact['next'], answer)}"
    yield from (f"  {line}" for line in sureness_notes(told, answer))


def sureness_notes(told: Json, answer: Json) -> Iterator[str]:
    """What besides single prices and answers there is to say."""
    if told["answers_together"] is not None:
        yield f"several together: {design_words(told['answers_together'], answer)}"
    if told["answers_without_effect"]:
        yield f"{'no other' if told['answers'] else 'none'} of the {len(told['answers_without_effect'])} missing"
    elif told["complete"] and not told["answers"]:
        yield "none is missing"
    if told["answers_network_only"] or any(p[side]["network_only"] for p in told["prices"] for side in ("from", "to")):
        yield "A limit on a run may decide in some of this: proven on the network of positions alone."
    if told["why"]:
        yield str(told["why"])


def price_end(price: Json, side: str) -> str:
    """A price at which a range ends, as far as it is known; none dearer was looked at where no design takes over."""
    end = price[side]
    told = "any price" if end["price"] is None else f"{end['price']:,.2f}"
    if not end["known"]:
        return f"{told} or sooner"
    return f"{told} and beyond" if side == "to" and end["price"] is not None and end["next"] is None else told


def design_words(design: Json, answer: Json) -> str:
    """The design by its features, and in what else it differs from the cheapest."""
    told = differs_text(design["differs"], answer)
    by = f"{design['heater_and_vent']} in {design['room']}, out by {design['way_out']}, gas from {design['gas_pipe']}"
    return f"{by}: {told}" if told else by
