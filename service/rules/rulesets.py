"""Rule sets for sidewall vent terminals as data, and what each of their words means.

A rule set is one CSV (one row a rule, figures as printed) with a TOML beside it, plus the rows of the sets it
``includes``. Nothing here measures anything; both the zones of ``clearance`` and the findings of ``check`` are to
follow the meanings below, each with its own geometry.

The terminal is a disc of radius r = ``VentListing.terminal_radius_mm`` on the plane of its facade; a distance "from
the terminal" is the distance from its centre less r (a ball of radius r where the object lies off the plane). It
holds when measured >= required. Lowest point = centre z - r, top = centre z + r.

Objects (column ``objects``, any of):
  window_operable  window that opens or of which that is unknown; of this house or of a neighbour wall
  window_fixed     window known not to open
  door             door or garage door, of this house or of a neighbour wall
  gravity_inlet, forced_inlet, combustion_inlet   air inlets of the survey: ``width_mm`` centred on ``at``, along
                                                  the facade nearest to ``at`` (projected on it if within
                                                  INLET_REACH_MM), else a square of that width
  regulator_vent   the point ``Regulator.at``; never moved on to a facade
  grade            finished ground at the facade: the highest under any part of the terminal (s - r, s + r)
  snow             grade + snow depth, and the top of every deck that is no eave + snow depth; only if depth > 0
  deck_top, deck_underside, eave_vented, eave_unvented   decks (not eaves), eaves (unknown = vented)
  public_walkway, public_driveway, shared_driveway, private_walkway   ways: outline in plan, surface height
  neighbour_opening   every opening of a neighbour wall that is not a fixed window
  neighbour_wall, lot_line   plan segments, at every height between their base and top (lot line: any height)
  corner_in, corner_out   vertical edges where two facades meet
  door_swing       the leaf's path: rectangle in plan from one leaf width beyond either jamb, one leaf width deep,
                   over the door's height; for doors that swing out or of which that is unknown (garage doors: only
                   if known)
  wall, opening    the wall itself and every hole in it

Distance to an object on another wall: the straight line in space, whatever stands between - except round an outside
corner: where the terminal's facade and the object's end in a common vertical edge, turned away from each other, and
at the edge both walls stand over the whole height that they have anywhere, the object is measured on the unfolded
wall, its distance from the corner added to the terminal's. Regulators, neighbours, decks, ways and door swings are
always taken straight. Plan distance likewise (unfolded, else straight in plan). Round a corner and off the plane the
ball of radius r is kept: straight distance of the centre less r. Walls that are neither parallel nor square to the
terminal's facade may be taken nearer than they are, never farther.

Relations (column ``relation``):
  radial              distance from the terminal, in space, >= ``distance``
  horizontal          distance from the terminal, in plan, >= ``distance`` at whatever height
  beside_below_above  lawful if plan distance >= ``beside``, or terminal's top at least ``below`` under the object's
                      bottom, or lowest point at least ``above`` over its top
  above_inlet_within  lawful if plan distance >= ``gate``, or lowest point at least ``distance`` over the object's
                      top
  above_level         lowest point at least ``distance`` over the object's level. grade: wherever it lies under the
                      terminal. Decks and ways: if the terminal's plan distance to the outline is < ``gate``. A
                      deck's level binds only terminals whose top is over the deck's underside (under_open speaks
                      for those below)
  not_over            terminal's top over the object's level (way: surface; regulator: its vent) is forbidden where
                      the plan distance is < ``gate``
  column              forbidden where plan distance < ``gate``, top over the object's point and lowest point no more
                      than ``above`` over it (the limit itself fails)
  under_open          plan distance to the deck's outline < ``gate`` and lowest point under its underside: lawful
                      only if the deck has at least ``open_sides_min`` open sides (unknown: it has not) and the
                      terminal's top is at least ``distance`` under the underside
  facing              objects off the facade's plane and in front of it: lawful if plan distance >= ``distance``, or
                      lowest point at least ``above`` over the object's top, or top at least ``below`` under its
                      bottom
  door_swing          plan distance to the leaf's path >= ``distance``, where the terminal's height overlaps the
                      leaf's
  on_wall             the disc lies wholly on the facade's spans and over none of its holes
  instructions        no figure: the heater's instructions decide; advice only

Conditions: ``draft`` direct | room_air | any; ``categories`` (empty = all); input band (over, upto] in Btu/h;
pressure band (over, upto] in psi of the regulator's inlet. ``on_missing`` worst_case: an unknown fact meets the
condition; advice: it is only mentioned. ``force`` required | advisory (never forbids). ``strict``: must be greater
than ``distance``. ``mark`` read | memory | common_practice. ``reading`` is not empty where the code leaves the
measuring open (for ``radial`` only where the object is not on the terminal's own plane).
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from service.rules.rule import Printed, Rule, RuleTableError, parse_rule, read_rows
from service.survey.model import Amendment, UnitSystem

RULE_SETS = Path(__file__).parent / "rule_sets"
INLET_REACH_MM = 600

__all__ = ["INLET_REACH_MM", "Rule", "RuleSet", "RuleTableError", "SizedRule", "rule_set", "rule_set_ids"]


@dataclass(frozen=True, slots=True)
class SizedRule:
    """A rule with its distances in whole millimetres for one survey; ``amended`` is the note if changed."""

    rule: Rule
    distance_mm: int
    beside_mm: int
    below_mm: int
    above_mm: int
    gate_mm: int
    amended: str = ""


@dataclass(frozen=True, slots=True)
class RuleSet:
    """All rules of one code, those of the included sets last."""

    id: str
    title: str
    edition: str
    country: str
    sources: tuple[str, ...]
    rules: tuple[Rule, ...]

    def as_records(self) -> list[dict[str, Any]]:
        """Rules as plain data for an answer."""
        return [{**asdict(r), "citation": r.citation} for r in self.rules]

    def sized(self, units: UnitSystem, amendments: Sequence[Amendment] = ()) -> tuple[SizedRule, ...]:
        """Rules in whole millimetres: inches rounded up to the next whole millimetre; where the country is ``ca`` and
        the survey speaks SI, the printed soft SI. An amendment replaces ``distance`` (beside_below_above: all three;
        column, not_over: ``gate``) or, with None, drops the rule; amendments of other tables are passed over."""
        use_si = self.country == "ca" and units is UnitSystem.SI
        changes = {a.rule_id: a for a in amendments}
        sized = (_amended(_size(r, use_si), changes.get(r.id)) for r in self.rules)
        return tuple(s for s in sized if s is not None)


def rule_set_ids() -> tuple[str, ...]:
    """Ids a survey may name."""
    return tuple(sorted(p.stem for p in RULE_SETS.glob("*.toml") if _meta(p.stem)["selectable"]))


@cache
def rule_set(rule_set_id: str) -> RuleSet:
    """Rule set by id. KeyError if a survey may not name it, RuleTableError if its table is faulty."""
    if rule_set_id not in rule_set_ids():
        raise KeyError(rule_set_id)
    meta = _meta(rule_set_id)
    names = [rule_set_id, *meta["includes"]]
    rules = tuple(parse_rule(row, name) for name in names for row in read_rows(RULE_SETS / f"{name}.csv"))
    if len({r.id for r in rules}) != len(rules):
        raise RuleTableError(f"{rule_set_id}: a rule id occurs twice")
    sources = tuple(s for name in names for s in _meta(name)["sources"])
    return RuleSet(rule_set_id, meta["title"], meta["edition"], meta["country"], sources, rules)


def _size(rule: Rule, use_si: bool) -> SizedRule:
    def mm(value: Printed | None, strict: bool = False) -> int:
        return value.mm(use_si, strict) if value else 0

    above = mm(rule.above, rule.relation == "column")
    return SizedRule(rule, mm(rule.distance, rule.strict), mm(rule.beside), mm(rule.below), above, mm(rule.gate))


def _amended(sized: SizedRule, change: Amendment | None) -> SizedRule | None:
    if change is None:
        return sized
    if change.distance_mm is None:
        return None
    d = change.distance_mm
    if sized.rule.relation == "beside_below_above":
        return replace(sized, beside_mm=d, below_mm=d, above_mm=d, amended=change.note)
    if sized.rule.relation in ("column", "not_over"):
        return replace(sized, gate_mm=d, amended=change.note)
    return replace(sized, distance_mm=d, amended=change.note)


@cache
def _meta(name: str) -> dict[str, Any]:
    return tomllib.loads((RULE_SETS / f"{name}.toml").read_text(encoding="utf-8"))
