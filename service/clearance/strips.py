"""What stands in a strip in front of a wall face, as stretches of the face's ruler."""

from __future__ import annotations

from functools import lru_cache

from shapely import Polygon, box
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from service.clearance.plane import Plane, down, up
from service.survey.model import Point2

_SIDE_MM = 5_000
"""How far beyond a face's ends its strip is looked at; more than any case and working space is wide [mm]."""
_SLIVER_MM2 = 1.0


@lru_cache(maxsize=8192)
def walls_within(
    plane: Plane, length_mm: int, outline: tuple[Point2, ...], n0: int, n1: int
) -> tuple[tuple[int, int], ...]:
    """Stretches (s0, s1) where the strip n0 < n < n1 leaves the room's outline [mm]."""
    if n1 <= n0:
        return ()
    return _stretches(_strip(length_mm, n0, n1).difference(_placed(plane, outline)))


def gaps_within(plane: Plane, length_mm: int, area: BaseGeometry, n0: int, n1: int) -> tuple[tuple[int, int], ...]:
    """Stretches (s0, s1) where the strip n0 < n < n1 leaves an area of the plan [mm]."""
    if n1 <= n0:
        return ()
    (x0, y0), ux, uy, side = plane.start, plane.ux, plane.uy, plane.side
    shift = [-ux * x0 - uy * y0, side * (uy * x0 - ux * y0)]
    placed = affine_transform(area, [ux, uy, -side * uy, side * ux, *shift])
    return _stretches(_strip(length_mm, n0, n1).difference(placed))


@lru_cache(maxsize=8192)
def prism_within(
    plane: Plane, length_mm: int, outline: tuple[Point2, ...], n0: int, n1: int
) -> tuple[tuple[int, int], ...]:
    """Stretches (s0, s1) where an outline stands in the strip n0 < n < n1 [mm]."""
    before = [plane.place(p)[1] for p in outline]
    if n1 <= n0 or max(before) <= n0 or min(before) >= n1:
        return ()
    return _stretches(_strip(length_mm, n0, n1).intersection(_placed(plane, outline)))


def _strip(length_mm: int, n0: int, n1: int) -> Polygon:
    return box(-_SIDE_MM, n0, length_mm + _SIDE_MM, n1)


@lru_cache(maxsize=1024)
def _placed(plane: Plane, outline: tuple[Point2, ...]) -> BaseGeometry:
    polygon = Polygon([plane.place(p) for p in outline])
    return polygon if polygon.is_valid else polygon.buffer(0)


def _stretches(area: BaseGeometry) -> tuple[tuple[int, int], ...]:
    """Bounds along the wall of each piece of an area; slivers of rounding are nothing."""
    pieces = [p for p in getattr(area, "geoms", [area]) if p.area > _SLIVER_MM2]
    return tuple(sorted((down(p.bounds[0]), up(p.bounds[2])) for p in pieces))
