"""Whether a piece goes square through a wall, a floor or out of the house."""

from __future__ import annotations

from service.building.model import Behind, Building, Face, Stretch
from service.check.measure import SKEW_TOLERANCE_MM, along_mm, contains, is_on, is_square_to, offset_mm, reaches
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


def into_the_house(building: Building, piece: Piece, margin: int) -> Step:
    """A piece from the outside of a wall to the room's face behind it, where a heater hangs outdoors."""
    back = Piece(piece.end, piece.start, piece.surface)
    reached = frozenset(
        place
        for room in building.rooms
        if through_outer_wall(building, frozenset({place := room_place(room.id)}), back, margin).places == {OUTDOORS}
    )
    if not reached or piece.surface is not Surface.OUTER_WALL:
        return Step(frozenset({OUTDOORS}), "route.outer_wall", f"{shown(piece)} does not go square into a room")
    return Step(reached)


def through_outer_wall(building: Building, places: Places, piece: Piece, margin: int) -> Step:
    """A piece from a wall face to the outside of that wall."""
    for face, stretch in _stretches(building, places, piece.start, (Behind.OUTDOORS, Behind.EARTH)):
        through = _straight(face, piece) and _emerges(building, face, stretch, piece)
        if through and not _hole_at(face, piece.start, margin):
            return Step(frozenset({OUTDOORS}))
    fault = f"{shown(piece)} does not go square from a wall face to the outside of that wall"
    return Step(places, "route.outer_wall", fault)


def through_roof(building: Building, places: Places, piece: Piece) -> Step:
    """A piece straight up from a ceiling, or from a shaft, through whatever void there is to over the roof."""
    a, b = piece.start, piece.end
    fault = "" if plan(a) == plan(b) and b[2] > a[2] else "does not go straight up"
    if not fault and not _below_roof(building, places, a):
        fault = "does not begin at a ceiling, or in a shaft, that the run has reached"
    fault = fault or _in_the_way(building, piece)
    return Step(places, "route.roof", f"{shown(piece)} {fault}") if fault else Step(frozenset({OUTDOORS}))


def _below_roof(building: Building, places: Places, p: Point3) -> bool:
    rooms = [r for r in building.rooms if r.ceiling_z == p[2] and reaches(r.outline, plan(p))]
    shafts = [c for c in building.chases if c.z0 <= p[2] <= c.z1 and contains(c.outline, plan(p))]
    return any(room_place(r.id) in places for r in rooms) or any(f"chase {c.id}" in places for c in shafts)


def _in_the_way(building: Building, piece: Piece) -> str:
    """What a piece passes that it must not: another room, or a thing that stands there."""
    rooms = [r.id for r in building.rooms if enters(r.outline, r.floor_z, r.ceiling_z, piece)]
    things = [k.id for k in building.keep_outs if enters(k.outline, k.z0, k.z1, piece)]
    return f"passes {(rooms + things)[0]}" if rooms or things else ""


def _emerges(building: Building, face: Face, stretch: Stretch, piece: Piece) -> bool:
    """Whether a piece ends on the outer side of the wall: on its facade or at the wall's thickness."""
    depth = -offset_mm(face, plan(piece.end))
    if abs(depth - stretch.thickness_mm) <= (0 if face.axis is not None else SKEW_TOLERANCE_MM):
        return True
    return any(f.id == stretch.facade_id and is_on(f, plan(piece.end)) for f in building.facades)
