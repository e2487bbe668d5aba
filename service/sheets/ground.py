"""The house itself in plan: outer walls cut, rooms, openings, what stands in the way."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from shapely import Polygon, unary_union
from shapely.geometry.base import BaseGeometry

from service.building.model import Behind, Building, BuiltRoom, Face, Hole, Prism
from service.sheets.model import Area, Item, Label, Layer, Line, Point, Ring
from service.survey.model import OpeningKind, Point2

_LEAST_WALL_MM = 90.0
"""An opening in a wall of no thickness is drawn this deep [mm]."""


def off_line(start: Point2, end: Point2, s: float, d: float) -> Point:
    """The point ``s`` along a line and ``d`` to its left [mm]."""
    length = hypot(end[0] - start[0], end[1] - start[1])
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    return start[0] + ux * s - uy * d, start[1] + uy * s + ux * d


def strip(start: Point2, end: Point2, along: tuple[float, float], off: tuple[float, float]) -> Ring:
    """The box between two distances along a line and two to its left [mm]."""
    (s0, s1), (d0, d1) = along, off
    return tuple(off_line(start, end, s, d) for s, d in ((s0, d0), (s1, d0), (s1, d1), (s0, d1)))


def storey_house(building: Building, storey: int) -> Iterator[Item]:
    """Walls, rooms, openings and keep-outs of one storey, in the frame."""
    rooms = [r for r in building.rooms if r.storey == storey]
    faces = [f for f in building.faces if f.storey == storey]
    inside = unary_union([Polygon(r.outline) for r in rooms])
    yield from (_keep_out(p) for p in (*building.keep_outs, *building.chases) if _stands_in(p, storey, rooms))
    walls = unary_union([Polygon(strip_of_wall(f, i)) for f in faces for i in range(len(f.stretches))])
    yield from (Area(rings, Layer.WALL) for rings in _faces_of(walls.difference(inside)))
    yield from (Line(r.outline, Layer.ROOM, closed=True) for r in rooms)
    for face in faces:
        for hole in face.holes:
            yield from _opening(face, hole)


def strip_of_wall(face: Face, number: int) -> Ring:
    """What one stretch of an outer wall takes up, its corners closed; nothing where no outdoors lies behind [mm]."""
    stretch = face.stretches[number]
    outer = stretch.behind in (Behind.OUTDOORS, Behind.EARTH, Behind.PARTY)
    thick = stretch.thickness_mm if outer else 0
    s0 = stretch.s0 - (thick if number == 0 else 0)
    s1 = stretch.s1 + (thick if number == len(face.stretches) - 1 else 0)
    return strip(face.start, face.end, (s0, s1), (0, -thick))


def room_names(building: Building, storey: int) -> Iterator[Label]:
    """Each room's id and use, in its middle."""
    for room in building.rooms:
        if room.storey == storey:
            shape = Polygon(room.outline)
            x0, y0, x1, y1 = shape.bounds
            at = shape.representative_point()
            use = room.use.value.replace("_", " ")
            lines = (room.id,) if use == room.id.lower() else (room.id, use)
            yield Label((at.x, at.y), lines, Layer.ROOM, ((x1 - x0) / 2, (y1 - y0) / 2), bold=True)


def _stands_in(prism: Prism, storey: int, rooms: list[BuiltRoom]) -> bool:
    if prism.storey is not None:
        return prism.storey == storey
    return any(prism.z0 < r.ceiling_z and prism.z1 > r.floor_z for r in rooms)


def _keep_out(prism: Prism) -> Area:
    return Area((prism.outline,), Layer.KEEP_OUT)


def _opening(face: Face, hole: Hole) -> Iterator[Item]:
    thick = max((s.thickness_mm for s in face.stretches if s.s0 < hole.s1 and s.s1 > hole.s0), default=0)
    ends = (face.start, face.end)
    inner = 0.0 if thick > _LEAST_WALL_MM else (_LEAST_WALL_MM - thick) / 2
    across = (inner, -thick - inner)
    box = strip(*ends, (hole.s0, hole.s1), across)
    yield Area((box,), Layer.OPENING, covers=True)
    if hole.kind is OpeningKind.WINDOW:
        middle = (across[0] + across[1]) / 2
        yield Line((off_line(*ends, hole.s0, middle), off_line(*ends, hole.s1, middle)), Layer.OPENING)
    else:
        yield Line((box[0], box[2]), Layer.OPENING)


def _faces_of(shape: BaseGeometry) -> Iterator[tuple[Ring, ...]]:
    for part in getattr(shape, "geoms", [shape]):
        if isinstance(part, Polygon) and not part.is_empty:
            yield tuple(tuple((x, y) for x, y in r.coords[:-1]) for r in (part.exterior, *part.interiors))
