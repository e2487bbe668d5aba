"""Straight lines in plan, as far as the checks of a survey need them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot

from service.survey.model import Point2, Room, Storey

PARALLEL_SINE = 0.09
"""Sine of the angle (5 degrees) up to which two lines count as parallel."""


@dataclass(frozen=True, slots=True)
class Line:
    """Plan line of some length [mm]."""

    start: Point2
    end: Point2

    @property
    def length_mm(self) -> float:
        """Length [mm]."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    def along_mm(self, p: Point2) -> float:
        """Distance of ``p`` along the line from its start [mm]."""
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        return ((p[0] - self.start[0]) * dx + (p[1] - self.start[1]) * dy) / self.length_mm

    def aside_mm(self, p: Point2) -> float:
        """Distance of ``p`` from the endless line [mm]."""
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        return abs((p[0] - self.start[0]) * dy - (p[1] - self.start[1]) * dx) / self.length_mm

    def distance_mm(self, p: Point2) -> float:
        """Distance of ``p`` from the line between its ends [mm]."""
        along = self.along_mm(p)
        beyond = max(-along, along - self.length_mm, 0.0)
        return hypot(beyond, self.aside_mm(p))

    def may_reach(self, other: Line, reach_mm: float) -> bool:
        """False when the two are surely farther apart than ``reach_mm``; saves dearer questions."""
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = self.start, self.end, other.start, other.end
        return (
            min(ax, bx) - reach_mm <= max(cx, dx)
            and min(cx, dx) - reach_mm <= max(ax, bx)
            and min(ay, by) - reach_mm <= max(cy, dy)
            and min(cy, dy) - reach_mm <= max(ay, by)
        )

    def is_parallel(self, other: Line) -> bool:
        """Whether the two run the same way or opposite ways."""
        ax, ay = self.end[0] - self.start[0], self.end[1] - self.start[1]
        bx, by = other.end[0] - other.start[0], other.end[1] - other.start[1]
        return abs(ax * by - ay * bx) <= PARALLEL_SINE * self.length_mm * other.length_mm


def edges_of(room: Room) -> Iterator[Line]:
    """Edges of a room."""
    for a, b in zip(room.outline, room.outline[1:] + room.outline[:1], strict=True):
        if a != b:
            yield Line(a, b)


def room_edges(storey: Storey) -> Iterator[Line]:
    """Edges of all rooms of a storey."""
    for room in storey.rooms:
        yield from edges_of(room)
