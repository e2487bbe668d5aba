"""The roof over the sheets: from which states of the lattice a vent can go straight up, and what is in its way."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely

from service.building.model import Building, BuiltRoom
from service.building.roof_model import RoofPlane
from service.routing.keys import AXIS_BITS
from service.routing.lattice import Bools, Lattice
from service.routing.planes import Ints, Planes
from service.routing.sheets import Sheets
from service.survey.model import Point2

_INWARD_MM = 1e-6
"""Outlines are grown by this much less than asked, so that their very edge stays outside [mm]."""


def roof_columns(building: Building, sheets: Sheets, lattice: Lattice) -> list[list[Ints]]:
    """Columns of ``Outlets`` for every state at a ceiling below a roof plane."""
    if not building.roof:
        return []
    room, x, y, z = lattice.keys.unpack(lattice.states >> AXIS_BITS)
    ceilings = np.array([c.room.ceiling_z for c in sheets.ceilings])
    inside = np.flatnonzero(room < len(ceilings))  # what lies outdoors has no ceiling
    top = inside[z[inside] == ceilings[room[inside]]]
    found = []
    for number, plane in enumerate(building.roof, len(building.facades)):
        under = [i for i, r in enumerate(building.rooms) if r.id in plane.over]
        here = top[np.isin(room[top], under)]
        here = here[shapely.intersects_xy(shapely.Polygon(plane.outline), x[here], y[here])]
        up = heights_mm(plane, x[here], y[here]) - z[here]
        here, up = here[up >= 0], up[up >= 0]
        turn = (lattice.axis[here] != 2).astype(np.int64)
        index = np.full(len(here), number)
        found.append([here, -1 - room[here], np.zeros(len(here), dtype=np.int64), index, x[here], y[here], up, turn])
    return found


def heights_mm(plane: RoofPlane, x: Ints, y: Ints) -> Ints:
    """``RoofPlane.height_mm`` for arrays [mm]."""
    run = (x - plane.foot[0]) * plane.uphill[0] + (y - plane.foot[1]) * plane.uphill[1]
    return np.ceil(plane.foot_z + run * plane.pitch_in_12 / 12 - 1e-6).astype(np.int64)


def in_the_way(building: Building, radii: tuple[int, int], columns: tuple[Ints, Ints, Ints, Ints]) -> Bools:
    """Outlets, given by wall, surface, x and y, from which a vent (radii of pipe and terminal) would pass another room
    or a thing that stands there on its way up, or would end too near a skew edge of its plane; shape (outlets,)."""
    wall, surface, xs, ys = columns
    hit = np.zeros(len(wall), dtype=bool)
    if not building.roof:
        return hit
    for room in np.unique(wall[wall < 0]).tolist():
        here = np.flatnonzero(wall == room)
        shapes = [_grown(o, radii[0]) for o in obstacles_over(building, building.rooms[-1 - room])]
        barred = shapely.unary_union(shapes)
        shapely.prepare(barred)
        hit[here] |= shapely.contains_xy(barred, xs[here], ys[here])
    for number, plane in enumerate(building.roof, len(building.facades)):
        if not plane.is_square:
            here = np.flatnonzero(surface == number)
            inner = shapely.Polygon(plane.outline).buffer(_INWARD_MM - radii[1])
            hit[here] |= ~shapely.intersects_xy(inner, xs[here], ys[here])
    return hit


def obstacles_over(building: Building, room: BuiltRoom) -> list[tuple[Point2, ...]]:
    """Outlines of the rooms and things that reach higher than a room's ceiling."""
    rooms = (*building.rooms, *building.others_rooms)
    higher = [r.outline for r in rooms if r is not room and r.ceiling_z > room.ceiling_z]
    return higher + [k.outline for k in building.keep_outs if k.z1 > room.ceiling_z]


def add_roof_planes(planes: Planes, building: Building, radii: Iterable[int]) -> None:
    """Make critical the edges of what is in the way of vents (pipe radii) to the roof, and corners of skew planes."""
    under = {r for plane in building.roof for r in plane.over}
    shapes = {o for r in building.rooms if r.id in under for o in obstacles_over(building, r)}
    for radius in sorted(set(radii)):
        for x, y in sorted({p for outline in shapes for p in outline}):
            for axis, value in ((0, x), (1, y)):
                planes.add(axis, value - radius, "beside the way to the roof")
                planes.add(axis, value + radius, "beside the way to the roof")
    for plane in building.roof:
        for x, y in () if plane.is_square else plane.outline:
            planes.add(0, x, plane.id)
            planes.add(1, y, plane.id)


def _grown(outline: tuple[Point2, ...], by_mm: int) -> shapely.Geometry:
    """An outline with its square corners kept; what touches its edge is outside."""
    return shapely.Polygon(outline).buffer(by_mm - _INWARD_MM, join_style="mitre", mitre_limit=20.0)
