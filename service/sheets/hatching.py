"""Hatches as the lines they are made of, so that every writer draws the same."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, floor, radians, sin

from shapely import LineString, MultiLineString, Polygon, prepare
from shapely.geometry.base import BaseGeometry

from service.sheets.model import Layer, Ring
from service.sheets.paper import Stroke
from service.sheets.style import Hatch

_LEAST_MM = 0.2
"""Shorter pieces of a hatch are left out [mm]."""


def face_of(rings: Sequence[Ring]) -> BaseGeometry:
    """The area that lies within an odd number of the rings."""
    face: BaseGeometry = Polygon()
    for ring in rings:
        if len(ring) > 2:
            face = face.symmetric_difference(Polygon(ring).buffer(0))
    return face


def hatched(rings: Sequence[Ring], hatch: Hatch, layer: Layer) -> Iterator[Stroke]:
    """Lines of a hatch within rings on paper [mm]; lines of neighbours run on into each other."""
    face = face_of(rings)
    if face.is_empty:
        return
    prepare(face)
    for angle in (hatch.angle, hatch.angle + 90.0) if hatch.cross else (hatch.angle,):
        lines = MultiLineString(list(_lines(face.bounds, radians(angle), hatch.apart)))
        for piece in straight_pieces(lines.intersection(face)):
            yield Stroke(piece, hatch.pen, layer)


def straight_pieces(found: BaseGeometry) -> Iterator[Ring]:
    """Lines in what an intersection found, but for the shortest."""
    for part in getattr(found, "geoms", [found]):
        if hasattr(part, "geoms"):
            yield from straight_pieces(part)
        elif isinstance(part, LineString) and part.length >= _LEAST_MM:
            yield tuple((x, y) for x, y in part.coords)


def _lines(bounds: tuple[float, float, float, float], angle: float, apart: float) -> Iterator[LineString]:
    """Parallels over a box, all at whole multiples of ``apart`` from the page's corner [mm]."""
    c, s = cos(angle), sin(angle)
    x0, y0, x1, y1 = bounds
    across = [-s * x + c * y for x in (x0, x1) for y in (y0, y1)]
    along = [c * x + s * y for x in (x0, x1) for y in (y0, y1)]
    for k in range(floor(min(across) / apart), floor(max(across) / apart) + 2):
        d = k * apart
        yield LineString([(c * a - s * d, s * a + c * d) for a in (min(along), max(along))])
