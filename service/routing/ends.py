"""Where existing pipes, drains and outlets touch the sheets.

Each end is tied to one point of a sheet by a fixed tail (a stub, an outer wall). A run may end on
any of its service's anchors; an existing straight pipe gives an anchor at every plane it crosses.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import dist

from shapely import LineString

from service.building.model import Behind, Building, BuiltRoom, Stretch
from service.building.outline import shape_of
from service.design import Piece, Surface
from service.routing.keys import OBLIQUE_AXIS
from service.routing.sheets import FIRST_SKEW_AXIS, CeilingSheet, Sheets, WallSheet
from service.routing.turns import elbows
from service.survey.model import Point2, Point3

WALL_REACH_MM = 150
"""An end this near to a wall in plan is taken to sit on it."""
ROUNDING_MM = 1.0
"""A point of a skew wall is rounded to whole millimetres, so it lies off the wall by up to this."""


@dataclass(frozen=True)
class Anchor:
    """Point of a sheet from which a run reaches ``end_id`` over the fixed ``tail``. It is asked anew in each round, so
    what its tail comes to is kept."""

    end_id: str
    room: int
    point: Point3
    tail: tuple[Piece, ...]
    sheet: str
    upstream_mm: int = 0

    @property
    def real(self) -> Point3:
        """The end itself, behind the tail."""
        return self.tail[-1].end if self.tail else self.point

    @cached_property
    def first_axis(self) -> int | None:
        """Axis along which the tail begins, OBLIQUE_AXIS for none of the frame's, None if it has no length."""
        for piece in self.tail:
            moves = [axis for axis in range(FIRST_SKEW_AXIS) if piece.start[axis] != piece.end[axis]]
            if moves:
                return moves[0] if len(moves) == 1 else OBLIQUE_AXIS
        return None

    @cached_property
    def run_mm(self) -> float:
        """Length behind the point: of the tail, and of what there is upstream of it [mm]."""
        return self.upstream_mm + sum(p.length_mm for p in self.tail)

    @cached_property
    def elbows(self) -> int:
        """Changes of direction in the tail."""
        return elbows(self.tail)

    @cached_property
    def parts(self) -> tuple[tuple[Surface, float], ...]:
        """Surface and length [mm] of each piece of the tail."""
        return tuple((p.surface, p.length_mm) for p in self.tail)

    @cached_property
    def ways(self) -> tuple[bool, bool]:
        """Whether a piece of the tail goes up, and whether one goes down."""
        rises = [p.end[2] - p.start[2] for p in self.tail]
        return max(rises, default=0) > 0, min(rises, default=0) < 0


@dataclass(frozen=True, slots=True)
class AnchorLine:
    """Existing straight pipe seen on one sheet: anchors at every plane between two points."""

    end_id: str
    a: Anchor
    b: Anchor

    @property
    def axis(self) -> int | None:
        """Axis along which the pipe runs on its sheet, None if it is oblique or a point."""
        moves = [i for i in range(3) if self.a.point[i] != self.b.point[i]]
        return moves[0] if len(moves) == 1 else None


def anchors_at(
    building: Building, sheets: Sheets, end_id: str, at: Point3, walls_only: bool = False
) -> tuple[Anchor, ...]:
    """Tie a point in the frame to the nearest sheet of every room that it lies in or on the edge of.

    In a room: its wall if within ``WALL_REACH_MM`` or nearer than the ceiling, else its ceiling.
    Outside every room, or farther above or below one than from a wall: the nearest wall, through it if it is an outer
    wall.
    """
    rooms = _rooms_at(building, at)
    if not rooms or _is_nearer_to_a_wall(sheets, at, _height_miss(building.rooms[rooms[0]], at[2])):
        return (_outside_rooms(building, sheets, end_id, at),)
    return tuple(_in_room(sheets, room, end_id, at, walls_only) for room in rooms)


def _in_room(sheets: Sheets, room: int, end_id: str, at: Point3, walls_only: bool) -> Anchor:
    wall, gap = _nearest_wall([w for w in sheets.walls if w.room == room], at)
    ceiling = sheets.ceilings[room]
    if walls_only or gap <= WALL_REACH_MM or gap <= abs(ceiling.room.ceiling_z - at[2]):
        return _on_wall(wall, end_id, at, ())
    return _on_ceiling(ceiling, end_id, at)


def lines_along(building: Building, sheets: Sheets, end_id: str, a: Point3, b: Point3) -> tuple[AnchorLine, ...]:
    """A straight pipe as lines on the sheets of the rooms that it passes; nothing if it is oblique."""
    moves = [i for i in range(3) if a[i] != b[i]]
    if len(moves) != 1:
        return ()
    if moves[0] == 2:
        ends = zip(anchors_at(building, sheets, end_id, a), anchors_at(building, sheets, end_id, b), strict=False)
        return tuple(_upright(end_id, p, q) for p, q in ends if (p.room, p.sheet) == (q.room, q.sheet))
    parts = [_part_in(building, sheets, room, end_id, a, b) for room in _rooms_along(building, a, b)]
    return tuple(part for part in parts if part is not None)


def _upright(end_id: str, a: Anchor, b: Anchor) -> AnchorLine:
    """The part of a pipe beside a wall that is as high as the wall: from there it is reached on the level. Of what a
    ceiling or one end of the wall is near, the ends as they are."""
    if a.point == b.point:
        return AnchorLine(end_id, a, b)
    return AnchorLine(end_id, _level(a), _level(b))


def _level(a: Anchor) -> Anchor:
    def at_foot(p: Point3) -> Point3:
        return p[0], p[1], a.point[2]

    tail = (Piece(at_foot(p.start), at_foot(p.end), p.surface) for p in a.tail if p.start[2] == p.end[2])
    return replace(a, tail=tuple(tail))


def _rooms_along(building: Building, a: Point3, b: Point3) -> list[int]:
    """Rooms that a level pipe passes, of the storey whose height suits it best at each place."""
    line = LineString([a[:2], b[:2]])
    passed = [i for i, r in enumerate(building.rooms) if line.intersection(shape_of(r.outline)).length > 0]
    least = min((_height_miss(building.rooms[i], a[2]) for i in passed), default=0)
    return [i for i in passed if _height_miss(building.rooms[i], a[2]) == least]


def _part_in(building: Building, sheets: Sheets, room: int, end_id: str, a: Point3, b: Point3) -> AnchorLine | None:
    """The part of a level pipe within one room, on the nearest wall beside it or on the ceiling."""
    inside = LineString([a[:2], b[:2]]).intersection(shape_of(building.rooms[room].outline))
    if inside.geom_type != "LineString":
        return None
    ends = sorted(((round(x), round(y), a[2]) for x, y in inside.coords), key=lambda p: dist(p, a))
    axis = 0 if a[1] == b[1] else 1
    beside = [w for w in sheets.walls if w.room == room and w.axis == axis and _spans(w, ends[0], ends[-1])]
    wall = min(beside, key=lambda w: (abs(w.plane - a[1 - axis]), w.index), default=None)
    gap = abs(wall.plane - a[1 - axis]) if wall else None
    ceiling = sheets.ceilings[room]
    if wall is not None and gap is not None and gap <= max(WALL_REACH_MM, abs(ceiling.room.ceiling_z - a[2])):
        p, q = (_on_wall(wall, end_id, _before(wall, e), ()) for e in (ends[0], ends[-1]))
    else:
        p, q = (_on_ceiling(ceiling, end_id, e) for e in (ends[0], ends[-1]))
    return AnchorLine(end_id, p, q)


def _spans(w: WallSheet, a: Point3, b: Point3) -> bool:
    """Whether a wall goes along all of a pipe, or all but what is near a skew wall where it ends."""
    lo, hi = sorted((a[w.axis], b[w.axis]))
    return max(w.span[0] - lo, hi - w.span[1]) <= WALL_REACH_MM and lo < w.span[1] and w.span[0] < hi


def _before(w: WallSheet, p: Point3) -> Point3:
    """The place of a pipe along a wall at a point, or at the end of the wall that is nearest."""
    c = _clamped(w, p)
    return (c, p[1], p[2]) if w.axis == 0 else (p[0], c, p[2])


def _rooms_at(building: Building, at: Point3) -> list[int]:
    """Rooms whose closed outline holds a point, those that suit its height best."""
    inside = [i for i, r in enumerate(building.rooms) if _within(r.outline, at)]
    least = min((_height_miss(building.rooms[i], at[2]) for i in inside), default=0)
    return [i for i in inside if _height_miss(building.rooms[i], at[2]) == least]


def _height_miss(room: BuiltRoom, z: int) -> int:
    return max(room.floor_z - z, z - room.ceiling_z, 0)


def _within(outline: tuple[Point2, ...], at: Point3) -> bool:
    """Even-odd test; the boundary counts as inside, a skew one to the rounding of a point on it."""
    x, y, odd = at[0], at[1], False
    for (ax, ay), (bx, by) in zip(outline, outline[1:] + outline[:1], strict=True):
        cross, off = (bx - ax) * (y - ay) - (by - ay) * (x - ax), 0.0
        if ax != bx and ay != by:
            off = ROUNDING_MM * dist((ax, ay), (bx, by))
        if abs(cross) <= off and min(ax, bx) <= x <= max(ax, bx) and min(ay, by) <= y <= max(ay, by):
            return True
        if (ay > y) != (by > y) and (cross > 0) == (by > ay):
            odd = not odd
    return odd


def _is_nearer_to_a_wall(sheets: Sheets, at: Point3, height_miss_mm: int) -> bool:
    if not height_miss_mm:
        return False
    wall, gap = _nearest_wall(list(sheets.walls), at)
    return gap + max(wall.face.z0 - at[2], at[2] - wall.face.z1, 0) < height_miss_mm


def _nearest_wall(walls: list[WallSheet], at: Point3) -> tuple[WallSheet, float]:
    def miss(w: WallSheet) -> tuple[float, int, int]:
        foot = w.point(_clamped(w, at))
        gap = ((foot[0] - at[0]) ** 2 + (foot[1] - at[1]) ** 2) ** 0.5
        return gap, max(w.face.z0 - at[2], at[2] - w.face.z1, 0), w.index

    wall = min(walls, key=miss)
    return wall, miss(wall)[0]


def _clamped(wall: WallSheet, at: Point3) -> int:
    lo, hi = wall.span
    if not wall.is_skew:
        return min(max(at[wall.axis], lo), hi)
    (ax, ay), (bx, by) = wall.face.start, wall.face.end
    along = ((at[0] - ax) * (bx - ax) + (at[1] - ay) * (by - ay)) / wall.face.length_mm
    return min(max(round(along), lo), hi)


def _on_wall(
    wall: WallSheet, end_id: str, at: Point3, before: tuple[Piece, ...], outer: Point3 | None = None
) -> Anchor:
    c = _clamped(wall, at)
    z = min(max(at[2], wall.face.z0), wall.face.z1)
    foot = (*wall.point(c), z)
    start = outer or foot
    return Anchor(end_id, wall.room, foot, before + stub(start, at), wall.face.id)


def _on_ceiling(ceiling: CeilingSheet, end_id: str, at: Point3) -> Anchor:
    foot = (at[0], at[1], ceiling.room.ceiling_z)
    return Anchor(end_id, ceiling.room_index, foot, stub(foot, at), f"ceiling {ceiling.room.id}")


def stub(start: Point3, end: Point3) -> tuple[Piece, ...]:
    """Straight pieces along z, then x, then y: never longer than the pipes a fitter would cut."""
    points, here = [start], list(start)
    for axis in (2, 0, 1):
        if here[axis] != end[axis]:
            here[axis] = end[axis]
            points.append((here[0], here[1], here[2]))
    return tuple(Piece(a, b, Surface.STUB) for a, b in zip(points, points[1:], strict=False))


def _outside_rooms(building: Building, sheets: Sheets, end_id: str, at: Point3) -> Anchor:
    """Tie a point that lies in no room: through the outer wall it is at, or on the wall it is inside of. Where the far
    side of a skew wall lies in the next room, the point does too, or in the wall."""
    wall, _ = _nearest_wall(list(sheets.walls), at)
    c = _clamped(wall, at)
    stretch = _stretch_at(wall, c)
    if stretch is None or stretch.behind not in (Behind.OUTDOORS, Behind.EARTH):
        return _on_wall(wall, end_id, at, ())
    z = min(max(at[2], wall.face.z0), wall.face.z1)
    outside = outer_point(wall, c, z, stretch.thickness_mm)
    if any(not _height_miss(building.rooms[i], z) for i in _rooms_at(building, outside)):
        return _on_wall(wall, end_id, at, ())
    return _on_wall(wall, end_id, at, (Piece((*wall.point(c), z), outside, Surface.OUTER_WALL),), outside)


def _stretch_at(wall: WallSheet, c: int) -> Stretch | None:
    s = wall.distance(c)
    return next((t for t in wall.face.stretches if t.s0 <= s <= t.s1), None)


def outer_point(wall: WallSheet, c: int, z: int, depth_mm: int) -> Point3:
    """Point ``depth_mm`` behind the face, square to coordinate ``c`` [mm]."""
    (ax, ay), (bx, by) = wall.face.start, wall.face.end
    nx, ny = (by - ay) / wall.face.length_mm, (ax - bx) / wall.face.length_mm
    x, y = wall.point(c)
    return round(x + nx * depth_mm), round(y + ny * depth_mm), z
