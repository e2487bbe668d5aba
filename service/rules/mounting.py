"""Rules for the place of the case: rooms, garages, access, listed clearances; and what their words mean.

The case is a box: width x height x depth of the heater, back on the wall face, vent port on the line s, bottom at
z. Seen from the room its left edge is at s + vent_dx, its right edge at s + vent_dx - width. "Room of the face":
the room that the face belongs to. A wall's unevenness up to WALL_SLACK_MM is taken up by the bracket and no
obstacle.

Columns: ``rooms`` uses that the rule speaks of (empty = every room); ``via`` no | also | only: whether it holds in
rooms that open only into such a room (followed through several rooms), too or alone; ``draft`` direct | room_air |
any; ``unless`` a property of the heater that lifts the rule; ``on_missing`` worst_case: a room of unknown use is
such a room.

Relations:
  room_forbidden    no heater in such a room
  above_floor       bottom of the case at least ``distance`` over the room's floor
  working_space     ``distance`` deep from the case's front, ``width`` wide, centred on the case, from the floor to
                    the case's top: free of walls (within the room's outline) and keep-outs
  headroom          floor to ceiling at least ``distance``
  on_wall           case within the face; no opening of the face behind it or beside it within its listed side space
  listed_clearance  ``Heater.clearances``. Walls: the case with its side clearances, one depth deep, lies within the
                    room's outline; top and bottom to ceiling and floor; front clearance, as wide as the case,
                    within the outline. Keep-outs: none in the case with all four side, top and bottom clearances (a
                    box, corners included); none in the front clearance between floor and the case's top
  manifold          bottom at least MANIFOLD_DROP_MM + ``distance`` over the floor
  vent_rise         top + ``Heater.vent_rise_mm`` not over the ceiling; the vent port's line, from MANIFOLD_DROP_MM
                    under the case to the vent's first bend, crosses no opening of the face and no keep-out that
                    stands within the case's depth from the wall; above the case openings count with the vent's
                    radius all round
  passage, advice   nothing that is judged here; said with the answer
  rooms_refused, rooms_wanted   the customer's wishes
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from service.rules.rule import Printed, RuleTableError, printed, read_rows
from service.survey.model import Amendment, RoomUse, UnitSystem

TABLE = Path(__file__).parent / "mounting.csv"
WALL_SLACK_MM = 10

_RELATIONS = {
    "room_forbidden": (),
    "above_floor": ("distance",),
    "working_space": ("distance", "width"),
    "headroom": ("distance",),
    "on_wall": (),
    "listed_clearance": (),
    "manifold": ("distance",),
    "vent_rise": (),
    "passage": ("distance", "width", "height"),
    "advice": (),
    "rooms_refused": (),
    "rooms_wanted": (),
}
_CLOSED = {
    "via": {"no", "also", "only"},
    "draft": {"direct", "room_air", "any"},
    "unless": {"", "vapour_ignition_resistant"},
    "force": {"required", "advisory"},
    "on_missing": {"worst_case", "advice"},
    "mark": {"read", "memory", "common_practice"},
}


@dataclass(frozen=True, slots=True)
class MountRule:
    """One row of the table, as printed."""

    id: str
    countries: tuple[str, ...]
    rooms: tuple[str, ...]
    via: str
    draft: str
    unless: str
    relation: str
    distance: Printed | None
    width: Printed | None
    height: Printed | None
    floor: Printed | None
    force: str
    on_missing: str
    standard: str
    section: str
    mark: str
    reading: str
    note: str

    @property
    def citation(self) -> str:
        """Standard and section in one line."""
        return ", ".join(x for x in (self.standard, self.section) if x != "-") or "common practice"

    @property
    def required(self) -> bool:
        """Whether breaking the rule makes a place unlawful."""
        return self.force == "required"

    def applies_to(self, direct: bool, vapour_ignition_resistant: bool) -> bool:
        """Whether a heater of this draft and listing falls under the rule."""
        lifted = self.unless == "vapour_ignition_resistant" and vapour_ignition_resistant
        return self.draft in ("any", "direct" if direct else "room_air") and not lifted

    def applies_in(self, use: RoomUse, opens_only_into: Sequence[RoomUse] = ()) -> bool:
        """Whether it holds in a room of ``use`` that opens only into rooms of the other uses, one behind another."""
        if not self.rooms:
            return True
        here = self._means(use) and self.via != "only"
        return here or (self.via != "no" and any(self._means(u) for u in opens_only_into))

    def _means(self, use: RoomUse) -> bool:
        return use.value in self.rooms or (use is RoomUse.UNKNOWN and self.on_missing == "worst_case")


@dataclass(frozen=True, slots=True)
class SizedMountRule:
    """A rule with its distances in whole millimetres; ``amended`` is the note if changed."""

    rule: MountRule
    distance_mm: int
    width_mm: int
    amended: str = ""


def mounting_rules(country: str) -> tuple[MountRule, ...]:
    """Rules of the table that hold in a country (``us`` or ``ca``). RuleTableError if the table is faulty."""
    return tuple(r for r in _table() if country in r.countries)


def sized_mounting(country: str, units: UnitSystem, amendments: Sequence[Amendment] = ()) -> tuple[SizedMountRule, ...]:
    """Rules in whole millimetres (as RuleSet.sized); an amendment replaces ``distance`` or drops the rule."""
    use_si = country == "ca" and units is UnitSystem.SI
    changes = {a.rule_id: a for a in amendments}
    sized = (_sized(r, use_si, changes.get(r.id)) for r in mounting_rules(country))
    return tuple(s for s in sized if s is not None)


def mounting_records(country: str) -> list[dict[str, Any]]:
    """Rules as plain data for an answer."""
    return [{**asdict(r), "citation": r.citation} for r in mounting_rules(country)]


def mounting_sources() -> tuple[str, ...]:
    """Whence the table's figures are known."""
    return tuple(tomllib.loads(TABLE.with_suffix(".toml").read_text(encoding="utf-8"))["sources"])


def parse_mount_rule(row: Mapping[str, str]) -> MountRule:
    """Rule from a CSV row. RuleTableError on a missing column, an unknown word or a missing distance."""
    try:
        rule = _rule(row)
    except (KeyError, ValueError) as fault:
        raise RuleTableError(f"mounting: {row.get('id')}: {fault!r}") from fault
    faults = [f"{f} is {getattr(rule, f)}" for f, allowed in _CLOSED.items() if getattr(rule, f) not in allowed]
    faults += [f"unknown room use {r}" for r in rule.rooms if r not in set(RoomUse)]
    if rule.relation not in _RELATIONS:
        faults.append(f"unknown relation {rule.relation}")
    faults += [f"{d} missing" for d in _RELATIONS.get(rule.relation, ()) if getattr(rule, d) is None]
    if faults:
        raise RuleTableError(f"mounting: {rule.id}: {'; '.join(faults)}")
    return rule


def _rule(row: Mapping[str, str]) -> MountRule:
    lists = {f: tuple(x for x in row[f].split("|") if x) for f in ("countries", "rooms")}
    sizes = {f: printed(row, f) for f in ("distance", "width", "height", "floor")}
    words = ("id", "via", "draft", "unless", "relation", "force", "on_missing", "standard", "section", "mark")
    return MountRule(**lists, **sizes, **{f: row[f] for f in (*words, "reading", "note")})  # type: ignore[arg-type]


def _sized(rule: MountRule, use_si: bool, change: Amendment | None) -> SizedMountRule | None:
    if change is not None and change.distance_mm is None:
        return None
    distance, width = (p.mm(use_si) if p else 0 for p in (rule.distance, rule.width))
    sized = SizedMountRule(rule, distance, width)
    if change is None or change.distance_mm is None:
        return sized
    return replace(sized, distance_mm=change.distance_mm, amended=change.note)


@cache
def _table() -> tuple[MountRule, ...]:
    rules = tuple(parse_mount_rule(row) for row in read_rows(TABLE))
    if len({r.id for r in rules}) != len(rules):
        raise RuleTableError("mounting: a rule id occurs twice")
    return rules
