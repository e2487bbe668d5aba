"""Where existing pipes, drains and outlets touch the sheets: the brute force's own reading of the model.

A point in a room hangs on the nearest wall if that is within 150 mm or nearer than the ceiling, else on
the ceiling; a point outside all rooms on the nearest wall, through it. Between the sheet and the point
lies a stub: up or down first, then along x, then along y.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from service.building.model import Behind, Building
from service.design import Piece, Surface
from service.survey.model import Point3, Survey
from service.trades.gas import taps
from tests.property.brute_surfaces import Grid, Node, Wall, bounds, place

ON_WALL_MM = 150
NEVER = 10**9


@dataclass(frozen=True)
class End:
    """A node at which a run may end, the stub behind it, and the gas pipe before it with what that allows [mm]."""

    id: str
    node: Node
    tail: tuple[Piece, ...]
    sheet: str
    upstream: int = 0
    most_total: int = NEVER


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
        return End(end_id, foot, _stub(place(foot), at), wall.face.id)
    return End(end_id, (room, at[0], at[1], ceiling), _stub((at[0], at[1], ceiling), at), f"ceiling {room}")


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


def _stub(start: Point3, end: Point3) -> tuple[Piece, ...]:
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
        return End(end_id, foot, _stub(inside, at), wall.face.id)
    outside = list(inside)
    forward = wall.face.end[wall.axis] > wall.face.start[wall.axis]
    outward = -1 if (wall.axis == 0) == forward else 1
    outside[1 - wall.axis] += outward * stretch.thickness_mm
    out = (outside[0], outside[1], outside[2])
    return End(end_id, foot, (Piece(inside, out, Surface.OUTER_WALL), *_stub(out, at)), wall.face.id)


def gas_ends(survey: Survey, building: Building, walls: list[Wall], added_w: float, grid: Grid) -> list[End]:
    """Nodes and pipes of the gas tree, with what the old pipe on the way allows for an added load [W]."""
    reach = taps(survey.gas, survey.site, added_w)
    nodes = {n.id: tied(building, walls, n.id, n.at) for n in survey.gas.nodes}
    out = [_with_gas(nodes[i], i, t.upstream_mm, t.max_total_mm) for i, t in sorted(reach.items())]
    for s in survey.gas.segments:
        far = reach[s.end]
        for end in along(nodes[s.start], nodes[s.end], s.id, grid):
            beyond = sum(abs(p - q) for p, q in zip(end.node[1:], nodes[s.end].node[1:], strict=True))
            out.append(_with_gas(end, s.id, max(far.upstream_mm - beyond, 0), far.max_total_mm))
    return out


def _with_gas(end: End, end_id: str, upstream: int, most: int) -> End:
    return End(end_id, end.node, end.tail, end.sheet, upstream, most)


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
    """Ends strictly between two on one sheet, if the pipe runs along an axis there."""
    moves = [i for i in range(3) if a.node[1 + i] != b.node[1 + i]]
    if a.sheet != b.sheet or a.node[0] != b.node[0] or len(moves) != 1:
        return
    axis = moves[0]
    lo, hi = sorted((a.node[1 + axis], b.node[1 + axis]))
    for v in grid.between(axis, lo + 1, hi - 1):
        by = v - a.node[1 + axis]
        x, y, z = _moved(place(a.node), axis, by)
        tail = tuple(Piece(_moved(p.start, axis, by), _moved(p.end, axis, by), p.surface) for p in a.tail)
        yield End(end_id, (a.node[0], x, y, z), tail, a.sheet)


def _moved(p: Point3, axis: int, by: int) -> Point3:
    q = list(p)
    q[axis] += by
    return q[0], q[1], q[2]
