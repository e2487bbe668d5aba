"""What is told besides the cheapest designs, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.words import length_text

Json = dict[str, Any]


def explain_lines(answer: Json) -> Iterator[str]:
    """Every part that was asked for; nothing without."""
    told = answer["explained"]
    if told is not None and told["different"] is not None:
        yield from _different(told["different"], answer)


def _different(found: Json, answer: Json) -> Iterator[str]:
    money = answer["units"]["money"]
    total = "" if found["total"] is None else f", {found['total']:,.2f} {money} together"
    yield from ("", f"{found['asked']} designs that differ ({found['status']}{total})")
    if found["why"]:
        yield f"  {found['why']}"
    for row in found["designs"]:
        yield f"  {row['cost']:,.2f} (+{row['extra_cost']:,.2f}): {row['heater']} in {row['room']}, " \
              f"out by {row['way_out']}, gas from {row['gas_pipe']}"  # fmt: skip
        trades = [f"{t['trade']} {t['amount']:,.2f}" for t in row["by_trade"]]
        yield f"    {', '.join(trades)}"
        yield f"    {_figures(row, answer)}"
        if row["needs"]:
            yield f"    needs {'; '.join(_piece(n) for n in row['needs'])}"


def _figures(row: Json, answer: Json) -> str:
    wait, margin = row["mean_wait_s"], row["smallest_margin"]
    waits = "wait for hot water not known" if wait is None else f"mean wait for hot water {wait:.1f} s"
    return waits if margin is None else f"{waits}, smallest margin {length_text(margin, answer)}"


def _piece(need: Json) -> str:
    return need["what"] if need["count"] == 1 else f"{need['count']} x {need['what']}"
