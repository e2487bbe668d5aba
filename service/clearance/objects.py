"""Things near a house from which a vent terminal must keep away, all in the building's frame."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from service.building.model import Building, Facade, Frame, Hole
from service.building.roof_model import BuiltRoofOpening
from service.clearance.model import FAR_MM
from service.clearance.plane import Plane, facade_plane
from service.rules.rulesets import INLET_REACH_MM
from service.survey.model import (
    AirInlet,
    Deck,
    InletKind,
    NeighbourWall,
    Opening,
    OpeningKind,
    Point2,
    Regulator,
    Survey,
    Way,
)
from service.survey.roof import RoofOpeningKind

_INLETS = {
    InletKind.FORCED: "forced_inlet",
    InletKind.GRAVITY: "gravity_inlet",
    InletKind.COMBUSTION: "combustion_inlet",
}


@dataclass(frozen=True, slots=True)
class Thing:
    """One object of a rule: plan points of its outline, height range, and what rules ask of it.

    ``facade_id`` and [s0, s1] if it lies in the plane of a facade. ``kinds`` are words of rules.rulesets.
    """

    id: str
    kinds: frozenset[str]
    points: tuple[Point2, ...]
    z0: int
    z1: int
    facade_id: str | None = None
    s0: int = 0
    s1: int = 0
    pressure_pa: float | None = None
    open_sides: int | None = None


def things(building: Building, survey: Survey) -> tuple[Thing, ...]:
    """Everything around the house that a rule may speak of, sorted by id and place. Grade is not among it."""
    site, frame = survey.site, building.frame
    swings_out = {o.id: o.swings_out for storey in survey.storeys for o in storey.openings}
    found: list[Thing] = []
    for facade in building.facades:
        for hole in facade.holes:
            found += _of_hole(facade, hole, _swings(hole, swings_out.get(hole.opening_id)))
    found += [_inlet(building, i) for i in site.air_inlets]
    found += [_regulator(frame, r) for r in site.regulators]
    found += [t for d in site.decks for t in _deck(frame, d, site.snow_depth_mm)]
    found += [_way(frame, w) for w in site.ways]
    found += [t for w in site.neighbour_walls for t in _neighbour(frame, w)]
    found += [
        Thing(x.id, frozenset({"lot_line"}), _framed(frame, (x.start, x.end)), -FAR_MM, FAR_MM) for x in site.lot_lines
    ]
    return tuple(sorted(found, key=lambda t: (t.id, sorted(t.kinds), t.points, t.z0, t.z1)))


def in_roof(building: Building) -> tuple[Thing, ...]:
    """What opens in the roof."""
    return tuple(
        Thing(o.id, frozenset({_roof_kind(o)}), o.outline, o.low_z, o.top_z) for o in building.roof_openings
    )


def _roof_kind(o: BuiltRoofOpening) -> str:
    if o.kind is RoofOpeningKind.SKYLIGHT:
        return "window_fixed" if o.operable is False else "window_operable"
    return "door" if o.kind is RoofOpeningKind.HATCH else o.kind.value


def _swings(hole: Hole, swings_out: bool | None) -> bool:
    """Whether a leaf may swing outwards: a door's unless known not to, a garage door's only if known to."""
    if hole.kind is OpeningKind.DOOR:
        return swings_out is not False
    return hole.kind is OpeningKind.GARAGE_DOOR and swings_out is True


def _of_hole(facade: Facade, hole: Hole, swings: bool) -> Iterator[Thing]:
    plane = facade_plane(facade)
    kinds = frozenset({_opening_kind(hole.kind, hole.operable)})
    ends = (plane.point(hole.s0, 0), plane.point(hole.s1, 0))
    yield Thing(hole.opening_id, kinds, ends, hole.z0, hole.z1, facade.id, hole.s0, hole.s1)
    if swings:
        path = _swing_path(plane, hole)
        yield Thing(hole.opening_id, frozenset({"door_swing"}), path, hole.z0, hole.z1)


def _swing_path(plane: Plane, hole: Hole) -> tuple[Point2, ...]:
    leaf = hole.s1 - hole.s0
    corners = ((hole.s0 - leaf, 0), (hole.s1 + leaf, 0), (hole.s1 + leaf, leaf), (hole.s0 - leaf, leaf))
    return tuple(plane.point(s, n) for s, n in corners)


def _opening_kind(kind: OpeningKind, operable: bool | None) -> str:
    if kind is not OpeningKind.WINDOW:
        return "door"
    return "window_fixed" if operable is False else "window_operable"


def _inlet(building: Building, inlet: AirInlet) -> Thing:
    at = building.frame.to_frame(inlet.at)
    kinds, z = frozenset({_INLETS[inlet.kind]}), (inlet.bottom_z_mm, inlet.top_z_mm)
    low, high = inlet.width_mm // 2, inlet.width_mm - inlet.width_mm // 2
    facade, s = _facade_at(building, at)
    if facade is None:
        square = ((-low, -low), (high, -low), (high, high), (-low, high))
        return Thing(inlet.id, kinds, tuple((at[0] + x, at[1] + y) for x, y in square), *z)
    plane = facade_plane(facade)
    ends = (plane.point(s - low, 0), plane.point(s + high, 0))
    return Thing(inlet.id, kinds, ends, *z, facade.id, s - low, s + high)


def _facade_at(building: Building, at: Point2) -> tuple[Facade | None, int]:
    """Facade nearest to a plan point within reach of an inlet, and s of its nearest place [mm]."""
    placed = [(f, *facade_plane(f).place(at)) for f in building.facades]
    near = [(max(-s, s - f.length_mm, 0) ** 2 + n * n, f.id, f, round(s)) for f, s, n in placed]
    square, _, facade, s = min(near, default=(float("inf"), "", None, 0))
    return (facade, s) if square <= INLET_REACH_MM**2 else (None, 0)


def _regulator(frame: Frame, regulator: Regulator) -> Thing:
    x, y, z = frame.to_frame3(regulator.at)
    kinds = frozenset({"regulator_vent"})
    return Thing(regulator.id, kinds, ((x, y),), z, z, pressure_pa=regulator.inlet_pressure_pa)


def _deck(frame: Frame, deck: Deck, snow_mm: int) -> Iterator[Thing]:
    outline = _framed(frame, deck.outline)
    if deck.is_eave:
        kind = "eave_unvented" if deck.vented is False else "eave_vented"
        yield Thing(deck.id, frozenset({kind}), outline, deck.underside_z_mm, deck.top_z_mm)
        return
    yield Thing(deck.id, frozenset({"deck_top"}), outline, deck.underside_z_mm, deck.top_z_mm)
    under = frozenset({"deck_underside"})
    yield Thing(deck.id, under, outline, deck.underside_z_mm, deck.top_z_mm, open_sides=deck.open_sides)
    if snow_mm:
        yield Thing(deck.id, frozenset({"snow"}), outline, deck.underside_z_mm, deck.top_z_mm + snow_mm)


def _way(frame: Frame, way: Way) -> Thing:
    return Thing(way.id, frozenset({way.kind.value}), _framed(frame, way.outline), way.surface_z_mm, way.surface_z_mm)


def _neighbour(frame: Frame, wall: NeighbourWall) -> Iterator[Thing]:
    line = _framed(frame, (wall.start, wall.end))
    yield Thing(wall.id, frozenset({"neighbour_wall"}), line, wall.base_z_mm, wall.top_z_mm)
    for o in wall.openings:
        yield _neighbour_opening(frame, o)


def _neighbour_opening(frame: Frame, opening: Opening) -> Thing:
    kind = _opening_kind(opening.kind, opening.operable)
    kinds = {kind} if kind == "window_fixed" else {kind, "neighbour_opening"}
    points = _framed(frame, (opening.start, opening.end))
    return Thing(opening.id, frozenset(kinds), points, opening.sill_z_mm, opening.head_z_mm)


def _framed(frame: Frame, points: Iterable[Point2]) -> tuple[Point2, ...]:
    return tuple(frame.to_frame(p) for p in points)
