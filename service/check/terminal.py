"""Whether a vent may end where it does: every rule of the rule set, measured to every object."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from service.building.model import Building
from service.check.leaves import out_from
from service.check.measure import floor_root, interval_gap
from service.check.objects import Spot, Thing, things_around
from service.check.roof import heights_over_roof, on_roof, over_wall, roof_advice, roof_things
from service.check.verdicts import stated
from service.check.wall_area import facade_of, on_wall
from service.design import Design, Finding, RoofTerminal, Terminal, Verdict
from service.phrases import Detail, Phrase, joined, mm, phrase
from service.rules.outdoors import listed_openings
from service.rules.rule import Subject
from service.rules.rulesets import BOX, SizedRule, rule_set
from service.survey.equipment import Heater, Outlet
from service.survey.model import Survey

FAR_TIMES = 3
"""Things kept at more than so many times the distance asked are left out, save the nearest of each rule."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way of keeping a rule: what is measured, asked and found [mm]; equality keeps it."""

    what: str
    required: int
    actual: int

    @property
    def margin(self) -> int:
        """What is left [mm]."""
        return self.actual - self.required


Measure = Callable[[SizedRule, Spot, Thing], list[Way]]


def terminal_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings of every rule on the terminal that the heater falls under."""
    return place_findings(survey, building, design, Subject.TERMINAL)


def place_findings(survey: Survey, building: Building, design: Design, subject: Subject) -> tuple[Finding, ...]:
    """Findings of every rule on the exhaust's or the intake's terminal; of an intake that is not there, none."""
    place, outlet = _outlet(design, subject)
    if isinstance(place, RoofTerminal):
        return _on_a_roof(survey, building, design, place)
    if place is None:
        return ()
    facade = next((f for f in building.facades if f.id == place.facade_id), None)
    if facade is None:
        fault = f"the house has no facade {place.facade_id}"
        return (stated(f"{subject}.facade", subject, place.facade_id, False, fault),)
    at = facade.point(place.s_mm)
    out = out_from(facade, at, outlet.off_wall_mm)
    spot = Spot(facade, place.s_mm, place.z_mm, outlet.radius_mm, at, out, subject)
    things = (*things_around(survey, building, spot), *over_wall(building, spot))
    found: list[Finding] = []
    for sized in _binding(survey, design.heater, outlet, subject):
        found += _WHOLE.get(sized.rule.relation, _applied)(sized, spot, things)
    return tuple(found)


def _on_a_roof(survey: Survey, building: Building, design: Design, at: RoofTerminal) -> tuple[Finding, ...]:
    """The same rules over a roof, where nothing is said of walls and ground at them; and the heights over the roof."""
    plane = next((p for p in building.roof if p.id == at.roof_id), None)
    if plane is None:
        fault = f"the house has no roof plane {at.roof_id}"
        return (stated("terminal.roof", "terminal", at.roof_id, False, fault),)
    spot = Spot(None, 0, at.z_mm, design.heater.vent.terminal_radius_mm, (at.x_mm, at.y_mm))
    things = (*things_around(survey, building, spot), *roof_things(building, spot))
    found = [*heights_over_roof(survey, building, design, plane, spot), *roof_advice(design, plane)]
    _, outlet = _outlet(design, Subject.TERMINAL)
    for sized in _binding(survey, design.heater, outlet, Subject.TERMINAL):
        if sized.rule.relation == _ON_WALL:
            found += on_roof(building, plane, spot, sized.rule.id, sized.rule.citation)
        elif sized.rule.relation not in _WHOLE:
            found += _applied(sized, spot, things)
    return tuple(found)


def _outlet(design: Design, subject: Subject) -> tuple[Terminal | RoofTerminal | None, Outlet]:
    """Centre of the terminal or flue outlet, or of the intake's terminal, and what else its place depends on."""
    own = design.heater.outlet(design.outdoors)
    if subject is Subject.TERMINAL:
        return design.terminal, own
    intake = design.heater.vent.intake
    return (design.intake, Outlet(own.direct, intake.terminal_radius_mm)) if intake else (None, own)


def _binding(survey: Survey, heater: Heater, outlet: Outlet, subject: Subject) -> Iterator[SizedRule]:
    """Rules that speak of the heater's terminal, flue outlet or intake, what its listing asks beyond the code
    included."""
    site = survey.site
    sized = rule_set(site.rule_set).sized(survey.units, site.amendments, site.measuring, site.spare_mm)
    for s in (*sized, *listed_openings(outlet.openings_mm)):
        applies = s.rule.applies_to(outlet.direct, heater.category.value, heater.input_max_w)
        if applies and s.rule.subject is subject:
            yield s


def _applied(sized: SizedRule, spot: Spot, things: tuple[Thing, ...]) -> list[Finding]:
    """One rule to all its objects; the far ones that keep it are left out, save the nearest."""
    judged = [_judged(sized, spot, t) for t in things if _concerns(sized, spot, t)]
    judged.sort(key=lambda f: _slack(f))
    return [f for i, f in enumerate(judged) if not i or not _far(f)]


def _concerns(sized: SizedRule, spot: Spot, thing: Thing) -> bool:
    rule = sized.rule
    if thing.kind not in rule.objects or (rule.relation == "facing" and not thing.in_front):
        return False
    if thing.kind == "regulator_vent" and not rule.applies_at_pressure(thing.pressure_pa):
        return False
    return not (rule.relation == "above_level" and _is_deck(thing) and spot.top <= thing.z0)


def _is_deck(thing: Thing) -> bool:
    return thing.gated and thing.kind in ("deck_top", "snow")


def _slack(f: Finding) -> tuple[int, str]:
    if f.required_mm is None or f.actual_mm is None:
        return f.actual_mm or 0, f.object_id
    return f.actual_mm - f.required_mm, f.object_id


def _far(f: Finding) -> bool:
    if f.required_mm is None:
        return True
    return f.verdict is Verdict.PASS and (f.actual_mm or 0) > FAR_TIMES * f.required_mm


def _judged(sized: SizedRule, spot: Spot, thing: Thing) -> Finding:
    rule = sized.rule
    if rule.relation == "instructions":
        away, told = _beside(spot, thing), rule.note or "the instructions of the heater decide"
        detail = phrase(f"{told}; {thing.kind} ", mm(away), " away")
        return Finding(rule.id, Verdict.ADVICE, spot.subject, thing.id, detail, None, away, rule.citation)
    best = _best(_MEASURES[rule.relation](sized, spot, thing))
    kept = best.margin >= 0
    missing = "" if kept else _missing(sized, spot, thing)
    verdict = Verdict.PASS if kept else _broken(sized, missing)
    detail = _told(sized, spot, thing, best, kept)
    return Finding(rule.id, verdict, spot.subject, thing.id, detail, best.required, best.actual, rule.citation, missing)


def _best(ways: list[Way]) -> Way:
    """The way that keeps the rule with most to spare; if none does, the one that falls least short, of those on whose
    side the terminal is at all; if it is on none, the one in which the thing is farthest off."""
    kept = [w for w in ways if w.margin >= 0]
    beyond = [w for w in ways if w.actual > 0]
    return max(kept or beyond, key=lambda w: w.margin) if kept or beyond else max(ways, key=lambda w: w.actual)


def _broken(sized: SizedRule, missing: str) -> Verdict:
    if not sized.rule.required or (missing and sized.rule.on_missing == "advice"):
        return Verdict.ADVICE
    return Verdict.UNKNOWN if missing else Verdict.FAIL


def _missing(sized: SizedRule, spot: Spot, thing: Thing) -> str:
    """The unknown fact, as far as it could save the place."""
    rule = sized.rule
    if thing.kind == "regulator_vent" and rule.pressure_over_psi is None and rule.pressure_upto_psi is None:
        return ""
    if rule.relation == "under_open" and thing.z0 - spot.top < sized.distance_mm:
        return ""
    return thing.missing


def _told(sized: SizedRule, spot: Spot, thing: Thing, best: Way, kept: bool) -> Phrase:
    words: list[Detail] = [phrase(f"{thing.kind}: {best.what} ", mm(best.actual), ", ", mm(best.required), " asked")]
    if not kept and sized.rule.relation == BOX and _space(spot, thing) >= _widest(sized):
        words.append(phrase("kept if measured straight, ", mm(_space(spot, thing))))
    if sized.reading and (sized.rule.relation != "radial" or not thing.on_plane):
        words.append(f"interpretation: {sized.reading}")
    if not kept and not sized.rule.required and sized.rule.note:
        words.append(sized.rule.note)
    if sized.amended:
        words.append(f"amended: {sized.amended}")
    return joined("; ", words)


def _widest(sized: SizedRule) -> int:
    return max(sized.beside_mm, sized.below_mm, sized.above_mm)


def _beside(spot: Spot, thing: Thing) -> int:
    """Plan distance from the terminal's edge, rounded down [mm]."""
    return floor_root(thing.plan2) - spot.radius


def _space(spot: Spot, thing: Thing) -> int:
    """Distance in space from the terminal's edge, rounded down [mm]."""
    return floor_root(thing.plan2 + interval_gap(spot.z, spot.z, thing.z0, thing.z1) ** 2) - spot.radius


def _radial(r: SizedRule, spot: Spot, t: Thing) -> list[Way]:
    return [Way("distance", r.distance_mm, _beside(spot, t) if t.in_roof else _space(spot, t))]


def _horizontal(r: SizedRule, spot: Spot, t: Thing) -> list[Way]:
    return [Way("distance in plan", r.distance_mm, _beside(spot, t))]


def _rectangle(r: SizedRule, spot: Spot, t: Thing) -> list[Way]:
    if t.in_roof:
        return [Way("beside", r.beside_mm, _beside(spot, t))]
    ways = [
        Way("beside", r.beside_mm, _beside(spot, t)),
        Way("below", r.below_mm, t.z0 - spot.top),
        Way("above", r.above_mm, spot.lowest - t.z1),
    ]
    return [*ways, Way("string", r.string_mm, _space(spot, t))] if r.string_mm else ways


def _above_inlet(r: SizedRule, spot: Spot, t: Thing) -> list[Way]:
    return [Way("distance in plan", r.gate_mm, _beside(spot, t)), Way("above", r.distance_mm, spot.lowest - t.z1)]


def _above_level(r: SizedRule, spot: Spot, t: Thing) -> list[Way]:
    over = Way("above", r.distance_mm, spot.lowest - t.z1)
    return [over, Way("distance in plan", r.gate_mm, _beside(spot, t))] if t.gated else [over]


def _not_over(r: SizedRule, spot: Spot, t: Thing) -> list[Way]:
    return [Way("distance in plan", r.gate_mm, _beside(spot, t)), Way("below", 0, t.z1 - spot.top)]


def _column(r: SizedRule, spot: Spot, t: Thing) -> list[Way]:
    return [*_not_over(r, spot, t), Way("above", r.above_mm, spot.lowest - t.z1)]


def _under_open(r: SizedRule, spot: Spot, t: Thing) -> list[Way]:
    ways = [Way("distance in plan", r.gate_mm, _beside(spot, t)), Way("over its underside", 0, spot.lowest - t.z0)]
    if (t.open_sides or 0) >= (r.rule.open_sides_min or 0):
        ways.append(Way("under its underside", r.distance_mm, t.z0 - spot.top))
    return ways


def _facing(r: SizedRule, spot: Spot, t: Thing) -> list[Way]:
    return [
        Way("distance in plan", r.distance_mm, _beside(spot, t)),
        Way("above", r.above_mm, spot.lowest - t.z1),
        Way("below", r.below_mm, t.z0 - spot.top),
    ]


def _door_swing(r: SizedRule, spot: Spot, t: Thing) -> list[Way]:
    return [
        Way("distance from the leaf's path", r.distance_mm, _beside(spot, t)),
        Way("below", 0, t.z0 - spot.top),
        Way("above", 0, spot.lowest - t.z1),
    ]


_MEASURES: dict[str, Measure] = {
    "radial": _radial,
    "horizontal": _horizontal,
    "beside_below_above": _rectangle,
    "above_inlet_within": _above_inlet,
    "above_level": _above_level,
    "not_over": _not_over,
    "column": _column,
    "under_open": _under_open,
    "facing": _facing,
    "door_swing": _door_swing,
}


def _said(sized: SizedRule, spot: Spot, _things: tuple[Thing, ...]) -> list[Finding]:
    """What a person has to look at: nothing that a survey tells."""
    rule, wall = sized.rule, facade_of(spot).id
    return [Finding(rule.id, Verdict.ADVICE, spot.subject, wall, rule.note, citation=rule.citation)]


def _kept_on_record(_sized: SizedRule, _spot: Spot, _things: tuple[Thing, ...]) -> list[Finding]:
    return []


def _whole_wall(sized: SizedRule, spot: Spot, _things: tuple[Thing, ...]) -> list[Finding]:
    return [on_wall(sized, spot)]


_ON_WALL = "on_wall"
_WHOLE: dict[str, Callable[[SizedRule, Spot, tuple[Thing, ...]], list[Finding]]] = {
    _ON_WALL: _whole_wall,
    "advice": _said,
    "record": _kept_on_record,
}
"""Relations that are not measured thing by thing."""
