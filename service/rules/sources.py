"""Citations of all tables and rule sets, with how their figures are known."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

from service.rules.tables import MARKS, RULES, Table, TableError, load, marks_of, toml_of


@dataclass(frozen=True, slots=True)
class Source:
    """Citation of a table or rule set.

    ``known_from`` is the least sure mark of its rows, ``marks`` counts them, ``sources`` tell in words whence the
    figures come where the rows come from several places.
    """

    name: str
    title: str
    standard: str
    edition: str
    section: str
    sources: tuple[str, ...]
    known_from: str
    marks: dict[str, int]
    note: str


def sources() -> list[Source]:
    """Every table and rule set under service/rules with its citation and marks, sorted by name."""
    return sorted((_citation(path) for path in RULES.rglob("*.csv")), key=lambda source: source.name)


def _citation(path: Path) -> Source:
    """Files of rules have a TOML of their own shape, with a list of sources; their rows carry the sections."""
    return _cited_rules(path) if "sources" in toml_of(path.with_suffix(".toml")) else _cited_table(load(path))


def _cited_table(loaded: Table) -> Source:
    least, counts = _counted(marks_of(loaded))
    return Source(
        loaded.name, loaded.title, loaded.standard, loaded.edition, loaded.section, (), least, counts, loaded.note
    )


def _cited_rules(path: Path) -> Source:
    meta = toml_of(path.with_suffix(".toml"))
    if missing := [key for key in ("title", "edition", "note") if key not in meta]:
        raise TableError(f"{path.stem}: missing {missing}")
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file, strict=True))
    least, counts = _counted([row["mark"] for row in rows])
    standard = "; ".join(sorted({row["standard"] for row in rows}))
    return Source(
        path.stem, meta["title"], standard, meta["edition"], "as each row says", tuple(meta["sources"]),
        least, counts, meta["note"],
    )  # fmt: skip


def _counted(marks: list[str]) -> tuple[str, dict[str, int]]:
    """The least sure of the marks, and how often each occurs, the surest first."""
    counts = {mark: marks.count(mark) for mark in MARKS if mark in marks}
    return list(counts)[-1], counts
