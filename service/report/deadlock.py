"""Why nothing is lawful: rules that leave no place, and what would open one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.here_summary import broken_words, deadlock_title, place_words
from service.report.model import Block, Bullets, Table, Words
from service.report.tables import money

Json = dict[str, Any]


def blocks(answer: Json) -> Iterator[Block]:
    """The rules, ways out with what each breaks, and changes that break nothing."""
    found, currency = answer["deadlock"], answer["units"]["money"]
    yield Words(f"{deadlock_title(found)}:", strong=True)
    if found["blocking"]:
        yield Words(f"Together these leave nothing: {', '.join(found['blocking'])}.")
    yield Table("Without some rules", ("Rules lifted", currency, "Heater", "In", "It would break"),
                tuple(_way(w, answer) for w in found["ways_out"]), frozenset({1}))  # fmt: skip
    changes = tuple(_change(c) for c in found["changes"])
    yield Table("With something changed", ("What", currency, "Heater", "In"), changes, frozenset({1}))
    rest = tuple(sentence for sentence in (found["why"], *found["changes_untried"]) if sentence)
    if rest:
        yield Bullets(rest)


def _way(way: Json, answer: Json) -> tuple[str, ...]:
    broken = "; ".join(broken_words(f, answer) for f in way["broken"])
    return ", ".join(way["rules"]), money(way["cost"]), way["heater"], place_words(way["mount"]), broken


def _change(change: Json) -> tuple[str, ...]:
    return change["what"].rstrip(":"), money(change["cost"]), change["heater"], place_words(change["mount"])
