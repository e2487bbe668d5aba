"""Several dwellings: what each pays and what is shared, and what was found on their heaters together."""

from __future__ import annotations

from typing import Any

from service.dwellings_summary import shared_works
from service.report.model import Bullets, Section, Table, Words
from service.report.tables import bill_lines, money, without_distance
from service.words import length_text

Json = dict[str, Any]


def bills(answer: Json) -> Section:
    """What each dwelling pays for itself, what all share, and the lines of that."""
    found, currency = answer["dwellings"], answer["units"]["money"]
    own = [(d["dwelling"], money(d["cost"]["total"])) for d in found["designs"]]
    common = found["shared"]["cost"]
    rows = (*own, ("shared by all", money(common["total"])), ("total", money(answer["cost"])))
    sums = Table("Cost by dwelling", ("Dwelling", currency), rows, frozenset({1}), True)
    lines = bill_lines("What is shared: bill of materials and work", common, currency)
    works = (line[0].upper() + line[1:] for line in shared_works(found["shared"], answer))
    return Section("shared", "Cost by dwelling, and shared", (sums, lines, Bullets(tuple(works))))


def beside(answer: Json) -> Section:
    """How the heaters stand beside one another."""
    found = answer["dwellings"]
    measured = [f for f in found["findings"] if f["actual"] is not None]
    rows = tuple(
        (f["verdict"], f["rule"], f["detail"], _told(f["required"], answer), _told(f["actual"], answer), f["citation"])
        for f in measured
    )
    rest = [f for f in found["findings"] if f["actual"] is None]
    blocks = (
        Words("What one heater must keep from another's intake and case stands with its own clearances."),
        Table("Distances of terminals", ("Verdict", "Rule", "Between", "Asks", "Has", "Source"), rows,
              frozenset({3, 4})),
        without_distance(rest),
    )  # fmt: skip
    return Section("beside", "Heaters beside one another", blocks)


def _told(length: float | None, answer: Json) -> str:
    return "" if length is None else length_text(length, answer)
