"""What stands around a terminal, each thing with its plan distance from the terminal's centre.

Distances are squares in exact arithmetic [mm2]: along the wall on the terminal's own facade, on the
unfolded walls round an outside corner, else straight.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from service.building.model import Building, Facade
from service.check.leaves import swept
from service.check.measure import (
    along_mm,
    interval_gap,
    point_segment_gap2,
    segment_outline_gap2,
    segments_gap2,
    side,
)
from service.rules.rule import Subject
from service.rules.rulesets import INLET_REACH_MM
from service.survey.model import AirInlet, Deck, InletKind, Opening, OpeningKind, Point2, Survey, Way

EVERYWHERE_MM = 10_000_000
CORNER_MM = 2
"""Ends of two facades this near are one corner: both are rounded [mm]."""
INLETS = {
    InletKind.FORCED: "forced_inlet", InletKind.GRAVITY: "gravity_inlet", InletKind.COMBUSTION: "combustion_inlet",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Spot:
    """Terminal in numbers: its facade, distance along, height, radius, plan point, and the point before the wall up to
    which a flue outlet outdoors may be (None: the plan point) [mm]; what findings call it.

    On a roof it has no facade: there it is a level disc, as high at its rim as in its middle.
    """

    facade: Facade | None
    s: int
    z: int
    radius: int
    point: Point2
    out: Point2 | None = None
    subject: Subject = Subject.TERMINAL

    @property
    def far(self) -> Point2:
        """The point farthest before the wall that it may be at [mm]."""
        return self.out or self.point

    @property
    def top(self) -> int:
        """Highest point of the terminal [mm]."""
        return self.z + (self.radius if self.facade else 0)

    @property
    def lowest(self) -> int:
        """Lowest point of the terminal [mm]."""
        return self.z - (self.radius if self.facade else 0)


@dataclass(frozen=True, slots=True)
class Thing:
    """An object that rules speak of: squared plan distance, height range, and what is not known of it.

    ``on_plane`` marks things on the terminal's own wall, ``in_front`` those beyond its plane.
    ``missing`` names an unknown fact without which the thing might not count. ``gated`` marks ground
    that binds only where the terminal is near it in plan, ``in_roof`` what opens in the roof.
    """

    kind: str
    id: str
    plan2: Fraction
    z0: int
    z1: int
    on_plane: bool = False
    in_front: bool = False
    missing: str = ""
    pressure_pa: float | None = None
    open_sides: int | None = None
    gated: bool = False
    in_roof: bool = False


def things_around(survey: Survey, building: Building, spot: Spot) -> tuple[Thing, ...]:
    """Everything that a rule may measure to, in a fixed order."""
    found: list[Thing] = []
    for part in (_own_openings, _inlets, _regulators, _ways, _decks, _neighbours, _lot_lines, _door_swings):
        found += part(survey, building, spot)
    if spot.facade is not None:
        found += [*_ground(survey, spot, spot.facade), *_corners(building, spot, spot.facade)]
    return tuple(found)


def _own_openings(survey: Survey, building: Building, spot: Spot) -> Iterator[Thing]:
    for facade in building.facades:
        for h in facade.holes:
            kind, missing = _opening_kind(h.opening_id, h.kind, h.operable)
            thing = Thing(kind, h.opening_id, Fraction(0), h.z0, h.z1, missing=missing)
            yield _on_facade(spot, facade, (h.s0, h.s1), thing)


def _opening_kind(opening_id: str, kind: OpeningKind, operable: bool | None) -> tuple[str, str]:
    if kind is not OpeningKind.WINDOW:
        return "door", ""
    if operable is False:
        return "window_fixed", ""
    return "window_operable", "" if operable else f"whether {opening_id} opens"


def _on_facade(spot: Spot, facade: Facade, s: tuple[int, int], thing: Thing) -> Thing:
    """The thing with its plan distance, lying at s on a facade."""
    ends = facade.point(s[0]), facade.point(s[1])
    own = _is_own(spot, facade)
    if own:
        plan2 = Fraction(interval_gap(spot.s, spot.s, *s) ** 2)
    else:
        unfolded = _unfolded_mm(spot, facade, s)
        straight = segments_gap2(spot.point, spot.far, *ends)
        plan2 = straight if unfolded is None else Fraction(unfolded**2)
    return _with(thing, plan2, own, is_ahead(spot, ends) and not own)


def _is_own(spot: Spot, facade: Facade) -> bool:
    """Whether the terminal is on this facade."""
    return spot.facade is not None and facade.id == spot.facade.id


def _with(t: Thing, plan2: Fraction, on_plane: bool, in_front: bool) -> Thing:
    return replace(t, plan2=plan2, on_plane=on_plane, in_front=in_front)


def _unfolded_mm(spot: Spot, other: Facade, s: tuple[int, int]) -> int | None:
    """Distance along both walls round their common outside corner, None if they have none [mm]."""
    own = spot.facade
    if own is None:
        return None
    if s[0] >= 0 and _outside_corner(own, other):
        return own.length_mm - spot.s + s[0]
    if s[1] <= other.length_mm and _outside_corner(other, own):
        return spot.s + other.length_mm - s[1]
    return None


def _outside_corner(before: Facade, after: Facade) -> bool:
    """Whether two walls meet in an edge that a string can be laid round at every height they have."""
    return (
        _near(before.end, after.start)
        and _turn(before, after) > 0
        and _stands_whole(before, before.length_mm)
        and _stands_whole(after, 0)
    )


def _near(a: Point2, b: Point2) -> bool:
    return max(abs(a[0] - b[0]), abs(a[1] - b[1])) <= CORNER_MM


def _turn(a: Facade, b: Facade) -> int:
    (ax, ay), (bx, by) = ((f.end[0] - f.start[0], f.end[1] - f.start[1]) for f in (a, b))
    return ax * by - ay * bx


def _stands_whole(facade: Facade, s: int) -> bool:
    """Whether the wall at its end ``s`` has every height that it has anywhere."""
    cuts = sorted({z for span in facade.spans for z in span[2:]})
    return all(
        any(q[0] <= s <= q[1] and q[2] <= z0 and z1 <= q[3] for q in facade.spans)
        for z0, z1 in pairwise(cuts)
        if any(q[2] <= z0 and z1 <= q[3] for q in facade.spans)
    )


def _inlets(survey: Survey, building: Building, spot: Spot) -> Iterator[Thing]:
    for inlet in survey.site.air_inlets:
        thing = Thing(INLETS[inlet.kind], inlet.id, Fraction(0), inlet.bottom_z_mm, inlet.top_z_mm)
        yield _inlet_at(building, spot, inlet, thing)


def _inlet_at(building: Building, spot: Spot, inlet: AirInlet, thing: Thing) -> Thing:
    at, low = building.frame.to_frame(inlet.at), inlet.width_mm // 2
    high = inlet.width_mm - low
    facade = min(building.facades, key=lambda f: (point_segment_gap2(at, f.start, f.end), f.id))
    if point_segment_gap2(at, facade.start, facade.end) <= INLET_REACH_MM**2:
        s = along_mm(facade, at)
        return _on_facade(spot, facade, (s - low, s + high), thing)
    square = tuple((at[0] + dx, at[1] + dy) for dx, dy in ((-low, -low), (high, -low), (high, high), (-low, high)))
    return _with(thing, segment_outline_gap2(spot.point, spot.far, square), False, is_ahead(spot, square))


def is_ahead(spot: Spot, points: Iterable[Point2]) -> bool:
    """Whether part of a thing lies in front of the terminal's wall."""
    return spot.facade is not None and any(side(spot.facade, p) < 0 for p in points)


def _regulators(survey: Survey, building: Building, spot: Spot) -> Iterator[Thing]:
    for g in survey.site.regulators:
        at = building.frame.to_frame((g.at[0], g.at[1]))
        plan2 = point_segment_gap2(at, spot.point, spot.far)
        missing = f"inlet pressure of {g.id}" if g.inlet_pressure_pa is None else ""
        yield Thing("regulator_vent", g.id, plan2, g.at[2], g.at[2], missing=missing, pressure_pa=g.inlet_pressure_pa)


def _ground(survey: Survey, spot: Spot, own: Facade) -> Iterator[Thing]:
    under = [g.z for g in own.grade if g.s0 < spot.s + spot.radius and g.s1 > spot.s - spot.radius]
    level = max(under, default=max(g.z for g in own.grade))
    yield Thing("grade", f"grade at {own.id}", Fraction(0), -EVERYWHERE_MM, level)
    if survey.site.snow_depth_mm > 0:
        top = level + survey.site.snow_depth_mm
        yield Thing("snow", f"snow at {own.id}", Fraction(0), -EVERYWHERE_MM, top)


def _ways(survey: Survey, building: Building, spot: Spot) -> Iterator[Thing]:
    for w in survey.site.ways:
        yield Thing(w.kind.value, w.id, _outline2(building, spot, w), w.surface_z_mm, w.surface_z_mm, gated=True)


def _outline2(building: Building, spot: Spot, thing: Way | Deck) -> Fraction:
    return segment_outline_gap2(spot.point, spot.far, tuple(building.frame.to_frame(p) for p in thing.outline))


def _decks(survey: Survey, building: Building, spot: Spot) -> Iterator[Thing]:
    for d in survey.site.decks:
        gap2 = _outline2(building, spot, d)
        if d.is_eave:
            missing = f"whether {d.id} is vented" if d.vented is None else ""
            kind = "eave_unvented" if d.vented is False else "eave_vented"
            yield Thing(kind, d.id, gap2, d.underside_z_mm, d.top_z_mm, missing=missing)
            continue
        missing = f"open sides of {d.id}" if d.open_sides is None else ""
        yield Thing("deck_top", d.id, gap2, d.underside_z_mm, d.top_z_mm, gated=True)
        under = Thing("deck_underside", d.id, gap2, d.underside_z_mm, d.top_z_mm, missing=missing)
        yield replace(under, open_sides=d.open_sides)
        if survey.site.snow_depth_mm > 0:
            snow = d.top_z_mm + survey.site.snow_depth_mm
            yield Thing("snow", f"snow on {d.id}", gap2, d.underside_z_mm, snow, gated=True)


def _neighbours(survey: Survey, building: Building, spot: Spot) -> Iterator[Thing]:
    for n in survey.site.neighbour_walls:
        ends = building.frame.to_frame(n.start), building.frame.to_frame(n.end)
        yield _straight(spot, ends, Thing("neighbour_wall", n.id, Fraction(0), n.base_z_mm, n.top_z_mm))
        for o in n.openings:
            yield from _neighbour_opening(building, spot, o)


def _neighbour_opening(building: Building, spot: Spot, o: Opening) -> Iterator[Thing]:
    ends = building.frame.to_frame(o.start), building.frame.to_frame(o.end)
    kind, missing = _opening_kind(o.id, o.kind, o.operable)
    for name in (kind,) if kind == "window_fixed" else (kind, "neighbour_opening"):
        yield _straight(spot, ends, Thing(name, o.id, Fraction(0), o.sill_z_mm, o.head_z_mm, missing=missing))


def _straight(spot: Spot, ends: tuple[Point2, Point2], thing: Thing) -> Thing:
    return _with(thing, segments_gap2(spot.point, spot.far, *ends), False, is_ahead(spot, ends))


def _lot_lines(survey: Survey, building: Building, spot: Spot) -> Iterator[Thing]:
    for line in survey.site.lot_lines:
        ends = building.frame.to_frame(line.start), building.frame.to_frame(line.end)
        yield _straight(spot, ends, Thing("lot_line", line.id, Fraction(0), -EVERYWHERE_MM, EVERYWHERE_MM))


def _door_swings(survey: Survey, building: Building, spot: Spot) -> Iterator[Thing]:
    """Path of each leaf: one leaf width beyond either jamb and deep, in plan before its facade."""
    swings = {o.id: o.swings_out for st in survey.storeys for o in st.openings}
    for facade in building.facades:
        for h in facade.holes:
            out = swings.get(h.opening_id)
            if h.kind is OpeningKind.WINDOW or out is False or (out is None and h.kind is OpeningKind.GARAGE_DOOR):
                continue
            path = swept(facade, h.s0, h.s1)
            missing = f"whether {h.opening_id} swings out" if out is None else ""
            thing = Thing("door_swing", h.opening_id, Fraction(0), h.z0, h.z1, missing=missing)
            own = _is_own(spot, facade)
            gap = interval_gap(spot.s, spot.s, 2 * h.s0 - h.s1, 2 * h.s1 - h.s0)
            plan2 = Fraction(gap**2) if own else segment_outline_gap2(spot.point, spot.far, path)
            yield _with(thing, plan2, own, not own and is_ahead(spot, path))


def _corners(building: Building, spot: Spot, own: Facade) -> Iterator[Thing]:
    """Vertical edges where the terminal's facade meets another one."""
    z0, z1 = min(q[2] for q in own.spans), max(q[3] for q in own.spans)
    for other in building.facades:
        for before, after, s in ((own, other, own.length_mm), (other, own, 0)):
            turn = _turn(before, after)
            if other.id != own.id and turn and _near(before.end, after.start):
                kind = "corner_out" if turn > 0 else "corner_in"
                yield Thing(kind, f"corner {before.id}/{after.id}", Fraction((spot.s - s) ** 2), z0, z1, on_plane=True)
