"""What a room has for combustion air: the rooms it shares air with, the appliances in them, walls to the outdoors."""

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
class _Link:
    """Two rooms that share air, and how."""

    ends: frozenset[str]
    same_storey: bool
    joined: Joined

    def opens(self, load_w: float) -> bool:
        """Whether the rooms count as one for this input [W]; areas that are not told are none."""
        top, bottom = self.joined.top_area_mm2 or 0.0, self.joined.bottom_area_mm2 or 0.0
        if not self.same_storey:
            return air.enough(top + bottom, air.storeys_opening_mm2(load_w))
        if self.joined.by is JoinedBy.DOORLESS:
            return True
        return air.enough(min(top, bottom), air.indoor_opening_mm2(load_w))


class AirSpaces:
    """Rooms of a house as spaces of air. Rooms are named by id."""

    def __init__(self, survey: Survey, building: Building) -> None:
        self._appliances = [a for a in survey.gas.appliances if a.direct_vent is not True]
        self._facts = {r.id: r for s in survey.storeys for r in s.rooms}
        self._built = {r.id: r for r in building.rooms}
        self._volumes_m3 = {r.id: r.volume_m3 for r in building.rooms}
        self._links = _links(self._facts.values(), {r.id: r.storey for r in building.rooms})
        self._outer, self._beside = _walls(building)
        self._shared: dict[frozenset[str], frozenset[str]] = {}
        self._inputs: dict[frozenset[str], AirLoad] = {}

    def volume_m3(self, rooms: Iterable[str]) -> float:
        """Volume of rooms together [m3]."""
        return sum(self._volumes_m3[r] for r in sorted(rooms))

    def shared(self, rooms: Iterable[str]) -> frozenset[str]:
        """Rooms and all that share air with them through whatever opening."""
        asked = frozenset(rooms)
        if asked not in self._shared:
            self._shared[asked] = frozenset(self._spread(asked, self._links))
        return self._shared[asked]

    def counted(self, room: str, load_w: float, bought: Iterable[str] = ()) -> tuple[str, ...]:
        """Rooms whose volume counts for a heater in this room, itself first: those joined by openings large enough for
        the input [W], and those that grilles are bought to."""
        links = [link for link in self._links if link.opens(load_w) and all(self.joins(e) for e in link.ends)]
        reached = self._spread([room, *bought], links)
        return room, *sorted(reached - {room})

    def load(self, rooms: frozenset[str], heater: Heater) -> AirLoad:
        """Inputs of the heater and of whatever else burns, or may burn, the air of rooms."""
        if rooms not in self._inputs:
            others = self._others(rooms)
            fan = sum(a.input_w for a in others if a.fan_assisted is True)
            self._inputs[rooms] = AirLoad(fan, sum(a.input_w for a in others if a.fan_assisted is not True))
        old = self._inputs[rooms]
        return AirLoad(heater.input_max_w + old.fan_w, old.other_w)

    def connectors_mm2(self, rooms: frozenset[str], heater: Heater) -> float | None:
        """Area of all vent connectors in rooms [mm2], None where one is not known."""
        widths = [a.vent_diameter_mm for a in self._others(rooms)]
        known = [w for w in widths if w is not None]
        if len(known) < len(widths):
            return None
        return pi * heater.vent.pipe_radius_mm**2 + sum(pi / 4 * w * w for w in known)

    def exhaust_m3_s(self, rooms: Iterable[str]) -> float:
        """What fans are known to take out of rooms [m3/s]."""
        return sum(self._facts[r].exhaust_m3_s or 0.0 for r in sorted(rooms))

    def joins(self, room: str) -> bool:
        """Whether the room's air may be counted with another room's."""
        return air.joins(self._built[room].use) and not self.sealed(room)

    def sealed(self, room: str) -> bool:
        """Whether the room is an enclosure, which gets all its air from outdoors."""
        return self._facts[room].enclosure is not None

    def neighbours(self, room: str) -> list[str]:
        """Rooms behind this one's walls, by id."""
        return sorted(self._beside.get(room, ()))

    def has_outer_wall(self, room: str) -> bool:
        """Whether the room has a wall to the outdoors."""
        return room in self._outer

    def is_under_roof(self, room: str) -> bool:
        """Whether nothing but the roof is known to lie over the room."""
        return self._facts[room].under_roof is True

    def passage(self, room: str) -> tuple[str, ...] | None:
        """Adjoining room that a duct to the outdoors passes, none if the room has its own outer wall; None: no way."""
        if self.has_outer_wall(room):
            return ()
        if not air.may_pass(self._built[room].use):
            return None
        through = (n for n in self.neighbours(room) if self.has_outer_wall(n) and air.may_pass(self._built[n].use))
        found = next(through, None)
        return None if found is None else (found,)

    def _others(self, rooms: frozenset[str]) -> list[Appliance]:
        """An appliance whose room is not known may stand in these."""
        return [a for a in self._appliances if a.room is None or a.room in rooms]

    def _spread(self, rooms: Iterable[str], links: Iterable[_Link]) -> set[str]:
        reached, waiting = set(rooms), list(rooms)
        ends: dict[str, list[str]] = {}
        for a, b in (sorted(link.ends) for link in links):
            ends.setdefault(a, []).append(b)
            ends.setdefault(b, []).append(a)
        while waiting:
            new = [r for r in ends.get(waiting.pop(), ()) if r not in reached]
            reached.update(new)
            waiting += new
        return reached


def _links(rooms: Iterable[Room], storeys: dict[str, int]) -> tuple[_Link, ...]:
    return tuple(
        _Link(frozenset((r.id, j.room)), storeys[r.id] == storeys[j.room], j) for r in rooms for j in r.joined
    )


def _walls(building: Building) -> tuple[frozenset[str], dict[str, set[str]]]:
    """Rooms with an outer wall, and the rooms beside each, by walls on which an opening has room."""
    room_of = {f.id: f.room_id for f in building.faces}
    least_mm = table("combustion_air").constant("least_dimension") * 1000
    wide = [(f.room_id, t) for f in building.faces for t in f.stretches if t.s1 - t.s0 >= least_mm]
    beside: dict[str, set[str]] = {}
    for room, stretch in wide:
        if stretch.behind is Behind.ROOM and stretch.face_id is not None:
            beside.setdefault(room, set()).add(room_of[stretch.face_id])
    return frozenset(room for room, t in wide if t.behind is Behind.OUTDOORS), beside
