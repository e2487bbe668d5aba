"""The case in place, and plan shapes laid before its wall."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import box
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from service.building.model import Building, BuiltRoom, Facade, Face
from service.design import Design
from service.survey.model import Room, RoomUse, Survey


@dataclass(frozen=True, slots=True)
class Hung:
    """The case in place: on ``face`` from ``s0`` to ``s1``, heights ``z0`` to ``z1`` [mm]."""

    survey: Survey
    building: Building
    design: Design
    face: Face
    room: BuiltRoom
    s0: int
    s1: int
    z0: int
    z1: int

    @property
    def surveyed(self) -> Room | None:
        """What the survey tells of the room."""
        return self.survey.room(self.room.id)

    @property
    def onward(self) -> tuple[RoomUse, ...]:
        """Uses of the rooms through which alone the heater's room is reached, one behind another."""
        uses, seen, at = [], {self.room.id}, self.room.opens_only_into
        while at is not None and at not in seen:
            seen.add(at)
            room = next((r for r in self.building.rooms if r.id == at), None)
            if room is None:
                break
            uses.append(room.use)
            at = room.opens_only_into
        return tuple(uses)

    def outline(self, s0: int, s1: int, near: int, far: int) -> BaseGeometry:
        """Plan outline of a box before the wall, from ``near`` to ``far`` off it [mm]."""
        return laid(self.face, box(s0, near, s1, far))


def hung_on(survey: Survey, building: Building, design: Design, face: Face) -> Hung:
    """Seen from the room s grows to the left, so the case reaches from its right edge up to its left."""
    heater, mount = design.heater, design.mount
    left = mount.s_mm + heater.vent_dx_mm
    top = mount.bottom_z_mm + heater.height_mm
    room = building.room(face.room_id)
    return Hung(survey, building, design, face, room, left - heater.width_mm, left, mount.bottom_z_mm, top)


def laid(face: Face | Facade, shape: BaseGeometry) -> BaseGeometry:
    """Shape in (along a wall, off it to its left) carried to the plan [mm]."""
    (ax, ay), (bx, by) = face.start, face.end
    length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    ux, uy = (bx - ax) / length, (by - ay) / length
    return affine_transform(shape, [ux, -uy, uy, ux, ax, ay])
