"""Surfaces that a run may be fastened to, and where it may pass from one to the next.

The sheet model: runs lie on wall faces, on ceilings (under or between the joists) and in chases.
Leaving a sheet for the room behind a wall or above a ceiling is a crossing with a price of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

import shapely

from service.building.model import Behind, Building, BuiltRoom, Facade, Face, Prism
from service.building.outline import shape_of
from service.design import Surface
from service.errors import LimitExceeded
from service.survey.model import Point2

FIRST_SKEW_AXIS = 3
MOST_SKEW_DIRECTIONS = 12
_ROUNDING_MM = 1e-6


@dataclass(frozen=True, slots=True)
class WallSheet:
    """A wall face as a sheet. Along an axis-parallel face the coordinate ``c`` is x or y itself."""

    index: int
    face: Face
    room: int
    axis: int
    surface: Surface

    @property
    def is_skew(self) -> bool:
        """Whether the wall is not parallel to the frame."""
        return self.axis >= FIRST_SKEW_AXIS

    @property
    def normal_axis(self) -> int:
        """Axis square to an axis-parallel wall."""
        return 1 - self.axis

    @property
    def plane(self) -> int:
        """Fixed coordinate of an axis-parallel wall [mm]."""
        return self.face.start[self.normal_axis]

    @property
    def span(self) -> tuple[int, int]:
        """Least and greatest coordinate along the wall [mm]; (0, length) if skew."""
        if self.is_skew:
            return 0, self.face.length_mm
        a, b = self.face.start[self.axis], self.face.end[self.axis]
        return min(a, b), max(a, b)

    def coordinate(self, s: int) -> int:
        """Distance along the face -> coordinate [mm]."""
        if self.is_skew:
            return s
        a, b = self.face.start[self.axis], self.face.end[self.axis]
        return a + s if b > a else a - s

    def distance(self, c: int) -> int:
        """Coordinate -> distance along the face [mm]."""
        return c if self.is_skew else abs(c - self.face.start[self.axis])

    def point(self, c: int) -> Point2:
        """Plan point at coordinate ``c``."""
        if self.is_skew:
            return self.face.point(c)
        return (c, self.plane) if self.axis == 0 else (self.plane, c)


@dataclass(frozen=True, slots=True)
class CeilingSheet:
    """The ceiling of a room as a sheet at ``room.ceiling_z``."""

    room_index: int
    room: BuiltRoom
    surface: Surface


@dataclass(frozen=True, slots=True)
class WallCrossing:
    """Back-to-back part of two axis-parallel walls: coordinates [c0, c1], heights [z0, z1] [mm]."""

    a: WallSheet
    b: WallSheet
    c0: int
    c1: int
    z0: int
    z1: int


@dataclass(frozen=True, slots=True)
class FloorCrossing:
    """Wall of the room above that stands over the ceiling of a room below: parts of it, from and to along it [mm]."""

    below: CeilingSheet
    above: WallSheet
    spans: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class OuterCrossing:
    """Part [s0, s1] of a wall that stands outdoors, and the facade before it: where the pipes of a heater hung there
    come in. ``facade_index`` is the facade's place in the building; ``shift`` is its distance less the wall's [mm];
    ``rooms`` is how many the house has."""

    wall: WallSheet
    s0: int
    s1: int
    facade: Facade
    facade_index: int
    shift: int
    rooms: int

    def is_outside(self, p: Point2) -> bool:
        """Whether a plan point lies on the facade's line or before it; facades run with the house at their left."""
        (ax, ay), (bx, by) = self.facade.start, self.facade.end
        return (bx - ax) * (p[1] - ay) <= (by - ay) * (p[0] - ax)


@dataclass(frozen=True, slots=True)
class Sheets:
    """All surfaces of a house and their links."""

    walls: tuple[WallSheet, ...]
    ceilings: tuple[CeilingSheet, ...]
    wall_crossings: tuple[WallCrossing, ...]
    floor_crossings: tuple[FloorCrossing, ...]
    chases: tuple[Prism, ...]
    outer_crossings: tuple[OuterCrossing, ...] = ()


def sheets_of(building: Building) -> Sheets:
    """Every sheet and crossing of a house."""
    walls = _walls(building)
    ceilings = tuple(
        CeilingSheet(i, r, Surface.CEILING_FINISHED if r.finished else Surface.CEILING)
        for i, r in enumerate(building.rooms)
    )
    crossings = _wall_crossings(walls), _floor_crossings(walls, ceilings)
    return Sheets(walls, ceilings, *crossings, building.chases, _outer_crossings(building, walls))


def _outer_crossings(building: Building, walls: tuple[WallSheet, ...]) -> tuple[OuterCrossing, ...]:
    facades, rooms = {f.id: (i, f) for i, f in enumerate(building.facades)}, len(building.rooms)
    stretches = ((w, t) for w in walls for t in w.face.stretches if t.behind is Behind.OUTDOORS)
    outer = ((w, t, *facades[t.facade_id]) for w, t in stretches if t.facade_id is not None)
    return tuple(OuterCrossing(w, t.s0, t.s1, f, i, t.facade_s0 - t.s0, rooms) for w, t, i, f in outer)


def _walls(building: Building) -> tuple[WallSheet, ...]:
    rooms = {r.id: i for i, r in enumerate(building.rooms)}
    directions: dict[tuple[int, int], int] = {}
    out = []
    for i, face in enumerate(building.faces):
        room = rooms[face.room_id]
        surface = Surface.WALL_FINISHED if building.rooms[room].finished else Surface.WALL
        out.append(WallSheet(i, face, room, _axis(face, directions), surface))
    return tuple(out)


def _axis(face: Face, directions: dict[tuple[int, int], int]) -> int:
    if face.axis is not None:
        return face.axis
    dx, dy = face.end[0] - face.start[0], face.end[1] - face.start[1]
    turned = (dx, dy) if (dx, dy) > (0, 0) else (-dx, -dy)
    key = (round(1000 * turned[0] / face.length_mm), round(1000 * turned[1] / face.length_mm))
    if key not in directions and len(directions) == MOST_SKEW_DIRECTIONS:
        raise LimitExceeded("skew_wall_directions", MOST_SKEW_DIRECTIONS + 1, MOST_SKEW_DIRECTIONS)
    return directions.setdefault(key, FIRST_SKEW_AXIS + len(directions))


def _wall_crossings(walls: tuple[WallSheet, ...]) -> tuple[WallCrossing, ...]:
    by_face = {w.face.id: w for w in walls}
    out = []
    for a in walls:
        for stretch in a.face.stretches:
            b = by_face.get(stretch.face_id or "")
            if stretch.behind is not Behind.ROOM or b is None or a.is_skew or b.axis != a.axis or a.index > b.index:
                continue
            ends = sorted((a.coordinate(stretch.s0), a.coordinate(stretch.s1)))
            c0, c1 = max(ends[0], b.span[0]), min(ends[1], b.span[1])
            z0, z1 = max(a.face.z0, b.face.z0), min(a.face.z1, b.face.z1)
            if c0 < c1 and z0 < z1:
                out.append(WallCrossing(a, b, c0, c1, z0, z1))
    return tuple(out)


def _floor_crossings(walls: tuple[WallSheet, ...], ceilings: tuple[CeilingSheet, ...]) -> tuple[FloorCrossing, ...]:
    storeys: dict[int, list[CeilingSheet]] = {}
    for c in ceilings:
        storeys.setdefault(c.room.storey, []).append(c)
    return tuple(
        FloorCrossing(below, w, _spans_over(below.room.outline, w))
        for w in walls
        if not w.is_skew
        for below in storeys.get(w.face.storey - 1, [])
        if below.room.ceiling_z <= w.face.z0 and _boxes_meet(below.room.outline, w)
    )


def _spans_over(outline: tuple[Point2, ...], wall: WallSheet) -> tuple[tuple[int, int], ...]:
    """Parts of a straight wall that stand over an outline, its edges included, from and to in whole millimetres."""
    line = shapely.LineString([wall.point(c) for c in wall.span])
    parts = shapely.get_parts(shapely.intersection(line, shape_of(outline)))
    bounds = (part.bounds for part in parts if not part.is_empty)
    ends = ((b[wall.axis], b[wall.axis + 2]) for b in bounds)
    return tuple(sorted((ceil(a - _ROUNDING_MM), floor(b + _ROUNDING_MM)) for a, b in ends))


def _boxes_meet(outline: tuple[Point2, ...], wall: WallSheet) -> bool:
    along = [p[wall.axis] for p in outline]
    square = [p[wall.normal_axis] for p in outline]
    return min(along) <= wall.span[1] and wall.span[0] <= max(along) and min(square) <= wall.plane <= max(square)
