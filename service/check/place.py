"""Where a run may be: rooms, shafts, outdoors; and what touches a room."""

from __future__ import annotations

from dataclasses import dataclass

from service.building.model import Building, BuiltRoom, Face
from service.check.measure import contains, is_on
from service.design import Piece, Surface
from service.survey.model import Point2, Point3

Places = frozenset[str]
OUTDOORS = "outdoors"
WALLS = (Surface.WALL, Surface.WALL_FINISHED)
CEILINGS = (Surface.CEILING, Surface.CEILING_FINISHED)
FINISHED = (Surface.WALL_FINISHED, Surface.CEILING_FINISHED)


@dataclass(frozen=True, slots=True)
class Step:
    """Where a run may be after a piece; ``rule_id`` names what the piece breaks, if anything."""

    places: Places
    rule_id: str = ""
    fault: str = ""


def room_place(room_id: str) -> str:
    """Place name of a room."""
    return f"room {room_id}"


def plan(p: Point3) -> Point2:
    """Plan point of a point."""
    return p[0], p[1]


def rooms_touched(building: Building, p: Point3) -> Places:
    """Rooms on whose wall faces or ceiling a point lies."""
    return frozenset(room_place(r.id) for r in building.rooms if _touches(building, r, p))


def _touches(building: Building, room: BuiltRoom, p: Point3) -> bool:
    on_ceiling = p[2] == room.ceiling_z and contains(room.outline, plan(p))
    return on_ceiling or any(face_holds(f, p) for f in building.faces if f.room_id == room.id)


def face_holds(face: Face, p: Point3) -> bool:
    """Whether a point lies on a wall face."""
    return face.z0 <= p[2] <= face.z1 and is_on(face, plan(p))


def rooms_of(building: Building, places: Places) -> list[BuiltRoom]:
    """Rooms among places."""
    return [r for r in building.rooms if room_place(r.id) in places]


def room_spans(room: BuiltRoom, p: Point3) -> bool:
    """Whether a point lies in a room, its boundary counting as inside."""
    return room.floor_z <= p[2] <= room.ceiling_z and contains(room.outline, plan(p))


def shown(piece: Piece) -> str:
    """A piece in words."""
    return f"piece {piece.start} to {piece.end}"
