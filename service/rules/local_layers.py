"""Examples of local layers: amendments that a survey of a place may take over as they stand.

They are told with the rule sets and hold only where ``Site.amendments`` says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

from service.rules.mounting import mounting_rules
from service.rules.rule import Printed, RuleTableError, cited, printed, read_rows
from service.rules.rulesets import RuleSet
from service.survey.model import Amendment, Figure

TABLE = Path(__file__).parent / "local_layers.csv"


@dataclass(frozen=True, slots=True)
class LocalAmendment:
    """One row: which rule a place changes, and how; figures as printed."""

    layer: str
    rule_id: str
    figure: Figure
    distance: Printed | None
    enforce: bool
    standard: str
    section: str
    mark: str
    note: str

    @property
    def citation(self) -> str:
        """Standard and section in one line."""
        return cited(self.standard, self.section)

    def amendment(self, use_si: bool = False) -> Amendment:
        """What a survey says to take it over; ``use_si`` takes the printed millimetres."""
        note = f"{self.layer}, {self.citation}"
        distance = self.distance.mm(use_si) if self.distance else None
        return Amendment(self.rule_id, distance, note, self.figure, self.enforce)


def local_amendments(of: RuleSet) -> tuple[LocalAmendment, ...]:
    """Rows that change a rule of this set or of its country's mounting rules. RuleTableError if the table is faulty."""
    known = {r.id for r in of.rules} | {r.id for r in mounting_rules(of.country)}
    return tuple(row for row in _table() if row.rule_id in known)


def local_records(of: RuleSet) -> list[dict[str, Any]]:
    """The same as plain data for an answer."""
    return [{**asdict(row), "citation": row.citation} for row in local_amendments(of)]


@cache
def _table() -> tuple[LocalAmendment, ...]:
    return tuple(_row(row, rule_id) for row in read_rows(TABLE) for rule_id in row["rule_ids"].split("|"))


def _row(row: Mapping[str, str], rule_id: str) -> LocalAmendment:
    distance, enforce = printed(row, "distance"), {"true": True, "false": False}[row["enforce"]]
    if distance is None and not enforce:
        raise RuleTableError(f"local_layers: {rule_id}: neither a distance nor enforced")
    words = {name: row[name] for name in ("layer", "standard", "section", "mark", "note")}
    return LocalAmendment(rule_id=rule_id, figure=Figure(row["figure"]), distance=distance, enforce=enforce, **words)
