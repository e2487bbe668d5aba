"""Whether a piece goes square through a wall, a floor or out of the house."""

from __future__ import annotations

from service.building.model import Behind, Building, Face, Stretch
from service.check.measure import SKEW_TOLERANCE_MM, along_mm, contains, is_on, is_square_to, offset_mm
from service.check.place import OUTDOORS, Places, Step, face_holds, plan, room_place, rooms_touched, shown
from service.check.surfaces import enters, opening_hit
from service.design import Piece, Surface
from service.survey.model import Point3


def through_wall(building: Building, places: Places, piece: Piece, margin: int) -> Step:
    """A piece from a wall face to the face at its back, ``margin`` [mm] clear of openings."""
    reached = {
        room_place(back.room_id)
        for face, stretch in _stretches(building, places, piece.start, (Behind.ROOM,))
        for back in building.faces
        if back.id == stretch.face_id and face_holds(back, piece.end) and _straight(face, piece)
        and not _hole_at(face, piece.start, margin) and not _hole_at(back, piece.end, margin)
    }  # fmt: skip
    if not reached:
        fault = f"{shown(piece)} does not go square through a wall between two rooms"
        return Step(places | rooms_touched(building, piece.end), "route.wall_crossing", fault)
    return Step(frozenset(reached))


def _stretches(building: Building, places: Places, p: Point3, behind: tuple[Behind, ...]) -> list[tuple[Face, Stretch]]:
    """Faces of the places at a point, with the stretch there, as far as the right thing is behind."""
    return [
        (f, t)
        for f in building.faces
        if room_place(f.room_id) in places and face_holds(f, p)
        for t in f.stretches
        if t.behind in behind and t.s0 <= along_mm(f, plan(p)) <= t.s1
    ]


def _straight(face: Face, piece: Piece) -> bool:
    """Whether a piece goes level and square to the face."""
    return piece.start[2] == piece.end[2] and is_square_to(face, plan(piece.start), plan(piece.end))


def _hole_at(face: Face, p: Point3, margin: int) -> bool:
    return bool(opening_hit(face, Piece(p, p, Surface.WALL), margin))


def through_floor(building: Building, places: Places, piece: Piece) -> Step:
    """A piece from a ceiling to the floor above it, or the other way."""
    a, b = piece.start, piece.end
    upright = plan(a) == plan(b)
    holding = [r for r in building.rooms if upright and contains(r.outline, plan(a))]
    reached = {
        room_place(after.id)
        for before in holding
        for after in holding
        if room_place(before.id) in places and before is not after
        and (
            (before.ceiling_z == a[2] <= b[2] == after.floor_z)
            or (before.floor_z == a[2] >= b[2] == after.ceiling_z)
        )
    }  # fmt: skip
    if not reached or any(enters(r.outline, r.floor_z, r.ceiling_z, piece) for r in building.rooms):
        fault = f"{shown(piece)} does not go upright from a ceiling to the floor of the room above"
        return Step(places | rooms_touched(building, b), "route.floor_crossing", fault)
    return Step(frozenset(reached))


def through_outer_wall(building: Building, places: Places, piece: Piece, margin: int) -> Step:
    """A piece from a wall face to the outside of that wall."""
    for face, stretch in _stretches(building, places, piece.start, (Behind.OUTDOORS, Behind.EARTH)):
        through = _straight(face, piece) and _emerges(building, face, stretch, piece)
        if through and not _hole_at(face, piece.start, margin):
            return Step(frozenset({OUTDOORS}))
    fault = f"{shown(piece)} does not go square from a wall face to the outside of that wall"
    return Step(places, "route.outer_wall", fault)


def _emerges(building: Building, face: Face, stretch: Stretch, piece: Piece) -> bool:
    """Whether a piece ends on the outer side of the wall: on its facade or at the wall's thickness."""
    depth = -offset_mm(face, plan(piece.end))
    if abs(depth - stretch.thickness_mm) <= (0 if face.axis is not None else SKEW_TOLERANCE_MM):
        return True
    return any(f.id == stretch.facade_id and is_on(f, plan(piece.end)) for f in building.facades)
