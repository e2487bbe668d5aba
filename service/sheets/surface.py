"""A facade seen from outside, or a roof plane from above: what it is made of, where no terminal may be, and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapely import Polygon, box, unary_union
from shapely.geometry.base import BaseGeometry

from service.building.model import Facade
from service.building.roof_model import RoofPlane
from service.clearance.model import Zone
from service.clearance.objects import Thing, things
from service.clearance.plane import facade_plane
from service.clearance.regions import zone_shape
from service.design import Finding
from service.phrases import text
from service.rules.rulesets import SizedRule, rule_set
from service.sheets.hatching import face_of
from service.sheets.model import Area, Item, KeyRow, Label, Layer, Line, Mark, Point, Ring, Symbol
from service.sheets.subject import Subject
from service.siting.holes import HOLE_RULE
from service.survey.model import OpeningKind
from service.usecases.pictured import TOGETHER
from service.usecases.results import SurfaceRegions

REACH_MM = 1500.0
"""How far before a facade a thing is still drawn on it [mm]."""
MOST_NUMBERS = 60
"""More numbers than this on one drawing help nobody."""
_ALIKE = ("WALL", HOLE_RULE)
"""Rules that take many small pieces all along a wall: one number for all of them."""
_OPENS = {True: "opens", False: "fixed", None: "taken as opening"}
Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Numbered:
    """All zones of one rule about one thing (about all, where they are alike), with their number on the drawing."""

    number: str
    rule_id: str
    object_id: str
    shape: BaseGeometry


def wall_of(surface: Facade | RoofPlane) -> BaseGeometry:
    """The area itself without its openings, in its own coordinates [mm]."""
    if isinstance(surface, RoofPlane):
        return Polygon(surface.outline)
    holes = unary_union([box(h.s0, h.z0, h.s1, h.z1) for h in surface.holes])
    return unary_union([box(s0, z0, s1, z1) for s0, s1, z0, z1 in surface.spans]).difference(holes)


def rings_of(shape: BaseGeometry) -> tuple[Ring, ...]:
    """Outlines and holes of an area; what has none is left out."""
    parts = (p for p in getattr(shape, "geoms", [shape]) if isinstance(p, Polygon) and not p.is_empty)
    return tuple(tuple((x, y) for x, y in r.coords[:-1]) for p in parts for r in (p.exterior, *p.interiors))


def closed_parts(surface: Facade | RoofPlane, regions: SurfaceRegions) -> Iterator[Item]:
    """The wall, and what of it is closed to a terminal's centre."""
    wall = wall_of(surface)
    closed = wall.difference(face_of(regions.free_rings).buffer(0.01))
    for part in getattr(closed, "geoms", [closed]):
        if rings := rings_of(part):
            yield Area(rings, Layer.FORBIDDEN)
    yield from (Line(ring, Layer.OUTLINE, closed=True) for ring in rings_of(wall))


def openings(facade: Facade, named: bool = True, pane: Bounds | None = None) -> Iterator[Item]:
    """Windows and doors, with what is known of their opening; names stand in what a window shows (None: all)."""
    for hole in facade.holes:
        ring = ((hole.s0, hole.z0), (hole.s1, hole.z0), (hole.s1, hole.z1), (hole.s0, hole.z1))
        yield Area((ring,), Layer.OPENING, covers=True)
        if hole.kind is OpeningKind.WINDOW:
            yield Line((ring[0], ring[2]), Layer.OPENING)
            yield Line((ring[1], ring[3]), Layer.OPENING)
        seen = box(hole.s0, hole.z0, hole.s1, hole.z1).intersection(box(*pane) if pane else box(*wall_box(facade)))
        if named and seen.area:
            x0, y0, x1, y1 = seen.bounds
            how = (_OPENS[hole.operable],) if hole.kind is OpeningKind.WINDOW else ()
            middle, half = ((x0 + x1) / 2, (y0 + y1) / 2), ((x1 - x0) / 2, (y1 - y0) / 2)
            yield Label(middle, (hole.opening_id, *how), Layer.OPENING, half)


def wall_box(facade: Facade) -> Bounds:
    """Box round a facade's wall and openings [mm]."""
    spans = facade.spans
    return min(s[0] for s in spans), min(s[2] for s in spans), max(s[1] for s in spans), max(s[3] for s in spans)


def ground(facade: Facade) -> Iterator[Item]:
    """The highest finished ground along it."""
    for step in facade.grade:
        yield Line(((step.s0, step.z), (step.s1, step.z)), Layer.GRADE)


def things_before(subject: Subject, facade: Facade) -> Iterator[Item]:
    """What else rules speak of, in the facade or close before it: inlets, regulators, decks, eaves, ways."""
    for thing in things(subject.building, subject.survey):
        if not thing.kinds & {"door", "window_operable", "window_fixed", "door_swing", "neighbour_opening", "snow"}:
            yield from _thing(facade, thing)


def _thing(facade: Facade, thing: Thing) -> Iterator[Item]:
    plane = facade_plane(facade)
    placed = [plane.place(p) for p in thing.points]
    s0, s1 = min(s for s, _ in placed), max(s for s, _ in placed)
    n0, n1 = min(n for _, n in placed), max(n for _, n in placed)
    wall = wall_of(facade).bounds
    if n0 > REACH_MM or n1 < -REACH_MM / 3 or s1 < 0 or s0 > facade.length_mm or thing.z1 - thing.z0 > 2 * REACH_MM:
        return
    s0, s1, z0, z1 = max(s0, 0), min(s1, facade.length_mm), max(thing.z0, wall[1]), min(thing.z1, wall[3])
    if s1 - s0 < 1 and z1 - z0 < 1:
        yield Mark((s0, z0), Symbol.POINT, Layer.THING)
    elif z1 - z0 < 1 or s1 - s0 < 1:
        yield Line(((s0, z0), (s1, z1)), Layer.THING)
    else:
        yield Line(((s0, z0), (s1, z0), (s1, z1), (s0, z1)), Layer.THING, closed=True)
    kind = "/".join(sorted(k.replace("_", " ") for k in thing.kinds))
    yield Label(((s0 + s1) / 2, (z0 + z1) / 2), (thing.id, kind), Layer.THING)


def numbered(wall: BaseGeometry, zones: Sequence[Zone]) -> tuple[Numbered, ...]:
    """Zones that reach the wall, rule by rule and thing by thing, or where those are too many rule by rule alone."""
    shapes = [(z.rule_id, z.object_id, zone_shape(z, wall.bounds).intersection(wall)) for z in zones]
    seen = [(rule, "" if rule in _ALIKE else thing, shape) for rule, thing, shape in shapes if shape.area]
    if len({(rule, thing) for rule, thing, _ in seen}) > MOST_NUMBERS:
        seen = [(rule, "", shape) for rule, _, shape in seen]
    groups: dict[tuple[str, str], list[BaseGeometry]] = {}
    for rule, thing, shape in seen:
        groups.setdefault((rule, thing), []).append(shape)
    merged = [(key, unary_union(parts)) for key, parts in sorted(groups.items())]
    return tuple(Numbered(str(n), *key, shape) for n, (key, shape) in enumerate(merged, 1))


def zone_items(found: Sequence[Numbered], pane: Bounds | None) -> Iterator[Item]:
    """Edge and number of each zone that shows in a window (None: all)."""
    seen = [(n, n.shape if pane is None else n.shape.intersection(box(*pane))) for n in found]
    for n, shape in seen:
        if shape.is_empty or not shape.area:
            continue
        yield from (Line(ring, Layer.ZONE, closed=True) for ring in rings_of(shape))
        yield Label(_own_point(n, shape, seen), (n.number,), Layer.ZONE)


def _own_point(n: Numbered, shape: BaseGeometry, seen: Sequence[tuple[Numbered, BaseGeometry]]) -> Point:
    """A point that no other zone holds, if there is any."""
    own = shape.difference(unary_union([s for other, s in seen if other is not n and s.intersects(shape)]))
    at = (own if own.area > shape.area / 50 else shape).representative_point()
    return at.x, at.y


def zone_rows(subject: Subject, findings: Sequence[Finding], found: Sequence[Numbered]) -> tuple[KeyRow, ...]:
    """What each number means: rule, thing, and what is asked and kept, as far as it was measured."""
    site = subject.survey.site
    sized = {s.rule.id: s for s in rule_set(site.rule_set).sized(subject.survey.units, site.amendments, site.measuring)}
    return tuple(KeyRow(n.number, _zone_words(subject, findings, n, sized.get(n.rule_id))) for n in found)


def _zone_words(subject: Subject, findings: Sequence[Finding], zone: Numbered, rule: SizedRule | None) -> str:
    say = subject.say
    thing = f", {zone.object_id}" if zone.object_id else ""
    finding = _finding_of(findings, zone)
    if finding is not None and finding.required_mm is not None and finding.actual_mm is not None:
        return f"{zone.rule_id}{thing}: asks {say(finding.required_mm)}, has {say(finding.actual_mm)}"
    if zone.rule_id in TOGETHER:
        return f"{zone.rule_id}{thing}: {TOGETHER[zone.rule_id]}"
    asked = [] if rule is None else _asked(rule, subject)
    told = f"asks {', '.join(asked)}" if asked else _of_others(subject, findings, zone)
    return f"{zone.rule_id}{thing}{': ' if told else ''}{told}"


def _of_others(subject: Subject, findings: Sequence[Finding], zone: Numbered) -> str:
    """What the same rule asks of other things, if that is one distance, or what was found of it."""
    same = [f for f in findings if f.rule_id == zone.rule_id]
    asked = {f.required_mm for f in same}
    (one,) = asked if len(asked) == 1 else (None,)
    if one is not None:
        return f"asks {subject.say(one)}"
    return next((text(f.detail, subject.survey.units) for f in same if f.required_mm is None), "")


def _finding_of(findings: Sequence[Finding], zone: Numbered) -> Finding | None:
    """What the checker measured of this rule to this thing; of things that bear the facade's name too."""
    mine = [f for f in findings if f.rule_id == zone.rule_id and f.subject in ("terminal", "vent", "mount")]
    exact = [f for f in mine if f.object_id == zone.object_id]
    return next(iter(exact or (mine if zone.object_id in ("", "grade") else [])), None)


def _asked(rule: SizedRule, subject: Subject) -> list[str]:
    told = (("", rule.distance_mm), ("beside ", rule.beside_mm), ("below ", rule.below_mm), ("above ", rule.above_mm))
    return [f"{way}{subject.say(mm)}" for way, mm in told if mm]
