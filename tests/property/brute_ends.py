"""Where existing pipes, drains and outlets touch the sheets: the brute force's own reading of the model.

A point in a room hangs on the nearest wall if that is within 150 mm or nearer than the ceiling, else on
the ceiling; a point outside all rooms on the nearest wall, through it. Between the sheet and the point
lies a stub: up or down first, then along x, then along y.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from service.building.model import Behind, Building
from service.design import Piece, Surface
from service.survey.model import Point3, Survey
from tests.property.brute_surfaces import Grid, Node, Wall, bounds, place

ON_WALL_MM = 150


@dataclass(frozen=True)
class End:
    """A node at which a run may end and the stub behind it; how far along a gas pipe the tap is [mm]."""

    id: str
    node: Node
    tail: tuple[Piece, ...]
    sheet: str
    cut_mm: int = 0


def tied(building: Building, walls: list[Wall], end_id: str, at: Point3, walls_only: bool = False) -> End:
    """The end that stands for a point of the survey; the brute force's houses are not turned."""
    rooms = [i for i, r in enumerate(building.rooms) if _holds(bounds(r), at)]
    if not rooms:
        return _from_outside(walls, end_id, at)
    room = min(rooms, key=lambda i: (_above_or_below(building, i, at[2]), i))
    wall = min((w for w in walls if w.room == room), key=lambda w: (_gap(w, at), w.face.id))
    ceiling = building.rooms[room].ceiling_z
    if walls_only or _gap(wall, at) <= ON_WALL_MM or _gap(wall, at) <= abs(ceiling - at[2]):
        foot = _foot(wall, at)
        return End(end_id, foot, stub(place(foot), at), wall.face.id)
    return End(end_id, (room, at[0], at[1], ceiling), stub((at[0], at[1], ceiling), at), f"ceiling {room}")


def _holds(box: tuple[int, int, int, int], at: Point3) -> bool:
    return box[0] <= at[0] <= box[1] and box[2] <= at[1] <= box[3]


def _above_or_below(building: Building, i: int, z: int) -> int:
    return max(building.rooms[i].floor_z - z, z - building.rooms[i].ceiling_z, 0)


def _clamp(value: int, lo: int, hi: int) -> int:
    return min(max(value, lo), hi)


def _foot(w: Wall, at: Point3) -> Node:
    return w.node(_clamp(at[w.axis], w.lo, w.hi), _clamp(at[2], w.face.z0, w.face.z1))


def _gap(w: Wall, at: Point3) -> float:
    _, x, y, _ = _foot(w, at)
    return float(((x - at[0]) ** 2 + (y - at[1]) ** 2) ** 0.5)


def stub(start: Point3, end: Point3) -> tuple[Piece, ...]:
    """From a place to an end, up or down first, then along x, then along y."""
    points = [start, (start[0], start[1], end[2]), (end[0], start[1], end[2]), end]
    return tuple(Piece(a, b, Surface.STUB) for a, b in pairwise(points) if a != b)


def _from_outside(walls: list[Wall], end_id: str, at: Point3) -> End:
    def miss(w: Wall) -> tuple[float, int, str]:
        return _gap(w, at), max(w.face.z0 - at[2], at[2] - w.face.z1, 0), w.face.id

    wall = min(walls, key=miss)
    foot = _foot(wall, at)
    inside = place(foot)
    stretch = wall.stretch(inside[wall.axis])
    if stretch is None or stretch.behind not in (Behind.OUTDOORS, Behind.EARTH):
        return End(end_id, foot, stub(inside, at), wall.face.id)
    outside = list(inside)
    forward = wall.face.end[wall.axis] > wall.face.start[wall.axis]
    outward = -1 if (wall.axis == 0) == forward else 1
    outside[1 - wall.axis] += outward * stretch.thickness_mm
    out = (outside[0], outside[1], outside[2])
    return End(end_id, foot, (Piece(inside, out, Surface.OUTER_WALL), *stub(out, at)), wall.face.id)


def gas_ends(survey: Survey, building: Building, walls: list[Wall], grid: Grid) -> list[End]:
    """Nodes of the gas tree, and every grid line that its pipes cross. A pipe's surplus length lies before the tap."""
    places = {n.id: n.at for n in survey.gas.nodes}
    out = [tied(building, walls, n.id, n.at) for n in survey.gas.nodes]
    for s in survey.gas.segments:
        far = places[s.end]
        for end in _along_pipe(building, walls, s.id, places[s.start], far, grid):
            beyond = sum(abs(p - q) for p, q in zip(real(end), far, strict=True))
            out.append(replace(end, cut_mm=max(s.length_mm - beyond, 0)))
    return [*out, *(met for e in out if (met := _under_ceiling(building, e)))]


def real(end: End) -> Point3:
    """Where an end is, behind its stub."""
    return end.tail[-1].end if end.tail else place(end.node)


def _under_ceiling(building: Building, end: End) -> End | None:
    """A pipe off the wall that lies under the ceiling can be met from there too."""
    room, at = end.node[0], real(end)
    inside = _holds(bounds(building.rooms[room]), at) and at[2] == building.rooms[room].ceiling_z
    return replace(end, node=(room, *at), tail=()) if end.tail and inside else None


def _along_pipe(building: Building, walls: list[Wall], end_id: str, a: Point3, b: Point3, grid: Grid) -> Iterator[End]:
    """Ends along a straight pipe of one room: on the wall beside it if that is near, else on the ceiling."""
    axes = [i for i in range(3) if a[i] != b[i]]
    rooms = [i for i, r in enumerate(building.rooms) if _holds(bounds(r), a) and _holds(bounds(r), b)]
    if axes == [2]:
        yield from along(tied(building, walls, end_id, a), tied(building, walls, end_id, b), end_id, grid)
    elif len(axes) == 1 and rooms:
        room = min(rooms, key=lambda i: (_above_or_below(building, i, a[2]), i))
        yield from along(*_beside(building, walls, room, axes[0], end_id, a, b), end_id, grid)


def _beside(
    building: Building, walls: list[Wall], room: int, axis: int, end_id: str, a: Point3, b: Point3
) -> tuple[End, End]:
    ceiling, (lo, hi) = building.rooms[room].ceiling_z, sorted((a[axis], b[axis]))
    near = [w for w in walls if w.room == room and w.axis == axis and w.lo <= lo and hi <= w.hi]
    wall = min(near, key=lambda w: (abs(w.plane - a[1 - axis]), w.face.id), default=None)
    if wall is not None and abs(wall.plane - a[1 - axis]) <= max(ON_WALL_MM, abs(ceiling - a[2])):
        feet = _foot(wall, a), _foot(wall, b)
        p, q = (End(end_id, foot, stub(place(foot), x), wall.face.id) for foot, x in zip(feet, (a, b), strict=True))
    else:
        p, q = (End(end_id, (room, x[0], x[1], ceiling), stub((x[0], x[1], ceiling), x), "ceiling") for x in (a, b))
    return p, q


def line_ends(
    building: Building, walls: list[Wall], lines: Iterable[tuple[str, tuple[Point3, ...]]], grid: Grid
) -> list[End]:
    """Both ends of every straight part of the lines, and every grid line they cross between."""
    out = []
    for line_id, points in lines:
        for p, q in pairwise(points):
            a, b = (tied(building, walls, line_id, x) for x in (p, q))
            out += [a, b, *along(a, b, line_id, grid)]
    return out


def along(a: End, b: End, end_id: str, grid: Grid) -> Iterator[End]:
    """Ends strictly between two on one sheet, if the pipe runs along an axis there; and where it passes the foot or top
    of the wall."""
    moves = [i for i in range(3) if a.node[1 + i] != b.node[1 + i]]
    if a.sheet != b.sheet or a.node[0] != b.node[0] or len(moves) != 1:
        return
    axis = moves[0]
    past = [e.node[3] for e in (a, b) if axis == 2 and any(p.start[2] != p.end[2] for p in e.tail)]
    if axis == 2:  # as far up and down as the wall goes, the pipe beside it is met on the level
        a = replace(a, tail=tuple(_at_height(p, a.node[3]) for p in a.tail if p.start[2] == p.end[2]))
    lo, hi = sorted((a.node[1 + axis], b.node[1 + axis]))
    for v in [*grid.between(axis, lo + 1, hi - 1), *past]:
        by = v - a.node[1 + axis]
        x, y, z = _moved(place(a.node), axis, by)
        tail = tuple(Piece(_moved(p.start, axis, by), _moved(p.end, axis, by), p.surface) for p in a.tail)
        yield End(end_id, (a.node[0], x, y, z), tail, a.sheet)


def _at_height(p: Piece, z: int) -> Piece:
    return Piece((*p.start[:2], z), (*p.end[:2], z), p.surface)


def _moved(p: Point3, axis: int, by: int) -> Point3:
    q = list(p)
    q[axis] += by
    return q[0], q[1], q[2]
