"""Places that a survey asks about, tied to the house."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import hypot
from typing import TypeVar

from service.building.model import Building, Facade, Face
from service.clearance.model import FAR_MM, Box
from service.clearance.plane import facade_plane, face_plane
from service.survey.model import AskedMount, AskedTerminal, Point2

W = TypeVar("W", Face, Facade)


@dataclass(frozen=True, slots=True)
class Pin:
    """A place on a face or facade: distance along it and absolute height, None for any height [mm]."""

    surface_id: str
    s_mm: int
    z_mm: int | None

    def boxes(self, shift: int = 0) -> Iterator[Box]:
        """Open boxes that leave nothing of the surface but the place, moved along it by ``shift``."""
        s = self.s_mm + shift
        yield -FAR_MM, s, -FAR_MM, FAR_MM
        yield s, FAR_MM, -FAR_MM, FAR_MM
        if self.z_mm is not None:
            yield -FAR_MM, FAR_MM, -FAR_MM, self.z_mm
            yield -FAR_MM, FAR_MM, self.z_mm, FAR_MM


EVERYWHERE = ((-FAR_MM, FAR_MM, -FAR_MM, FAR_MM),)


def mount_pin(building: Building, asked: AskedMount) -> Pin:
    """The place on the nearest wall of the room asked about. KeyError for a room that the house has not."""
    face, s = _nearest([f for f in building.faces if f.room_id == asked.room], building, asked.at)
    floor = building.room(asked.room).floor_z
    return Pin(face.id, s, None if asked.height_mm is None else floor + asked.height_mm)


def terminal_pin(building: Building, asked: AskedTerminal) -> Pin:
    """The place on the nearest facade."""
    facade, s = _nearest(building.facades, building, asked.at)
    ground = max(step.z for step in facade.grade if step.s0 <= s <= step.s1)
    return Pin(facade.id, s, None if asked.height_mm is None else ground + asked.height_mm)


def _nearest(walls: Iterable[W], building: Building, at: Point2) -> tuple[W, int]:
    """The wall nearest to a point of the survey, by id where two are as near, and the distance along it [mm]."""
    point = building.frame.to_frame(at)
    wall = min(walls, key=lambda w: (_place(w, point)[1], w.id))
    return wall, _place(wall, point)[0]


def _place(wall: Face | Facade, point: Point2) -> tuple[int, float]:
    """Distance along a wall to its place nearest to a point, and how far that is from the point [mm]."""
    s, off = (face_plane(wall) if isinstance(wall, Face) else facade_plane(wall)).place(point)
    along = min(max(s, 0.0), float(wall.length_mm))
    return round(along), hypot(s - along, off)
