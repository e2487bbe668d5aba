"""From a surveyed roof, or from none but the word that there is one, to planes in the frame."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil, floor, hypot

from shapely import Point, Polygon, unary_union
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from service.building.frame import axis_of, canonical, square
from service.building.model import BuiltRoom, Facade, Frame, Prism
from service.building.outline import CLOSING_MM
from service.building.roof_model import NOISE, BuiltRoofOpening, RoofPlane, RoofWall
from service.building.walls import EXTERIOR_THICKNESS_MM
from service.survey.model import Point2, Survey
from service.survey.roof import FLAT_OVER_CEILING_MM, Roof
from service.survey.roof import RoofPlane as Surveyed

FLUSH_MM = 150
"""Edges of two planes whose heights differ by less meet in a ridge, hip or valley, not in an upright step [mm]."""
BESIDE_MM = 60
"""How far beyond an edge it is asked which plane goes on there [mm]."""


def roof_planes(
    survey: Survey,
    frame: Frame,
    rooms: tuple[BuiltRoom, ...],
    facades: tuple[Facade, ...],
    keep_outs: tuple[Prism, ...],
) -> tuple[RoofPlane, ...]:
    """All planes of the roof, by id; none where the survey tells of no roof."""
    roof = survey.roof
    if roof is None:
        return ()
    closed = {r.id for s in survey.storeys for r in s.rooms if r.under_roof is False}
    planes = [_built(p, frame) for p in roof.planes] or list(_flat(rooms, closed))
    upright = (*_upright(facades), *_neighbours(survey, frame), *_standing(roof, frame, keep_outs))
    return tuple(
        replace(p, over=tuple(_under(p, rooms, closed)), walls=(*upright, *_steps(p, planes)))
        for p in sorted(planes, key=lambda p: p.id)
    )


def roof_openings(roof: Roof | None, frame: Frame, planes: tuple[RoofPlane, ...]) -> tuple[BuiltRoofOpening, ...]:
    """Openings of the roof with the heights of their lowest and highest point; where no plane lies, of all planes."""
    found = []
    for o in roof.openings if roof else ():
        outline = square(o.outline, frame)[0]
        crossed = [p for p in planes if Polygon(p.outline).intersects(Polygon(outline))] or planes
        levels = [p.level_mm(x, y) for p in crossed for x, y in outline] or [0.0]
        top = ceil(max(levels) - NOISE) + o.height_mm
        found.append(BuiltRoofOpening(o.id, o.kind, o.operable, outline, floor(min(levels) + NOISE), top))
    return tuple(sorted(found, key=lambda o: o.id))


def ceiling_under(plane: RoofPlane, rooms: tuple[BuiltRoom, ...], at: Point2) -> int | None:
    """Highest ceiling that a plane covers at a plan point [mm]; None where no room is."""
    below = [r for r in rooms if r.id in plane.over and Polygon(r.outline).covers(Point(at))]
    return max((r.ceiling_z for r in below), default=None)


def _built(plane: Surveyed, frame: Frame) -> RoofPlane:
    outline = square(plane.outline, frame)[0]
    level = RoofPlane(f"roof/{plane.id}", outline, 0.0, outline[0], plane.eave_z_mm, (0.0, 0.0))
    if plane.eave is None:
        return level
    a, b = (frame.to_frame(p) for p in plane.eave)
    uphill = _uphill(a, b, outline)
    return replace(level, pitch_in_12=plane.pitch_in_12, foot=a, uphill=uphill)


def _uphill(a: Point2, b: Point2, outline: tuple[Point2, ...]) -> tuple[float, float]:
    """Unit vector square to the eave into the outline; along an axis if the eave nearly is."""
    axis, length = axis_of(a, b), hypot(b[0] - a[0], b[1] - a[1])
    left = ((a[1] - b[1]) / length, (b[0] - a[0]) / length)
    if axis is not None:
        left = (0.0, round(left[1])) if axis == 0 else (round(left[0]), 0.0)
    inside = sum((x - a[0]) * left[0] + (y - a[1]) * left[1] for x, y in outline)
    sign = 1.0 if inside >= 0 else -1.0
    return sign * left[0] + 0.0, sign * left[1] + 0.0


def _flat(rooms: tuple[BuiltRoom, ...], closed: set[str]) -> Iterator[RoofPlane]:
    """Level planes over the rooms that no other room lies over, ceiling by ceiling, out to the outer walls."""
    top = [r for r in rooms if r.id not in closed and not _buried(r, rooms)]
    for ceiling in sorted({r.ceiling_z for r in top}):
        shape = unary_union([Polygon(r.outline) for r in top if r.ceiling_z == ceiling])
        wide = shape.buffer(CLOSING_MM, join_style="mitre").buffer(
            EXTERIOR_THICKNESS_MM - CLOSING_MM, join_style="mitre"
        )
        for i, part in enumerate(sorted(_polygons(wide), key=lambda p: p.bounds)):
            ring = orient(part).exterior.coords[:-1]
            outline = canonical([(round(x), round(y)) for x, y in ring])
            name = f"roof/flat-{ceiling}-{i + 1}"
            yield RoofPlane(name, outline, 0.0, outline[0], ceiling + FLAT_OVER_CEILING_MM, (0.0, 0.0), assumed=True)


def _buried(room: BuiltRoom, rooms: tuple[BuiltRoom, ...]) -> bool:
    """Whether other rooms lie over the whole of a room."""
    over = [Polygon(r.outline).buffer(EXTERIOR_THICKNESS_MM) for r in rooms if r.floor_z >= room.ceiling_z]
    return bool(over) and bool(unary_union(over).covers(Polygon(room.outline)))


def _under(plane: RoofPlane, rooms: tuple[BuiltRoom, ...], closed: set[str]) -> Iterator[str]:
    shape = Polygon(plane.outline)
    for room in rooms:
        higher = any(plane.level_mm(*p) >= room.ceiling_z for p in plane.outline)
        if higher and room.id not in closed and shape.intersection(Polygon(room.outline)).area > 0:
            yield room.id


def _upright(facades: tuple[Facade, ...]) -> Iterator[RoofWall]:
    for f in facades:
        for s0, s1, _, z1 in f.spans:
            yield RoofWall(f.id, (f.point(s0), f.point(s1)), z1)


def _neighbours(survey: Survey, frame: Frame) -> Iterator[RoofWall]:
    for wall in survey.site.neighbour_walls:
        yield RoofWall(wall.id, (frame.to_frame(wall.start), frame.to_frame(wall.end)), wall.top_z_mm)


def _standing(roof: Roof, frame: Frame, keep_outs: tuple[Prism, ...]) -> Iterator[RoofWall]:
    """Things on the roof, and keep-outs, of which a chimney may reach over it."""
    yield from (RoofWall(o.id, square(o.outline, frame)[0], o.top_z_mm) for o in roof.obstructions)
    yield from (RoofWall(k.id, k.outline, k.z1) for k in keep_outs)


def _steps(plane: RoofPlane, planes: list[RoofPlane]) -> Iterator[RoofWall]:
    """Edges of other planes that stand over this one's continuation and where no plane goes on at their height."""
    for other in planes:
        for a, b in other.edges if other.id != plane.id else ():
            middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            higher = any(other.level_mm(*p) > plane.level_mm(*p) + FLUSH_MM for p in (a, middle, b))
            if higher and not _goes_on(other, (a, b), middle, planes):
                yield RoofWall(f"edge of {other.id}", (a, b), ceil(max(other.level_mm(*a), other.level_mm(*b)) - 1e-6))


def _goes_on(
    plane: RoofPlane, edge: tuple[Point2, Point2], middle: tuple[float, float], planes: list[RoofPlane]
) -> bool:
    """Whether another plane meets an edge at its height."""
    (ax, ay), (bx, by) = edge
    length = hypot(bx - ax, by - ay)
    beyond = middle[0] + (by - ay) / length * BESIDE_MM, middle[1] - (bx - ax) / length * BESIDE_MM
    here = plane.level_mm(*middle)
    near = [p for p in planes if p.id != plane.id and Polygon(p.outline).covers(Point(beyond))]
    return any(abs(p.level_mm(*middle) - here) < FLUSH_MM for p in near)


def _polygons(shape: BaseGeometry) -> Iterator[Polygon]:
    for part in getattr(shape, "geoms", [shape]):
        if isinstance(part, Polygon) and not part.is_empty:
            yield part
