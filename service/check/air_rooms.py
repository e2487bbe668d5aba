"""Which rooms share air, what burns in them, and which walls an opening may be cut in: the checker's own account."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import pi

from service.building.model import Behind, Building
from service.rules.tables import table
from service.survey.equipment import Heater
from service.survey.model import Appliance, Joined, JoinedBy, Room, Survey
from service.trades import air
from service.trades.air import AirLoad


@dataclass(frozen=True, slots=True)
class AirRooms:
    """A survey and its house, asked for what combustion air needs to know. Rooms are named by id."""

    survey: Survey
    building: Building

    def room(self, room: str) -> Room | None:
        """What the survey tells of a room."""
        return next((r for s in self.survey.storeys for r in s.rooms if r.id == room), None)

    def volume_m3(self, rooms: Iterable[str]) -> float:
        """Volume of rooms together [m3]."""
        named = set(rooms)
        return sum(r.volume_m3 for r in self.building.rooms if r.id in named)

    def sharing(self, room: str, bought: Iterable[str]) -> set[str]:
        """Rooms that draw on the same air through any opening, whatever its size."""
        return _flood({room, *bought}, [(a, j.room) for a, j in self._joined()])

    def counting(self, room: str, load: AirLoad, bought: Iterable[str]) -> set[str]:
        """Rooms whose volume may be counted for a heater in this one."""
        wide = [(a, j.room) for a, j in self._joined() if self._is_wide(a, j, load)]
        return _flood({room, *bought}, [(a, b) for a, b in wide if self.may_join(a) and self.may_join(b)])

    def load(self, heater: Heater, rooms: set[str]) -> AirLoad:
        """Inputs that burn the air of rooms: an unknown draft as room air, an unknown room as one of these."""
        fan = other = 0.0
        for appliance in self.taking(rooms):
            if appliance.fan_assisted:
                fan += appliance.input_w
            else:
                other += appliance.input_w
        return AirLoad(fan + heater.input_max_w, other)

    def taking(self, rooms: set[str]) -> list[Appliance]:
        """Appliances that may burn the air of rooms."""
        return [a for a in self.survey.gas.appliances if not a.direct_vent and (a.room is None or a.room in rooms)]

    def connectors_mm2(self, heater: Heater, rooms: set[str]) -> tuple[float, list[str]]:
        """Area of the known vent connectors in rooms [mm2], and the appliances whose connector is not known."""
        area, unknown = pi * heater.vent.pipe_radius_mm**2, []
        for appliance in self.taking(rooms):
            if appliance.vent_diameter_mm is None:
                unknown.append(appliance.id)
            else:
                area += pi * (appliance.vent_diameter_mm / 2) ** 2
        return area, unknown

    def exhaust(self, rooms: set[str]) -> tuple[float, list[str]]:
        """What fans are known to take out of rooms [m3/s], and the rooms of which it is not known."""
        found = [(r, room.exhaust_m3_s) for r in sorted(rooms) if (room := self.room(r)) is not None]
        return sum(flow for _, flow in found if flow is not None), [r for r, flow in found if flow is None]

    def may_join(self, room: str) -> bool:
        """Whether a room's air may be counted with another's."""
        found = self.room(room)
        return found is not None and air.joins(found.use) and found.enclosure is None

    def may_be_passed(self, room: str) -> bool:
        """Whether a duct may lead through a room."""
        found = self.room(room)
        return found is not None and air.may_pass(found.use)

    def walls(self, room: str) -> tuple[bool, set[str]]:
        """Whether a room has an outer wall, and the rooms beside it, where an opening has room on the wall."""
        least_mm = table("combustion_air").constant("least_dimension") * 1000
        wide = [t for f in self.building.faces if f.room_id == room for t in f.stretches if t.s1 - t.s0 >= least_mm]
        faces = {t.face_id for t in wide if t.behind is Behind.ROOM}
        return any(t.behind is Behind.OUTDOORS for t in wide), {
            f.room_id for f in self.building.faces if f.id in faces
        }  # fmt: skip

    def under_roof(self, room: str) -> bool | None:
        """Whether nothing but the roof lies over a room, None if nobody tells."""
        found = self.room(room)
        return None if found is None else found.under_roof

    def _storey(self, room: str) -> int:
        return self.building.room(room).storey

    def _joined(self) -> list[tuple[str, Joined]]:
        return [(r.id, j) for s in self.survey.storeys for r in s.rooms for j in r.joined]

    def _is_wide(self, room: str, joined: Joined, load: AirLoad) -> bool:
        areas = (joined.top_area_mm2 or 0.0, joined.bottom_area_mm2 or 0.0)
        if self._storey(room) != self._storey(joined.room):
            return air.enough(sum(areas), air.storeys_opening_mm2(load.total_w))
        return joined.by is JoinedBy.DOORLESS or air.enough(min(areas), air.indoor_opening_mm2(load.total_w))


def _flood(reached: set[str], pairs: list[tuple[str, str]]) -> set[str]:
    """Everything that pairs lead to from what is reached."""
    beside: dict[str, set[str]] = {}
    for a, b in pairs:
        beside.setdefault(a, set()).add(b)
        beside.setdefault(b, set()).add(a)
    new = reached
    while new:
        new = set().union(*(beside.get(room, set()) for room in new)) - reached
        reached = reached | new
    return reached
