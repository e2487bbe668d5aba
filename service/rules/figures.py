"""One figure of a table of practice: a rule's value with its unit, where it stands and how it is known."""

from __future__ import annotations

from dataclasses import dataclass

from service.rules.tables import Row

COMMON_PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class Figure:
    """``value`` in SI, ``printed`` as the row has it in ``unit``, with citation, mark and note."""

    value: float
    printed: float
    unit: str
    citation: str
    known_from: str
    note: str


def figure_of(row: Row) -> Figure:
    """The figure in a row with the columns value, unit, standard, section, known_from and note."""
    return Figure(
        value=row.si("value"),
        printed=row.printed("value"),
        unit=row.text("unit"),
        citation=citation_of(row.text("standard"), row.text("section")),
        known_from=row.text("known_from"),
        note=row.text("note"),
    )


def citation_of(standard: str, section: str) -> str:
    """Standard and section; what is common practice has a topic instead."""
    return f"{standard}: {section}" if standard == COMMON_PRACTICE else f"{standard}, {section}"
