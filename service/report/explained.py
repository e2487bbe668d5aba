"""What is told besides the cheapest design, to be read quickly: designs that differ, fronts, how sure the choice is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from service.explain_summary import (
    NETWORK,
    beside_title,
    certificate_lines,
    different_title,
    front_notes,
    front_title,
    needs_words,
)
from service.report.front_chart import chart
from service.report.model import Block, Bullets, Chart, Section, Table, Words
from service.report.tables import money
from service.sureness_summary import PER, design_words, price_end, sureness_notes
from service.words import length_text

Json = dict[str, Any]
FIGURES = frozenset({1, 2, 7, 8})


def sections(answer: Json) -> Iterator[Section]:
    """One for each part that the answer holds, of each dwelling if there are several."""
    if answer.get("explained"):
        yield from _of(answer["explained"], answer)
    for number, told in enumerate((answer.get("dwellings") or {}).get("explained", ()), 1):
        for section in _of(told, answer):
            blocks = Words(f"{beside_title(told)}."), *section.blocks
            yield Section(f"{section.id}-{number}", f"{section.title}: {told['dwelling']}", blocks)


def _of(told: Json, answer: Json) -> Iterator[Section]:
    if told["different"] is not None:
        yield Section("different", "Designs that differ", tuple(_different(told["different"], answer)))
    if told["trade_offs"]:
        blocks = tuple(b for front in told["trade_offs"] for b in _front(front, answer))
        yield Section("trade-offs", "What more money buys", blocks)
    if told["sureness"] is not None:
        yield Section("sureness", "How sure the choice is", tuple(_sureness(told["sureness"], answer)))
    if lines := tuple(certificate_lines(told)):
        yield Section("certificate", "Certificate", (Bullets(lines),))


def _different(found: Json, answer: Json) -> Iterator[Block]:
    yield Table(different_title(found, answer), *_side_by_side(found["designs"], answer), FIGURES)
    rows = [(str(n), _trades(row), needs_words(row)) for n, row in enumerate(found["designs"], 1)]
    yield Table("Where they cost, and what not all need", ("", f"By trade, {_money(answer)}", "Needs"), tuple(rows))
    yield from _noted([found["why"], NETWORK * found["network_only"]])


def _trades(row: Json) -> str:
    return ", ".join(f"{t['trade']} {money(t['amount'])}" for t in row["by_trade"])


def _money(answer: Json) -> str:
    return str(answer["units"]["money"])


def _side_by_side(rows: Sequence[Json], answer: Json) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Headings and rows of a table of designs."""
    heads = ("", f"Cost, {_money(answer)}", "More", "Heater", "In", "Out by", "Gas from", "Mean wait", "Margin")
    return heads, tuple(
        (str(n), money(row["cost"]), f"+{money(row['extra_cost'])}", row["heater"], row["room"], row["way_out"],
         row["gas_pipe"], _wait(row), length_text(row["margin"], answer))
        for n, row in enumerate(rows, 1)
    )  # fmt: skip


def _wait(row: Json) -> str:
    return "not known" if row["mean_wait_s"] is None else f"{row['mean_wait_s']:.1f} s"


def _front(front: Json, answer: Json) -> Iterator[Block]:
    if front["designs"]:
        yield Table(front_title(front, answer), *_side_by_side(front["designs"], answer), FIGURES)
    else:
        yield Words(front_title(front, answer))
    if len(front["designs"]) > 1:
        yield _chart(front, answer)
    yield from _noted(front_notes(front))


def _chart(front: Json, answer: Json) -> Chart:
    """Less wait, or more margin, to the right."""
    rows, is_wait = front["designs"], front["against"] == "waiting"
    gains = [-row["mean_wait_s"] if is_wait else row["margin"] for row in rows]
    order = sorted(rows, key=lambda r: -r["mean_wait_s"] if is_wait else r["margin"])
    across = [_wait(r) if is_wait else length_text(r["margin"], answer) for r in (order[0], order[-1])]
    costs = [row["cost"] for row in rows]
    up = [money(c) for c in (min(costs), max(costs))]
    what = "less mean wait for hot water" if is_wait else "more margin of the terminal"
    about = f"{front_title(front, answer)}: {len(rows)} designs, numbered as in the table; {what} to the right."
    return chart(list(zip(gains, costs, strict=True)), what, f"cost, {_money(answer)}",
                 ((across[0], across[1]), (up[0], up[1])), about)  # fmt: skip


def _sureness(told: Json, answer: Json) -> Iterator[Block]:
    prices = [p for p in told["prices"] if not p["in_every_design"]]
    heads = ("Price", "Now", "At least", "At most", f"{_money(answer)} for", "Below it", "Above it")
    caption = "How far each price may move, all others as they are, with this design still among the cheapest"
    yield Table(caption, heads, tuple(_price(p, answer) for p in prices), frozenset({1, 2, 3}))
    asked = ("To be found out", "Taken as", "May save", "Then")
    rows = tuple(_answer(a, answer) for a in told["answers"])
    yield Table("Missing answers that could change the design", asked, rows)
    yield from _noted(list(sureness_notes(told, answer)))


def _price(p: Json, answer: Json) -> tuple[str, ...]:
    beyond = [_rival(p[side]["next"], answer) for side in ("from", "to")]
    ends = [price_end(p, side) for side in ("from", "to")]
    return f"{p['description']} ({p['key']})", money(p["price"]), *ends, PER[p["per"]], *beyond


def _rival(found: Json | None, answer: Json) -> str:
    return "" if found is None else design_words(found, answer)


def _answer(fact: Json, answer: Json) -> tuple[str, ...]:
    saving = "opens a design" if fact["saving"] is None else f"{money(fact['saving'])} {_money(answer)}"
    return fact["question"], fact["taken_as"], saving, design_words(fact["next"], answer)


def _noted(told: Sequence[str]) -> Iterator[Block]:
    lines = tuple(line[0].upper() + line[1:] for line in told if line)
    if lines:
        yield Bullets(lines)
