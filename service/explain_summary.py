"""What is told besides the cheapest designs, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.differs_summary import differs_text
from service.sureness_summary import sureness_lines
from service.words import length_text

Json = dict[str, Any]
FEATURES = ("room", "way_out", "heater", "gas_pipe")
NETWORK = "A limit on a run may decide: this is proven on the network of positions alone."


def explain_lines(answer: Json) -> Iterator[str]:
    """Every part that was asked for, of each dwelling if there are several; nothing without."""
    if answer["explained"] is not None:
        yield from _lines(answer["explained"], answer)
    for told in (answer["dwellings"] or {}).get("explained", ()):
        yield from ("", beside_title(told))
        yield from _lines(told, answer)


def beside_title(told: Json) -> str:
    """Of which dwelling it is told, and of which of its designs."""
    of = "" if told["as_in_set"] else " (not proven cheapest beside the others: told of the cheapest that was found)"
    return f"{told['dwelling']}, all other heaters as they are{of}"


def _lines(told: Json, answer: Json) -> Iterator[str]:
    if told["different"] is not None:
        yield from _different(told["different"], answer)
    for front in told["trade_offs"]:
        yield from _front(front, answer)
    if told["sureness"] is not None:
        yield from sureness_lines(told["sureness"], answer)
    yield from _certified(told)


def _certified(told: Json) -> Iterator[str]:
    """Whether there is a certificate, and how large it is."""
    for line in certificate_lines(told):
        yield from ("", line)


def certificate_lines(told: Json) -> Iterator[str]:
    """A line at most."""
    if told["no_certificate"]:
        yield f"No certificate: {told['no_certificate']}"
    found = told["certificate"]
    if found is not None:
        planes = sum(len(n["planes"]) for n in found["networks"])
        size = f"{len(found['heaters'])} ways to hang a heater, {len(found['networks'])} networks of {planes} planes"
        of = "its design" if "dwelling" in told else "the first design"
        yield f"Certificate of {of}: {size}; the command verify re-checks it"


def different_title(found: Json, answer: Json) -> str:
    """How many were asked for, and what was found."""
    total = "" if found["total"] is None else f", {found['total']:,.2f} {answer['units']['money']} together"
    return f"{found['asked']} designs that differ ({found['status']}{total})"


def _different(found: Json, answer: Json) -> Iterator[str]:
    money = answer["units"]["money"]
    yield from ("", different_title(found, answer))
    yield from (f"  {told}" for told in (found["why"], NETWORK * found["network_only"]) if told)
    for row in found["designs"]:
        yield from _row(row, found["designs"][0], answer)
        trades = [f"{t['trade']} {t['amount']:,.2f}" for t in row["by_trade"]]
        yield f"    by trade [{money}]: {', '.join(trades)}"
        if row["needs"]:
            yield f"    needs {needs_words(row)}"


def needs_words(row: Json) -> str:
    """What not all designs of a set need alike."""
    return "; ".join(_piece(n) for n in row["needs"])


def front_title(front: Json, answer: Json) -> str:
    """What is weighed against cost, and in which steps."""
    is_wait = front["against"] == "waiting"
    step = f"{front['step']:g} s" if is_wait else length_text(front["step"], answer)
    return f"Cost against {'waiting' if is_wait else 'margin of the terminal'}, in steps of {step} at least"


def front_notes(front: Json) -> tuple[str, ...]:
    """Whether there is more beyond the last design, and of what its proof is."""
    last = "There is none beyond the last." if front["designs"] else "There is no design."
    return tuple(told for told in (front["why"] or last, NETWORK * front["network_only"]) if told)


def _front(front: Json, answer: Json) -> Iterator[str]:
    yield from ("", front_title(front, answer))
    for row in front["designs"]:
        yield from _row(row, front["designs"][0], answer)
    yield from (f"  {told}" for told in front_notes(front))


def _row(row: Json, first: Json, answer: Json) -> Iterator[str]:
    """A design; where its features are the first one's, in what else the two differ."""
    money = answer["units"]["money"]
    yield f"  {row['cost']:,.2f} {money} (+{row['extra_cost']:,.2f}): {row['heater']} in {row['room']}, " \
          f"out by {row['way_out']}, gas from {row['gas_pipe']}"  # fmt: skip
    yield f"    {_figures(row, answer)}"
    if row["differs"] and all(row[f] == first[f] for f in FEATURES):
        yield f"    {differs_text(row['differs'], answer)}"


def _figures(row: Json, answer: Json) -> str:
    wait = row["mean_wait_s"]
    waits = "wait for hot water not known" if wait is None else f"mean wait for hot water {wait:.1f} s"
    return f"{waits}, margin of the terminal {length_text(row['margin'], answer)}"


def _piece(need: Json) -> str:
    return need["what"] if need["count"] == 1 else f"{need['count']} x {need['what']}"
