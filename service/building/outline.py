"""What is inside the house though no room says so: slots between rooms, shafts, closed voids."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import lru_cache

from shapely import LineString, Polygon, unary_union
from shapely.geometry.base import BaseGeometry

from service.building.edges import Line
from service.building.model import BuiltRoom
from service.survey.model import Point2, Storey

CLOSING_MM = 350
"""Half the width of the widest slot between rooms that still counts as wall or shaft [mm]."""
PROBE_MM = 60
"""How far beyond a wall's inside face it is asked what lies there [mm]."""
MIN_OVERLAP_MM = 300
"""Common height from which on two things are beside one another [mm]."""

Interval = tuple[int, int]


def overlap(a0: float, a1: float, b0: float, b1: float) -> float:
    """Common length of two intervals, negative when they are apart [mm]."""
    return min(a1, b1) - max(a0, b0)


@lru_cache(maxsize=1024)
def shape_of(outline: tuple[Point2, ...]) -> Polygon:
    """The polygon of an outline, kept for those that are asked for again."""
    return Polygon(outline)


class Outlines:
    """Plan of the house at given heights, each worked out once."""

    def __init__(self, rooms: tuple[BuiltRoom, ...], storeys: tuple[Storey, ...]) -> None:
        self._rooms = rooms
        self._storeys = storeys
        self._beside: dict[Interval, list[BuiltRoom]] = {}
        self._closed: dict[tuple[str, ...], BaseGeometry] = {}
        self._plain: dict[tuple[str, ...], BaseGeometry] = {}

    def covered(self, line: Line, s0: float, s1: float, z: Interval) -> list[Interval]:
        """Parts of a wall [mm along its line] beyond which, at this height, the house goes on.

        Slots, shafts and voids between the rooms belong to the house.
        """
        rooms = self._at(z)
        return _crossed(line, s0, s1, _known(self._closed, rooms, _closed))

    def occupied(self, line: Line, s0: float, s1: float, z: Interval) -> list[Interval]:
        """Parts of a wall [mm along its line] beyond which, at this height, a listed room lies."""
        rooms = self._at(z)
        return _crossed(line, s0, s1, _known(self._plain, rooms, _union))

    def _at(self, z: Interval) -> list[BuiltRoom]:
        if z not in self._beside:
            beside = [_beside(s.floor_z_mm, s.ceiling_z_mm, *z) for s in self._storeys]
            self._beside[z] = [r for r in self._rooms if beside[r.storey] or _beside(r.floor_z, r.ceiling_z, *z)]
        return self._beside[z]


def _beside(a0: int, a1: int, b0: int, b1: int) -> bool:
    """Whether two height ranges share half of the lower one."""
    return 2 * overlap(a0, a1, b0, b1) >= min(a1 - a0, b1 - b0)


def _known(
    known: dict[tuple[str, ...], BaseGeometry],
    rooms: list[BuiltRoom],
    make: Callable[[list[BuiltRoom]], BaseGeometry],
) -> BaseGeometry:
    key = tuple(r.id for r in rooms)
    if key not in known:
        known[key] = make(rooms)
    return known[key]


def _crossed(line: Line, s0: float, s1: float, shape: BaseGeometry) -> list[Interval]:
    probe = LineString([line.at(s0, PROBE_MM), line.at(s1, PROBE_MM)])
    found = [_along(line, p) for p in _lines(shape.intersection(probe))]
    return sorted((a, b) for a, b in found if b > a)


def _along(line: Line, part: LineString) -> Interval:
    a, b = (round(line.along((x, y))) for x, y in (part.coords[0][:2], part.coords[-1][:2]))
    return min(a, b), max(a, b)


def _union(rooms: list[BuiltRoom]) -> BaseGeometry:
    return unary_union([Polygon(r.outline) for r in rooms])


def _closed(rooms: list[BuiltRoom]) -> BaseGeometry:
    wide = _union(rooms).buffer(CLOSING_MM, join_style="mitre", mitre_limit=10.0)
    back = wide.buffer(-CLOSING_MM, join_style="mitre", mitre_limit=10.0)
    return unary_union([Polygon(p.exterior) for p in _polygons(back)])


def _polygons(shape: BaseGeometry) -> Iterator[Polygon]:
    for part in getattr(shape, "geoms", [shape]):
        if isinstance(part, Polygon) and not part.is_empty:
            yield part


def _lines(shape: BaseGeometry) -> Iterator[LineString]:
    for part in getattr(shape, "geoms", [shape]):
        if isinstance(part, LineString) and not part.is_empty:
            yield part
