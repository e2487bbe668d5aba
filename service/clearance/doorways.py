"""Where the working space of a closet may lie when its doors stand open."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Polygon, unary_union
from shapely.geometry.base import BaseGeometry

from service.building.model import Building, BuiltRoom, Face, Hole
from service.clearance.model import FAR_MM
from service.clearance.plane import Plane, face_plane
from service.survey.model import OpeningKind

_REACH_MM = 5_000
"""How far out of a door is looked; more than any working space is deep [mm]."""
_DOORS = (OpeningKind.DOOR, OpeningKind.GARAGE_DOOR)


def service_areas(building: Building, room: BuiltRoom) -> list[tuple[int, BaseGeometry]]:
    """Plan areas in which a working space is free of walls, each for cases whose top is over the height told [mm].

    The first holds for every case; each further one leaves out the doors that are no higher than that.
    """
    own = Polygon(room.outline)
    doors = sorted(_doors(building, room), key=lambda door: door[0])
    heights = (-FAR_MM, *(head for head, _ in doors))
    return [(top, unary_union([own, *(ground for head, ground in doors if head > top)])) for top in heights]


def _doors(building: Building, room: BuiltRoom) -> Iterator[tuple[int, BaseGeometry]]:
    """Head of each door down to the floor that leads on at one level, and the ground straight out of it."""
    beyond = next((r for r in building.rooms if r.id == room.opens_only_into), None)
    if beyond is None or beyond.floor_z != room.floor_z:
        return
    for face in (f for f in building.faces if f.room_id == room.id):
        for hole in face.holes:
            if hole.kind in _DOORS and hole.z0 <= room.floor_z:
                yield hole.z1, _ground(face, hole, Polygon(beyond.outline))


def _ground(face: Face, hole: Hole, beyond: BaseGeometry) -> BaseGeometry:
    middle, plane = (hole.s0 + hole.s1) / 2, face_plane(face)
    thickness = next(s.thickness_mm for s in face.stretches if middle <= s.s1)
    through = _out_of(plane, hole, thickness)
    return _out_of(plane, hole, _REACH_MM).intersection(unary_union([through, beyond]))


def _out_of(plane: Plane, hole: Hole, far: int) -> Polygon:
    """Ground from a hole to ``far`` behind its wall's plane."""
    left, right = (-plane.uy * plane.side, plane.ux * plane.side)
    corners = ((hole.s0, 0), (hole.s1, 0), (hole.s1, -far), (hole.s0, -far))
    return Polygon([
        (plane.start[0] + s * plane.ux + n * left, plane.start[1] + s * plane.uy + n * right) for s, n in corners
    ])  # fmt: skip
