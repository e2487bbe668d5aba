"""Rules for the place of the case: rooms, garages, access, listed clearances; and what their words mean.

The case is a box: width x height x depth of the heater, back on the wall face, vent port on the line s, bottom at
z. Seen from the room its left edge is at s + vent_dx, its right edge at s + vent_dx - width. "Room of the face":
the room that the face belongs to. A wall's unevenness up to WALL_SLACK_MM is taken up by the bracket and no
obstacle. Facts of a room: ``survey.rooms``; a fact that is not known, or whose object is not given, is not kept.

Columns: ``rooms`` uses that the rule speaks of (empty = every room); ``via`` no | also | only: whether it holds in
rooms that open only into such a room (followed through several rooms), too or alone; ``draft`` direct | room_air |
any; ``unless`` what lifts the rule: vapour_ignition_resistant (heater), sealed_enclosure (room_forbidden: all facts
of ``Room.enclosure`` hold), removable_through_opening (access_passage); ``on_missing`` worst_case: a room of unknown
use is such a room.

Relations:
  room_forbidden    no heater in such a room
  above_floor       bottom of the case at least ``distance`` over the room's floor
  above_vehicles    in a public garage: bottom at least ``distance`` over the floor and ``height`` over the top of every
                    garage door of the room; a garage not known to be public is taken as private, with advice
  above_flood       bottom at least ``distance`` over ``Site.flood_elevation_mm``, where that is given
  working_space     ``distance`` deep from the case's front, ``width`` wide, centred on the case, from the floor to
                    the case's top: free of walls (within the room's outline) and keep-outs. In a room serviced through
                    its door it may reach straight out through a door of the room, of any wall, that goes from the floor
                    to the case's top or higher, into the room that it opens only into. Outdoors: from the ground to
                    the case's top; whatever stands and begins below that is in it, but for decks that end below the
                    case
  headroom          floor to ceiling at least ``distance``
  door              some door or garage door of the room at least ``width`` wide and ``height`` high over the floor
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
  access_passage    passage at least ``width`` wide and ``height`` high, its solid floor at least ``floor`` wide; at
                    most ``distance`` long, or of any length if it is at least ``high`` high
  access_opening    opening at least ``width`` x ``height``, either way up, and the two smaller sides of the case pass
  access_platform   level service space at least ``distance`` deep and ``width`` wide
  access_pit        passage at most ``distance`` below grade, or lined at least ``height`` above it
  access_outlets    light and receptacle are there
  outdoors_*        for a case hung outdoors on a facade, seen from outside: s is the flue outlet's line, its left edge
                    at s - flue dx. Decks (eaves apart) below it count as ground. Things that stand: other facades of
                    the house, neighbouring walls, decks, eaves
  outdoors_listed   ``Heater.outdoor_listed``, with what the listing says
  outdoors_wall     case within the facade's spans; no opening, no air inlet behind it or in its listed side space
  outdoors_clearance  nothing stands in the case with its side and top clearances, one depth deep (other walls from
                    WALL_SLACK_MM off the facade), nor in the front clearance, as wide as the case
  outdoors_ground   bottom at least ``distance``, and the listing's bottom clearance, over grade and decks below
  outdoors_snow     bottom at least ``distance`` over the snow on them
  outdoors_manifold the point MANIFOLD_DROP_MM below the case at least ``distance`` over grade and decks below, in no
                    opening, and ``distance`` from the edges of a room's wall face behind
  outdoors_regulator  case at least ``distance`` from every regulator vent, straight
  outdoors_way      case over no public way or shared driveway
  outdoors_door     case not in the path of a leaf
  outdoors_lot      neither case nor working space (AC1) crosses a lot line
  outdoors_frost    winter design temperature not below the listing's least
  outdoors_wish     the customer allows it
  outdoors_advice   said with every design outdoors
  advice            nothing that is judged here; said with the answer
  record            speaks of what no survey and no design here holds; kept for the reader of the table
  rooms_refused, rooms_wanted   the customer's wishes
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from fractions import Fraction
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from service.rules.rule import Printed, RuleTableError, printed, read_rows
from service.survey.model import Amendment, Figure, RoomUse, UnitSystem

TABLE = Path(__file__).parent / "mounting.csv"
WALL_SLACK_MM = 10

_RELATIONS = {
    "room_forbidden": (),
    "above_floor": ("distance",),
    "above_vehicles": ("distance", "height"),
    "above_flood": ("distance",),
    "working_space": ("distance", "width"),
    "headroom": ("distance",),
    "door": ("width", "height"),
    "on_wall": (),
    "listed_clearance": (),
    "manifold": ("distance",),
    "vent_rise": (),
    "access_passage": ("distance", "width", "height"),
    "access_opening": ("width", "height"),
    "access_platform": ("distance", "width"),
    "access_pit": ("distance", "height"),
    "access_outlets": (),
    "advice": (),
    "record": (),
    "rooms_refused": (),
    "rooms_wanted": (),
    "outdoors_listed": (),
    "outdoors_wall": (),
    "outdoors_clearance": (),
    "outdoors_ground": ("distance",),
    "outdoors_snow": ("distance",),
    "outdoors_manifold": ("distance",),
    "outdoors_regulator": ("distance",),
    "outdoors_way": (),
    "outdoors_door": (),
    "outdoors_lot": (),
    "outdoors_frost": (),
    "outdoors_wish": (),
    "outdoors_advice": (),
}
OUTDOORS, ANYWHERE = "outdoors_", ("working_space", "above_flood")
_CLOSED = {
    "via": {"no", "also", "only"},
    "draft": {"direct", "room_air", "any"},
    "unless": {"", "vapour_ignition_resistant", "sealed_enclosure", "removable_through_opening"},
    "force": {"required", "advisory"},
    "on_missing": {"worst_case", "advice"},
    "mark": {"read", "memory", "common_practice"},
}
_SURVEYED = ("access_passage", "access_opening", "access_platform", "access_pit", "door")
"""Relations that measure what a surveyor read off in whole units: his inches and those of the code round alike."""
_UNJUDGED = ("advice", "record", "outdoors_advice")
_SIZES = ("distance", "width", "height", "floor", "high")


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
    high: Printed | None
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

    def holds(self, outdoors: bool) -> bool:
        """Whether it speaks of a case that hangs outdoors, or of one in a room."""
        return self.relation in ANYWHERE or self.relation.startswith(OUTDOORS) == outdoors

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

    def rests_on_unknown_use(self, use: RoomUse, opens_only_into: Sequence[RoomUse] = ()) -> bool:
        """Whether it holds in such a room (see ``applies_in``) only because some use is not known."""
        uses = (use, *opens_only_into)
        known = replace(self, on_missing="advice")
        return bool(self.rooms) and RoomUse.UNKNOWN in uses and not known.applies_in(use, opens_only_into)

    def _means(self, use: RoomUse) -> bool:
        return use.value in self.rooms or (use is RoomUse.UNKNOWN and self.on_missing == "worst_case")


@dataclass(frozen=True, slots=True)
class SizedMountRule:
    """A rule with its distances in whole millimetres, 0 where it has none; ``amended`` is the note if changed."""

    rule: MountRule
    distance_mm: int
    width_mm: int
    height_mm: int = 0
    floor_mm: int = 0
    high_mm: int = 0
    amended: str = ""


def mounting_rules(country: str) -> tuple[MountRule, ...]:
    """Rules of the table that hold in a country (``us`` or ``ca``). RuleTableError if the table is faulty."""
    return tuple(r for r in _table() if country in r.countries)


def sized_mounting(country: str, units: UnitSystem, amendments: Sequence[Amendment] = ()) -> tuple[SizedMountRule, ...]:
    """Rules in whole millimetres (as RuleSet.sized; facts of the survey are held to the nearest one).

    An amendment that enforces makes advice binding, and an unknown use then counts as the worst. It replaces
    ``distance`` if it names one; one that does neither drops the rule. Amendments of other figures are passed over.
    """
    return _all_sized(country, country == "ca" and units is UnitSystem.SI, tuple(amendments))


@lru_cache(maxsize=64)
def _all_sized(country: str, use_si: bool, amendments: tuple[Amendment, ...]) -> tuple[SizedMountRule, ...]:
    rules = mounting_rules(country)
    sized = (_amended(_sized(r, use_si), [a for a in amendments if a.rule_id == r.id]) for r in rules)
    return tuple(s for s in sized if s is not None)


def heeds(rule: MountRule, change: Amendment) -> bool:
    """Whether an amendment of the rule changes anything: drops it, makes it binding, or gives a distance it has."""
    if change.figure not in (None, Figure.DISTANCE) or rule.relation in _UNJUDGED:
        return False
    return change.distance_mm is None or change.enforce or "distance" in _RELATIONS[rule.relation]


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
    sizes = {f: printed(row, f) for f in _SIZES}
    words = ("id", "via", "draft", "unless", "relation", "force", "on_missing", "standard", "section", "mark")
    return MountRule(**lists, **sizes, **{f: row[f] for f in (*words, "reading", "note")})  # type: ignore[arg-type]


def _sized(rule: MountRule, use_si: bool) -> SizedMountRule:
    surveyed = rule.relation in _SURVEYED
    distance, width, height, floor, high = (_mm(getattr(rule, size), use_si, surveyed) for size in _SIZES)
    return SizedMountRule(rule, distance, width, height, floor, high)


def _mm(size: Printed | None, use_si: bool, surveyed: bool) -> int:
    if size is None:
        return 0
    return round(Fraction(size.inches) * Fraction(254, 10)) if surveyed else size.mm(use_si)


def _amended(sized: SizedMountRule, changes: Sequence[Amendment]) -> SizedMountRule | None:
    for change in changes:
        if change.distance_mm is None and not change.enforce:
            return None
        if heeds(sized.rule, change):
            sized = _changed(sized, change)
    return sized


def _changed(sized: SizedMountRule, change: Amendment) -> SizedMountRule:
    rule = replace(sized.rule, force="required", on_missing="worst_case") if change.enforce else sized.rule
    distance = sized.distance_mm if change.distance_mm is None else change.distance_mm
    return replace(sized, rule=rule, distance_mm=distance, amended=change.note)


@cache
def _table() -> tuple[MountRule, ...]:
    rules = tuple(parse_mount_rule(row) for row in read_rows(TABLE))
    if len({r.id for r in rules}) != len(rules):
        raise RuleTableError("mounting: a rule id occurs twice")
    return rules
