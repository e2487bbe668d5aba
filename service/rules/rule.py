"""One rule of a rule table: its fields as printed, its conditions, how a CSV row becomes one."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import Any

W_PER_BTU_H = 1055.05585262 / 3600
PA_PER_PSI = 6894.757293168

RELATIONS = {  # relation -> the distances it cannot do without
    "radial": ("distance",),
    "horizontal": ("distance",),
    "beside_below_above": ("beside", "below", "above"),
    "above_inlet_within": ("distance", "gate"),
    "above_level": ("distance",),
    "not_over": ("gate",),
    "column": ("gate", "above"),
    "under_open": ("distance", "gate", "open_sides_min"),
    "facing": ("distance", "above", "below"),
    "door_swing": ("distance",),
    "on_wall": (),
    "instructions": (),
    "advice": (),
    "record": (),
}
OBJECTS = frozenset(
    {
        "window_operable", "window_fixed", "door", "door_swing", "wall", "opening",
        "gravity_inlet", "forced_inlet", "combustion_inlet", "regulator_vent",
        "grade", "snow", "deck_top", "deck_underside", "eave_vented", "eave_unvented",
        "public_walkway", "public_driveway", "shared_driveway", "private_walkway",
        "neighbour_opening", "neighbour_wall", "lot_line", "corner_in", "corner_out",
    }
)  # fmt: skip
_CLOSED = {
    "draft": {"direct", "room_air", "any"},
    "force": {"required", "advisory"},
    "on_missing": {"worst_case", "advice"},
    "mark": {"read", "memory", "common_practice"},
}


class Subject(StrEnum):
    """What a rule is about: the terminal that flue gas leaves by, or the intake's of a twin-pipe vent."""

    TERMINAL = "terminal"
    INTAKE = "intake"


class RuleTableError(ValueError):
    """A rule table does not say what it must."""


@dataclass(frozen=True, slots=True)
class Printed:
    """A distance as printed: inches and, where the text prints it, millimetres."""

    inches: str
    si_mm: int | None

    def mm(self, use_si: bool, strict: bool = False) -> int:
        """Least whole number of millimetres that meets the distance (passes it, if ``strict``) [mm]."""
        exact = Fraction(self.si_mm) if use_si and self.si_mm is not None else Fraction(self.inches) * Fraction(254, 10)
        return exact.__floor__() + 1 if strict else exact.__ceil__()


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of a rule table, as printed. See ``rulesets`` for each field's meaning; a table without the column
    ``subject`` speaks of terminals."""

    id: str
    objects: tuple[str, ...]
    draft: str
    categories: tuple[str, ...]
    input_over_btu_h: float | None
    input_upto_btu_h: float | None
    pressure_over_psi: float | None
    pressure_upto_psi: float | None
    relation: str
    distance: Printed | None
    beside: Printed | None
    below: Printed | None
    above: Printed | None
    gate: Printed | None
    open_sides_min: int | None
    strict: bool
    force: str
    on_missing: str
    standard: str
    section: str
    mark: str
    reading: str
    note: str
    subject: Subject = Subject.TERMINAL

    @property
    def citation(self) -> str:
        """Standard and section in one line."""
        return cited(self.standard, self.section)

    @property
    def required(self) -> bool:
        """Whether breaking the rule makes a place unlawful."""
        return self.force == "required"

    def applies_to(self, direct: bool, category: str, input_w: float) -> bool:
        """Whether a heater of this draft, category and input [W] falls under the rule."""
        return (
            self.draft in ("any", "direct" if direct else "room_air")
            and (not self.categories or category in self.categories)
            and _in_band(input_w / W_PER_BTU_H, self.input_over_btu_h, self.input_upto_btu_h)
        )

    def applies_at_pressure(self, pressure_pa: float | None) -> bool:
        """Whether a regulator with this inlet pressure [Pa] falls under the rule; unknown does."""
        if pressure_pa is None:
            return True
        return _in_band(pressure_pa / PA_PER_PSI, self.pressure_over_psi, self.pressure_upto_psi)


def cited(standard: str, section: str) -> str:
    """Standard and section in one line; a dash stands for none."""
    return ", ".join(x for x in (standard, section) if x != "-") or "common practice"


def read_rows(path: Path) -> list[dict[str, str]]:
    """Rows of a CSV with a header; RuleTableError if a row is longer or shorter than it."""
    with path.open(newline="", encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    for row in rows:
        if None in row or None in row.values():
            raise RuleTableError(f"{path.name}: row {row.get('id')} does not fit the header")
    return rows


def parse_rule(row: Mapping[str, str], table: str) -> Rule:
    """Rule from a CSV row. RuleTableError on a missing column, an unknown word or a missing distance."""
    try:
        rule = _rule(row)
    except (KeyError, ValueError) as fault:
        raise RuleTableError(f"{table}: {row.get('id')}: {fault!r}") from fault
    _verify(rule, table)
    return rule


def printed(row: Mapping[str, str], name: str) -> Printed | None:
    """Distance ``name`` of a row, None if the row has none."""
    inches, si = row[f"{name}_in"], row[f"{name}_si_mm"]
    return Printed(str(Fraction(inches)), int(si) if si else None) if inches else None


def _rule(row: Mapping[str, str]) -> Rule:
    values: dict[str, Any] = {}
    for name, kind in ((f.name, str(f.type)) for f in fields(Rule)):
        if name == "subject":
            values[name] = Subject(row.get(name, Subject.TERMINAL))
        elif kind.startswith("Printed"):
            values[name] = printed(row, name)
        elif kind.startswith("tuple"):
            values[name] = tuple(x for x in row[name].split("|") if x)
        elif "None" in kind:
            values[name] = (int if kind.startswith("int") else float)(row[name]) if row[name] else None
        else:
            values[name] = {"true": True, "false": False}[row[name]] if kind == "bool" else row[name]
    return Rule(**values)


def _verify(rule: Rule, table: str) -> None:
    faults = [f"{f} is {getattr(rule, f)}" for f, allowed in _CLOSED.items() if getattr(rule, f) not in allowed]
    faults += [f"unknown object {o}" for o in rule.objects if o not in OBJECTS]
    if rule.relation not in RELATIONS:
        faults.append(f"unknown relation {rule.relation}")
    faults += [f"{d} missing" for d in RELATIONS.get(rule.relation, ()) if getattr(rule, d) is None]
    faults += [f"{f} is empty" for f in ("id", "objects", "standard", "section") if not getattr(rule, f)]
    if faults:
        raise RuleTableError(f"{table}: {rule.id}: {'; '.join(faults)}")


def _in_band(value: float, over: float | None, upto: float | None) -> bool:
    near = round(value, 3)  # a band's end survives the way through SI floats
    return (over is None or near > over) and (upto is None or near <= upto)
