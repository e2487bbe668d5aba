"""Rule sets for sidewall vent terminals as data, and what each of their words means.

A rule set is one CSV (one row a rule, figures as printed) with a TOML beside it, plus the rows of the sets it
``includes``. Nothing here measures anything; both the zones of ``clearance`` and the findings of ``check`` are to
follow the meanings below, each with its own geometry.

A rule is about the terminal that flue gas leaves by, or (``subject`` intake) about that of a twin-pipe vent's intake;
what is said below of the terminal is then meant of the intake's. A combustion inlet is another appliance's, never the
own intake.

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
                      bottom, or lowest point at least ``above`` over its top. If the survey measures with a string:
                      lawful too where the distance in space (as for radial) >= the largest of the three
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
  advice              nothing that a survey tells: said of every terminal that the rule speaks of
  record              speaks of what no survey and no design here holds; kept for the reader of the table

Measuring (``Site.measuring``): codes tell "below", "beside" and "above" an opening but not how a place that is both
below and beside it is measured. rectangle (default, the stricter): each distance squarely off the opening's edges, so
that the corners of the zone are square. string: the shortest way from the terminal to the opening, which rounds the
corners with the largest of the three distances as radius; straight below, beside and above it the printed distance
stands as in the rectangle. Every place that the rectangle allows is lawful with the string too.

On a roof the terminal is a level disc of radius r round (x, y) at the height z of its opening: lowest point and top are
both z. Everything is taken straight, in plan and in space, wall openings of higher storeys and of neighbours too. What
opens in the roof itself (skylights are windows, hatches doors, inlets inlets) is kept away from in plan whatever the
heights, the stricter reading, save that above_inlet_within is kept by height as well; a terminal in a wall is measured
to it straight, from the roof's lowest point at its edge up to its top. on_wall: the disc lies wholly on its plane of
the roof and over none of the roof's openings. above_level: grade is the highest ground at the house; snow lies on the
roof as deep as on the ground. facing, advice and corners say nothing of it: it blows upward, at no wall. How high it is
over the roof, and how far from upright walls over the roof, is in the tables roof_height and
roof_rules (``trades.roof``), written for gas vents of the US and taken for all vents and in Canada too, where no other
figure is known here.

Conditions: ``draft`` direct | room_air | any; ``categories`` (empty = all); input band (over, upto] in Btu/h;
pressure band (over, upto] in psi of the regulator's inlet. ``on_missing`` worst_case: an unknown fact meets the
condition; advice: it is only mentioned. ``force`` required | advisory (never forbids). ``strict``: must be greater
than ``distance``. ``mark`` read | memory | common_practice. ``reading`` is not empty where the code leaves the
measuring open (for ``radial`` only where the object is not on the terminal's own plane).
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from service.rules.rule import RELATIONS, Printed, Rule, RuleTableError, parse_rule, read_rows
from service.survey.model import Amendment, Figure, Measuring, UnitSystem

RULE_SETS = Path(__file__).parent / "rule_sets"
INLET_REACH_MM = 600
BOX = "beside_below_above"
STRING_READING = (
    "measured with a string, which the survey chose where the code is silent: lawful too where the shortest way to the "
    "opening is at least the largest of the three distances"
)
_MAINLY = {
    BOX: (Figure.BESIDE, Figure.BELOW, Figure.ABOVE),
    "column": (Figure.GATE,),
    "not_over": (Figure.GATE,),
}
"""What an amendment changes that names no figure; else ``distance``."""

__all__ = ["INLET_REACH_MM", "Rule", "RuleSet", "RuleTableError", "SizedRule", "rule_set", "rule_set_ids"]


@dataclass(frozen=True, slots=True)
class SizedRule:
    """A rule with its distances in whole millimetres for one survey; ``amended`` is the note if changed.

    ``string_mm``: a distance in space that keeps a beside_below_above rule as well; 0 if none does.
    """

    rule: Rule
    distance_mm: int
    beside_mm: int
    below_mm: int
    above_mm: int
    gate_mm: int
    amended: str = ""
    string_mm: int = 0

    @property
    def reading(self) -> str:
        """How it is read where the code leaves the measuring open; empty where it does not."""
        return STRING_READING if self.string_mm else self.rule.reading


@dataclass(frozen=True, slots=True, eq=False)
class RuleSet:
    """All rules of one code, those of the included sets last. Read once, so one set equals itself alone."""

    id: str
    title: str
    edition: str
    country: str
    sources: tuple[str, ...]
    rules: tuple[Rule, ...]

    def as_records(self) -> list[dict[str, Any]]:
        """Rules as plain data for an answer."""
        return [{**asdict(r), "citation": r.citation} for r in self.rules]

    def sized(
        self,
        units: UnitSystem,
        amendments: Sequence[Amendment] = (),
        measuring: Measuring = Measuring.RECTANGLE,
        spare_mm: int = 0,
    ) -> tuple[SizedRule, ...]:
        """Rules in whole millimetres: inches rounded up to the next whole millimetre; where the country is ``ca`` and
        the survey speaks SI, the printed soft SI. An amendment replaces the figure that it names, or ``distance``
        (beside_below_above: all three; column, not_over: ``gate``); one that enforces makes advice binding; one that
        does neither drops the rule. Amendments of other tables, and of figures that the rule has not, are passed
        over: what is not measured cannot be enforced. Last every figure of every rule grows by ``spare_mm`` [mm]."""
        use_si = self.country == "ca" and units is UnitSystem.SI
        return _sized(self, use_si, tuple(amendments), measuring, spare_mm)


@lru_cache(maxsize=64)  # the checker asks for each place it judges
def _sized(
    rules: RuleSet, use_si: bool, amendments: tuple[Amendment, ...], measuring: Measuring, spare_mm: int
) -> tuple[SizedRule, ...]:
    amended = (_amended(_size(r, use_si), (a for a in amendments if a.rule_id == r.id)) for r in rules.rules)
    return tuple(_measured(_grown(s, spare_mm), measuring) for s in amended if s is not None)


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


def figures_changed(rule: Rule, change: Amendment) -> tuple[Figure, ...]:
    """Which figures of the rule an amendment speaks of; none if the rule has not what it names."""
    has = _figures_of(rule)
    asked = _MAINLY.get(rule.relation, (Figure.DISTANCE,)) if change.figure is None else (change.figure,)
    return tuple(f for f in asked if f in has)


def _figures_of(rule: Rule) -> set[Figure]:
    relation = RELATIONS[rule.relation]
    return {f for f in Figure if relation and (f in relation or getattr(rule, f) is not None)}


def _grown(sized: SizedRule, spare_mm: int) -> SizedRule:
    """The rule with every figure that it has larger by as much as the survey wants to spare."""
    figures = _figures_of(sized.rule) if spare_mm else ()
    if not figures:
        return sized
    told = "; ".join((*filter(None, (sized.amended,)), f"{spare_mm} mm more than the rule asks, as the survey wants"))
    return replace(sized, amended=told, **{f"{f}_mm": getattr(sized, f"{f}_mm") + spare_mm for f in figures})


def _amended(sized: SizedRule, changes: Iterable[Amendment]) -> SizedRule | None:
    for change in changes:
        if change.distance_mm is None and not change.enforce:
            return None
        sized = _changed(sized, change)
    return sized


def _changed(sized: SizedRule, change: Amendment) -> SizedRule:
    figures = figures_changed(sized.rule, change)
    if not figures:
        return sized
    rule = replace(sized.rule, force="required", on_missing="worst_case") if change.enforce else sized.rule
    new: dict[str, Any] = {} if change.distance_mm is None else {f"{f}_mm": change.distance_mm for f in figures}
    return replace(sized, rule=rule, amended=change.note, **new)


def _measured(sized: SizedRule, measuring: Measuring) -> SizedRule:
    if sized.rule.relation != BOX or measuring is not Measuring.STRING:
        return sized
    return replace(sized, string_mm=max(sized.beside_mm, sized.below_mm, sized.above_mm))


@cache
def _meta(name: str) -> dict[str, Any]:
    return tomllib.loads((RULE_SETS / f"{name}.toml").read_text(encoding="utf-8"))
