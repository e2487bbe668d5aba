"""Rooms of the frame and their wall edges, each with its own way of measuring along and outward."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import hypot

import numpy as np
import numpy.typing as npt
from shapely import Polygon

from service.building.frame import REPORT_MM, edges_of, square, weld
from service.building.model import BuiltRoom, Frame
from service.phrases import mm, phrase, text
from service.survey.model import Point2, Room, Storey, Survey, UnitSystem

Vector = tuple[float, float]
Bools = npt.NDArray[np.bool_]

PARALLEL = 0.02
"""Sine of the angle up to which two directions count as parallel."""


@dataclass(frozen=True, slots=True)
class Line:
    """Directed straight wall line: ``along`` its direction, ``out`` to its right [mm]."""

    origin: Vector
    ux: float
    uy: float

    def along(self, p: Vector) -> float:
        """Distance of ``p`` along the line from its origin [mm]."""
        return (p[0] - self.origin[0]) * self.ux + (p[1] - self.origin[1]) * self.uy

    def out(self, p: Vector) -> float:
        """Distance of ``p`` to the right of the line [mm]."""
        return (p[0] - self.origin[0]) * self.uy - (p[1] - self.origin[1]) * self.ux

    def at(self, along: float, out: float = 0.0) -> Vector:
        """Plan point at a distance along and outward [mm], unrounded."""
        return (
            self.origin[0] + along * self.ux + out * self.uy,
            self.origin[1] + along * self.uy - out * self.ux,
        )

    def cross(self, other: Line) -> float:
        """Sine of the angle from this direction to the other's, positive to the left."""
        return self.ux * other.uy - self.uy * other.ux

    def dot(self, other: Line) -> float:
        """Cosine of the angle between the directions."""
        return self.ux * other.ux + self.uy * other.uy


def line_between(a: Vector, b: Vector) -> Line:
    """Line from ``a`` towards ``b``; raises ZeroDivisionError when they coincide."""
    length = hypot(b[0] - a[0], b[1] - a[1])
    return Line(a, (b[0] - a[0]) / length, (b[1] - a[1]) / length)


class Upright:
    """Upright surfaces as columns: heights and directions of all of them asked about at once."""

    def __init__(self, surfaces: Iterable[tuple[int, int, Line]]) -> None:
        """From the floor, the ceiling and the line of each."""
        rows = np.array([(z0, z1, line.ux, line.uy) for z0, z1, line in surfaces], dtype=float)
        self._z0, self._z1, self._ux, self._uy = rows.reshape(-1, 4).T

    def beside(self, z0: int, z1: int) -> Bools:
        """Which have a height in common with a range [mm]."""
        return np.asarray(np.minimum(self._z1, z1) > np.maximum(self._z0, z0))

    def parallel(self, line: Line, sine: float) -> Bools:
        """Which run along a line, or the other way, up to an angle of that sine."""
        return np.asarray(np.abs(line.ux * self._uy - line.uy * self._ux) <= sine)

    def against(self, line: Line) -> Bools:
        """Which run the other way than a line, or square to it."""
        return np.asarray(line.ux * self._ux + line.uy * self._uy <= 0)


@dataclass(frozen=True, slots=True)
class Edge:
    """One straight inside wall of a room; the room lies to the left."""

    id: str
    index: int
    room: BuiltRoom
    start: Point2
    end: Point2
    line: Line
    axis: int | None
    length_mm: int

    @property
    def z0(self) -> int:
        """Floor of the room [mm]."""
        return self.room.floor_z

    @property
    def z1(self) -> int:
        """Ceiling of the room [mm]."""
        return self.room.ceiling_z


def ordered_storeys(survey: Survey) -> tuple[Storey, ...]:
    """Storeys from the lowest up; their place here is the storey number of the building."""
    return tuple(sorted(survey.storeys, key=lambda s: (s.floor_z_mm, s.ceiling_z_mm, s.id)))


def build_rooms(survey: Survey, frame: Frame) -> tuple[tuple[BuiltRoom, ...], list[str]]:
    """Rooms in the frame, sorted by storey and place, and what had to be moved."""
    rooms: dict[tuple[int, str], BuiltRoom] = {}
    moves: dict[str, float] = {}
    for number, storey in enumerate(ordered_storeys(survey)):
        for room in storey.rooms:
            outline, moves[room.id] = _sound_outline(room, frame)
            rooms[number, room.id] = _built(room, number, outline)
    if frame.angle_rad:
        welded = weld({key: room.outline for key, room in rooms.items()})
        rooms = {k: replace(r, outline=welded[k]) if Polygon(welded[k]).is_valid else r for k, r in rooms.items()}
    ordered = sorted(rooms.values(), key=lambda r: (r.storey, r.outline[0][::-1], r.outline, r.id))
    return tuple(ordered), [_moved(i, by, survey.units) for i, by in sorted(moves.items()) if by > REPORT_MM]


def _moved(room_id: str, by_mm: float, units: UnitSystem) -> str:
    squared = f"Room {room_id}: walls nearly square to the house were squared, moving a corner by "
    return text(phrase(squared, mm(by_mm), "."), units)


def _sound_outline(room: Room, frame: Frame) -> tuple[tuple[Point2, ...], float]:
    outline, moved = square(room.outline, frame)
    if Polygon(outline).is_valid:
        return outline, moved
    return tuple(frame.to_frame(p) for p in room.outline), 0.0


def _built(room: Room, storey: int, outline: tuple[Point2, ...]) -> BuiltRoom:
    return BuiltRoom(
        id=room.id,
        storey=storey,
        use=room.use,
        finished=room.finished,
        outline=outline,
        floor_z=room.floor_z_mm,
        ceiling_z=room.ceiling_z_mm,
        opens_only_into=room.opens_only_into,
    )


def build_edges(rooms: tuple[BuiltRoom, ...], storeys: tuple[Storey, ...]) -> tuple[Edge, ...]:
    """Wall edges of all rooms, counter-clockwise from each room's lowest, then leftmost corner."""
    return tuple(
        _edge(room, storeys[room.storey].id, number, a, b)
        for room in rooms
        for number, (a, b) in enumerate(edges_of(room.outline))
    )


def _edge(room: BuiltRoom, storey_id: str, number: int, a: Point2, b: Point2) -> Edge:
    axis = 0 if a[1] == b[1] else 1 if a[0] == b[0] else None
    length = round(hypot(b[0] - a[0], b[1] - a[1]))
    face_id = f"{storey_id}/{room.id}/{number + 1}"
    return Edge(face_id, number, room, a, b, line_between(a, b), axis, length)
