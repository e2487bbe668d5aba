"""Limits that codes and labels put on the hot-water pipe between heater and fixture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.rules.tables import Row, table


@dataclass(frozen=True, slots=True)
class HotLimit:
    """A limit on length [m] or volume [m3], and what a way of pipe has. ``applies``: the survey's rule set holds it;
    the others are told for comparison."""

    id: str
    measures: str
    limit: float
    actual: float
    applies: bool
    citation: str
    known_from: str
    note: str

    @property
    def kept(self) -> bool:
        """Whether the way is within it; equality passes."""
        return self.actual <= self.limit * (1 + 1e-9)


def limits_of(length_m: float, volume_m3: float, largest: str | None, rule_set: str) -> tuple[HotLimit, ...]:
    """All limits for a way of a length [m] and volume [m3]; ``largest`` is its largest nominal size, None where not
    known. Source: tables ``hot_water_limits`` and ``hot_water_lengths``."""
    return (*_plain(length_m, volume_m3, rule_set), *_by_size(length_m, largest))


def _plain(length_m: float, volume_m3: float, rule_set: str) -> Iterator[HotLimit]:
    for row in table("hot_water_limits").rows:
        actual = length_m if row.text("measures") == "length" else volume_m3
        applies = row.cells["rule_sets"] is not None and rule_set in row.text("rule_sets").split()
        yield HotLimit(
            row.text("id"), row.text("measures"), row.si("limit"), actual, applies, _cite(row), row.text("known_from"),
            row.text("note"),
        )  # fmt: skip


def _cite(row: Row) -> str:
    parts = (row.text(c) for c in ("standard", "edition", "section"))
    return " ".join(p for p in parts if p != "-")


def _by_size(length_m: float, largest: str | None) -> Iterator[HotLimit]:
    book = table("hot_water_lengths")
    for row in book.rows:
        if row.text("nominal") == largest:
            cite, note = f"{book.standard} {book.edition} {book.section}", f"largest pipe of the way is {largest} in"
            yield HotLimit(
                "iecc-length", "length", row.si("length"), length_m, False, cite, book.known_from, note
            )  # fmt: skip
