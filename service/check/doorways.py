"""The ground on which one may stand before the case: its room, and what lies straight out of open doors."""

from __future__ import annotations

from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

from service.building.model import BuiltRoom, Face, Hole
from service.check.hung import Hung, laid
from service.survey.model import OpeningKind

OUT_MM = 5_000
"""More than any working space is deep [mm]."""


def service_area(hung: Hung) -> BaseGeometry:
    """The room's plan, for a room serviced through its door with what its doors leave free beyond.

    A door counts that goes from the floor to the case's top or higher and leads to a room on one level.
    """
    area: BaseGeometry = Polygon(hung.room.outline)
    beyond = next((r for r in hung.building.rooms if r.id == hung.room.opens_only_into), None)
    through = hung.surveyed is not None and hung.surveyed.serviced_through_door
    if not through or beyond is None or beyond.floor_z != hung.room.floor_z:
        return area
    for face in hung.building.faces:
        if face.room_id == hung.room.id:
            for hole in face.holes:
                if hole.kind is not OpeningKind.WINDOW and hole.z0 <= hung.room.floor_z and hole.z1 >= hung.z1:
                    area = area.union(_beyond(face, hole, beyond))
    return area


def _beyond(face: Face, hole: Hole, room: BuiltRoom) -> BaseGeometry:
    """Ground out of a door: the wall's own thickness, then the other room."""
    centre = (hole.s0 + hole.s1) / 2
    wall = next(s for s in face.stretches if s.s0 <= centre <= s.s1)
    way = laid(face, box(hole.s0, -OUT_MM, hole.s1, 0))
    sill = laid(face, box(hole.s0, -wall.thickness_mm, hole.s1, 0))
    return sill.union(way.intersection(Polygon(room.outline)))
