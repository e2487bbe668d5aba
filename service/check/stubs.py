"""Whether the straight connectors at the far end of a run are no more than that."""

from __future__ import annotations

from fractions import Fraction
from math import hypot

from shapely import LineString, Polygon

from service.building.model import Building, BuiltRoom
from service.check.measure import apart, contains, floor_root, point_segment_gap2
from service.check.place import OUTDOORS, Places, plan, rooms_of
from service.check.surfaces import enters
from service.design import Piece, Route, Service, Surface
from service.survey.model import Point2, Point3

SLACK_MM = 2
"""Rounding of a foot on a skew wall, and of the distance itself [mm]."""
Line = tuple[Point3, Point3]


def stub_faults(building: Building, places: Places, route: Route, targets: list[Line]) -> list[str]:
    """What is wrong with the stubs of a run that is in ``places`` where they begin.

    ``targets`` is the existing pipe or point that the run ends at, in the frame.
    """
    first = next((i for i, p in enumerate(route.pieces) if p.surface is Surface.STUB), len(route.pieces))
    stubs = route.pieces[first:]
    if not stubs:
        return []
    if route.service is Service.VENT:
        return ["a vent has no stub"]
    if any(p.surface is not Surface.STUB for p in stubs):
        return ["a stub lies elsewhere than at the far end"]
    if OUTDOORS in places:
        return _outdoor_faults(building, stubs)
    tried = [_indoor_faults(building, r, stubs, targets) for r in rooms_of(building, places)]
    return min(tried, key=len, default=["the stub begins in no room"])


def _outdoor_faults(building: Building, stubs: tuple[Piece, ...]) -> list[str]:
    entered = [r.id for r in building.rooms if any(enters(r.outline, r.floor_z, r.ceiling_z, p) for p in stubs)]
    return [f"the stub goes through {', '.join(entered)}"] if entered else []


def _indoor_faults(building: Building, room: BuiltRoom, stubs: tuple[Piece, ...], targets: list[Line]) -> list[str]:
    """Faults of stubs that begin on a surface of a room."""
    entered = [r.id for r in building.rooms if r is not room and any(_strays(room, r, p) for p in stubs)]
    faults = [f"the stub goes through {', '.join(entered)}"] if entered else []
    if any(_leaves_house(building, p) for p in stubs):
        faults.append("the stub goes through an outer wall")
    if not _is_short(building, room, stubs, targets):
        faults.append("the stub is longer than from the nearest wall or from the ceiling above")
    return faults


def _strays(own: BuiltRoom, other: BuiltRoom, piece: Piece) -> bool:
    """Whether a piece runs in or along another room after leaving its own."""
    low, high = sorted((piece.start[2], piece.end[2]))
    if plan(piece.start) == plan(piece.end):
        beyond = (max(low, own.ceiling_z), high), (low, min(high, own.floor_z))
        met = any(a < b and a < other.ceiling_z and b > other.floor_z for a, b in beyond)
        return met and contains(other.outline, plan(piece.start))
    ends = plan(piece.start), plan(piece.end)
    if high < other.floor_z or low > other.ceiling_z or apart(ends, other.outline):
        return False
    line = LineString(ends)
    level = own.floor_z <= low and high <= own.ceiling_z
    left = line.difference(Polygon(own.outline)) if level else line
    return bool(left.intersection(Polygon(other.outline)).length > SLACK_MM)


def _is_short(building: Building, room: BuiltRoom, stubs: tuple[Piece, ...], targets: list[Line]) -> bool:
    """Whether stubs hang straight from the ceiling, or come level from a wall no farther than the nearest one.

    On a straight pipe the nearest wall at either end will do: the run may end anywhere along it.
    """
    start, end = stubs[0].start, stubs[-1].end
    if plan(start) == plan(end):
        return True
    level = min(max(end[2], room.floor_z), room.ceiling_z)
    gap2 = Fraction((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2)
    reach = max(floor_root(_wall_gap2(building, room, p)) for p in (end, *(p for line in targets for p in line)))
    return start[2] == level and gap2 <= (reach + SLACK_MM) ** 2


def _wall_gap2(building: Building, room: BuiltRoom, p: Point3) -> Fraction:
    faces = [f for f in building.faces if f.room_id == room.id]
    return min(point_segment_gap2(plan(p), f.start, f.end) for f in faces)


def _leaves_house(building: Building, piece: Piece) -> bool:
    """Whether a piece passes from the inner to the outer side of a facade where that is wall."""
    a, b = plan(piece.start), plan(piece.end)
    for f in building.facades:
        s, inside, outside = _crossing(f.start, f.end, a, b)
        z0, z1 = sorted((piece.start[2], piece.end[2]))
        if inside and outside and any(s0 <= s <= s1 and z0 < top and z1 > base for s0, s1, base, top in f.spans):
            return True
    return False


def _crossing(start: Point2, end: Point2, a: Point2, b: Point2) -> tuple[float, bool, bool]:
    """Where a -> b meets a line [mm along it], and whether a is strictly left and b strictly right of it."""
    ux, uy = end[0] - start[0], end[1] - start[1]
    left_a = ux * (a[1] - start[1]) - uy * (a[0] - start[0])
    left_b = ux * (b[1] - start[1]) - uy * (b[0] - start[0])
    if not left_a > 0 > left_b:
        return 0.0, left_a > 0, left_b < 0
    t = left_a / (left_a - left_b)
    x, y = a[0] + t * (b[0] - a[0]) - start[0], a[1] + t * (b[1] - a[1]) - start[1]
    return (ux * x + uy * y) / hypot(ux, uy), True, True
