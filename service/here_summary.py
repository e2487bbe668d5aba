"""Answers about places asked about, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.words import length_text

Json = dict[str, Any]


def here_lines(answer: Json) -> Iterator[str]:
    """A heading and a few lines for each place; nothing if none was asked about."""
    if answer["what_about"]:
        yield from ("", "What about here?")
    for here in answer["what_about"]:
        whose = f", {here['dwelling']}" if here["dwelling"] else ""
        yield f"  {here['id']}{whose}: {_outcome(here, answer)}"
        for refusal in here["refused"]:
            yield f"    {refusal['part']}, {', '.join(refusal['heaters'])}: {_broken(refusal, answer)}"


def _outcome(here: Json, answer: Json) -> str:
    money = answer["units"]["money"]
    if here["design"] is None:
        return f"{here['status']}. {here['why']}".rstrip(" .") + "."
    more = "" if here["extra_cost"] is None else f", {_signed(here['extra_cost'])} {money} beside the best"
    if answer["weighed_waiting"] is not None and here["extra_objective"] is not None:
        more += f", {_signed(here['extra_objective'])} with the waiting weighed"
    if here["status"] == "feasible" and here["bound"] is not None:
        more += f", not proven: at least {here['bound']:,.2f}"
    trades = [f"{_signed(t['amount'])} {t['trade']}" for t in here["extra_by_trade"] if t["amount"]]
    told = f" ({', '.join(trades)})" if trades else ""
    return f"{here['status']}, {here['cost']:,.2f} {money} with {here['design']['heater']['id']}{more}{told}"


def _signed(amount: float) -> str:
    return f"{amount:+,.2f}"


def _broken(refusal: Json, answer: Json) -> str:
    return "; ".join(broken_words(f, answer) for f in refusal["broken"])


def broken_words(finding: Json, answer: Json) -> str:
    """A broken rule and by how much."""
    if finding["short_by"] is None:
        return f"{finding['rule']} {finding['verdict']}: {finding['detail']}"
    return f"{finding['rule']} to {finding['object']} short by {length_text(finding['short_by'], answer)}"


DEADLOCK = "What would open a design (no rule may be lifted on this word: it says where to look)"


def deadlock_title(found: Json) -> str:
    """What follows, and of which dwelling's heater, beside which others."""
    beside = f" beside those of {', '.join(found['beside'])}" if found["beside"] else " by itself"
    return DEADLOCK + (f", for the heater of {found['dwelling']}{beside}" if found["dwelling"] else "")


def place_words(mount: Json) -> str:
    """Where a heater would hang."""
    return str(mount.get("room") or f"outdoors on {mount['facade']}")


def reason_lines(answer: Json) -> Iterator[str]:
    """Why there is no design, a sentence each."""
    yield from (line.strip() for line in deadlock_lines(answer) if line)
    yield f"Status: {answer['status']}. {answer['scope']}"


def deadlock_lines(answer: Json) -> Iterator[str]:
    """What would open a design where nothing is lawful; nothing elsewhere."""
    found = answer["deadlock"]
    if found is None:
        return
    yield from ("", deadlock_title(found))
    if found["blocking"]:
        yield f"  Together these leave nothing: {', '.join(found['blocking'])}."
    for way in found["ways_out"]:
        cost = f"{way['cost']:,.2f} {answer['units']['money']}"
        place = place_words(way["mount"])
        yield f"  Without {', '.join(way['rules'])}: {cost} with {way['heater']} in {place}"
        yield from (f"    {broken_words(f, answer)}" for f in way["broken"])
    for change in found["changes"]:
        yield f"  {change['what']} {change['cost']:,.2f} {answer['units']['money']} with {change['heater']}"
    yield from (f"  {sentence}" for sentence in (found["why"], *found["changes_untried"]) if sentence)
