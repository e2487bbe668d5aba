"""The sheet model laid out on a grid, for the brute force only: written from its definition, not from the router.

Runs lie on wall faces of rooms, on ceilings, pass through a wall between two back-to-back faces, and
through the floor from a ceiling to the foot of a wall that stands above. Only houses whose walls run
along the axes and whose rooms are rectangles.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

from service.building.model import Behind, Building, BuiltRoom, Face, Stretch
from service.design import Surface
from service.survey.model import Point3

KEEP_OUT_REACH_MM = 50
Node = tuple[int, int, int, int]
"""(room, x, y, z): two rooms that share a plane keep separate nodes."""
Box = tuple[int, int, int, int]


@dataclass(frozen=True)
class Wall:
    """A wall face: ``axis`` it runs along, the other coordinate ``plane``, from ``lo`` to ``hi`` [mm]."""

    face: Face
    room: int
    axis: int
    plane: int
    lo: int
    hi: int
    surface: Surface

    def node(self, c: int, z: int) -> Node:
        """Node at coordinate ``c`` along the wall and height ``z``."""
        return (self.room, c, self.plane, z) if self.axis == 0 else (self.room, self.plane, c, z)

    def along(self, c: int) -> int:
        """Distance along the face of a coordinate [mm]."""
        return abs(c - self.face.start[self.axis])

    def stretch(self, c: int) -> Stretch | None:
        """First stretch at a coordinate."""
        return next((t for t in self.face.stretches if t.s0 <= self.along(c) <= t.s1), None)


@dataclass
class Grid:
    """Coordinates of the grid lines along x, y and z [mm], sorted."""

    lines: tuple[list[int], list[int], list[int]] = field(default_factory=lambda: ([], [], []))

    def add(self, axis: int, *values: int) -> None:
        """Put lines in."""
        self.lines[axis][:] = sorted({*self.lines[axis], *values})

    def between(self, axis: int, lo: int, hi: int) -> list[int]:
        """Lines from ``lo`` to ``hi``, both included."""
        line = self.lines[axis]
        return line[bisect_left(line, lo) : bisect_right(line, hi)]


@dataclass(frozen=True)
class Arc:
    """Straight way between two neighbouring nodes; ``box`` in its sheet's (along, up) or (x, y)."""

    a: Node
    b: Node
    axis: int
    length: int
    surface: Surface
    sheet: str = ""
    box: Box = (0, 0, 0, 0)


def walls_of(building: Building) -> list[Wall]:
    """All wall faces."""
    rooms = {r.id: i for i, r in enumerate(building.rooms)}
    out = []
    for f in building.faces:
        assert f.axis is not None, "the brute force knows no skew walls"
        i = rooms[f.room_id]
        ends = sorted((f.start[f.axis], f.end[f.axis]))
        surface = Surface.WALL_FINISHED if building.rooms[i].finished else Surface.WALL
        out.append(Wall(f, i, f.axis, f.start[1 - f.axis], ends[0], ends[1], surface))
    return out


def arcs_of(building: Building, walls: list[Wall], grid: Grid) -> list[Arc]:
    """Every arc of the grid, open or not."""
    arcs = [arc for w in walls for arc in _on_wall(w, grid)]
    arcs += [arc for i, room in enumerate(building.rooms) for arc in _on_ceiling(i, room, grid)]
    arcs += [arc for w in walls for arc in _through_wall(w, walls, grid)]
    return arcs + [arc for w in walls for arc in _through_floor(w, building, grid)]


def _on_wall(w: Wall, grid: Grid) -> Iterator[Arc]:
    cs, zs = grid.between(w.axis, w.lo, w.hi), grid.between(2, w.face.z0, w.face.z1)
    for z in zs:
        for c, d in pairwise(cs):
            yield Arc(w.node(c, z), w.node(d, z), w.axis, d - c, w.surface, w.face.id, (c, d, z, z))
    for c in cs:
        for z, y in pairwise(zs):
            yield Arc(w.node(c, z), w.node(c, y), 2, y - z, w.surface, w.face.id, (c, c, z, y))


def bounds(room: BuiltRoom) -> Box:
    """(x0, x1, y0, y1) of a rectangular room [mm]."""
    xs, ys = zip(*room.outline, strict=True)
    assert len(room.outline) == 4, "the brute force knows rectangular rooms only"
    return min(xs), max(xs), min(ys), max(ys)


def _on_ceiling(i: int, room: BuiltRoom, grid: Grid) -> Iterator[Arc]:
    x0, x1, y0, y1 = bounds(room)
    xs, ys, z = grid.between(0, x0, x1), grid.between(1, y0, y1), room.ceiling_z
    surface = Surface.CEILING_FINISHED if room.finished else Surface.CEILING
    for y in ys:
        for a, b in pairwise(xs):
            yield Arc((i, a, y, z), (i, b, y, z), 0, b - a, surface, f"ceiling {i}", (a, b, y, y))
    for x in xs:
        for a, b in pairwise(ys):
            yield Arc((i, x, a, z), (i, x, b, z), 1, b - a, surface, f"ceiling {i}", (x, x, a, b))


def _through_wall(w: Wall, walls: list[Wall], grid: Grid) -> Iterator[Arc]:
    """From the lower plane to the higher one, wherever both faces stand back to back."""
    for t in w.face.stretches:
        other = next((v for v in walls if v.face.id == t.face_id), None)
        if t.behind is not Behind.ROOM or other is None or (w.plane, w.face.id) > (other.plane, other.face.id):
            continue
        step = 1 if w.face.end[w.axis] > w.face.start[w.axis] else -1
        ends = sorted(w.face.start[w.axis] + step * s for s in (t.s0, t.s1))
        z0, z1 = max(w.face.z0, other.face.z0), min(w.face.z1, other.face.z1)
        for c in grid.between(w.axis, max(ends[0], other.lo), min(ends[1], other.hi)):
            for z in grid.between(2, z0, z1):
                a, b, length = w.node(c, z), other.node(c, z), other.plane - w.plane
                yield Arc(a, b, 1 - w.axis, length, Surface.WALL_CROSSING)


def _through_floor(w: Wall, building: Building, grid: Grid) -> Iterator[Arc]:
    """From the ceilings of the storey below to the foot of a wall."""
    for i, room in enumerate(building.rooms):
        if room.storey != w.face.storey - 1 or room.ceiling_z > w.face.z0:
            continue
        x0, x1, y0, y1 = bounds(room)
        lo, hi, s0, s1 = (x0, x1, y0, y1) if w.axis == 0 else (y0, y1, x0, x1)
        if s0 <= w.plane <= s1:
            for c in grid.between(w.axis, max(w.lo, lo), min(w.hi, hi)):
                _, x, y, _ = w.node(c, 0)
                a, b = (i, x, y, room.ceiling_z), w.node(c, w.face.z0)
                yield Arc(a, b, 2, w.face.z0 - room.ceiling_z, Surface.FLOOR_CROSSING)


def obstacles_of(building: Building, walls: list[Wall]) -> dict[str, list[Box]]:
    """Open boxes that no run enters, by sheet: openings, keep-outs at a wall, keep-outs under a ceiling."""
    out: dict[str, list[Box]] = {}
    for w in walls:
        boxes = out.setdefault(w.face.id, [])
        step = 1 if w.face.end[w.axis] > w.face.start[w.axis] else -1
        for h in w.face.holes:
            c, d = sorted(w.face.start[w.axis] + step * s for s in (h.s0, h.s1))
            boxes.append((c, d, h.z0, h.z1))
        boxes += _before_wall(w, building)
    for i, room in enumerate(building.rooms):
        out[f"ceiling {i}"] = _under_ceiling(room, building)
    return out


def _before_wall(w: Wall, building: Building) -> Iterator[Box]:
    inward = 1 if (w.axis == 0) == (w.face.end[w.axis] > w.face.start[w.axis]) else -1
    for k in building.keep_outs:
        along = [p[w.axis] for p in k.outline]
        off = [inward * (p[1 - w.axis] - w.plane) for p in k.outline]
        lo, hi = max(min(along), w.lo), min(max(along), w.hi)
        if lo < hi and max(off) > 0 and min(off) < KEEP_OUT_REACH_MM and k.z0 < w.face.z1 and k.z1 > w.face.z0:
            yield lo, hi, k.z0, k.z1


def _under_ceiling(room: BuiltRoom, building: Building) -> list[Box]:
    x0, x1, y0, y1 = bounds(room)
    out = []
    for k in building.keep_outs:
        xs, ys = zip(*k.outline, strict=True)
        over = min(xs) < x1 and max(xs) > x0 and min(ys) < y1 and max(ys) > y0
        if over and k.z0 < room.ceiling_z <= k.z1:
            out.append((min(xs), max(xs), min(ys), max(ys)))
    return out


def enters(box: Box, obstacle: Box, margin: int) -> bool:
    """Whether an arc enters an obstacle grown by a margin [mm]; its edge may be followed."""
    (a, b, c, d), (p, q, s, t) = box, obstacle
    return a < q + margin and b > p - margin and c < t + margin and d > s - margin


def place(node: Node) -> Point3:
    """Point of a node."""
    return node[1], node[2], node[3]
