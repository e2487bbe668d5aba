"""Parts of the space of designs by what a customer sees of them, and a search held to such a part.

A design has four *features*: the room it hangs in, the facade or roof where its vent ends, the heater, and the gas pipe
that it is tapped from. A *region* is all designs but those with some values of some features.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

from service.building.model import Face
from service.clearance.model import Zone
from service.clearance.pins import EVERYWHERE
from service.design import Design, RoofTerminal, Service
from service.siting.active import Active, hung_on, on_surface
from service.siting.gas_branches import GasBranches
from service.siting.ground import Ground
from service.siting.needs import Need, with_leaders
from service.siting.roof import surfaces_of
from service.siting.terminals import sides_of, terminal_key
from service.siting.zones import ByWall, Zones
from service.survey.equipment import Heater
from service.survey.intake_listing import IntakeSide

FEATURES = ("room", "way_out", "heater", "gas_pipe")
OUTDOORS = "outdoors"
"""Stands for the room of what hangs outdoors."""
ELSEWHERE = "wanted_elsewhere"
"""Stands for a rule in the zones that hold a search to a region; no design is ever judged by it."""
Features = tuple[str, str, str, str]


@dataclass(frozen=True, slots=True)
class Region:
    """All designs but those with these values, a set for each of FEATURES."""

    without: tuple[frozenset[str], ...] = (frozenset(),) * len(FEATURES)

    def less(self, feature: int, value: str) -> Region:
        """The region without one more value of a feature."""
        sets = list(self.without)
        sets[feature] = sets[feature] | {value}
        return Region(tuple(sets))

    def holds(self, features: Features) -> bool:
        """Whether a design with these features is of it."""
        return not any(value in without for value, without in zip(features, self.without, strict=True))

    def is_within(self, other: Region) -> bool:
        """Whether each of its designs is one of the other's."""
        return all(own >= others for own, others in zip(self.without, other.without, strict=True))


class RegionZones(Zones):
    """The zones of a house, and all of some rooms, facades and roof planes."""

    def __init__(self, zones: Zones, rooms: frozenset[str], ways_out: frozenset[str]) -> None:
        """Share what ``zones`` has computed already."""
        super().__init__(zones.building, zones.survey)
        self._all, self._rooms, self._ways_out = zones, rooms, ways_out

    def terminal(self, heater: Heater, side: IntakeSide | None = None) -> ByWall:
        """Zones of a heater's terminal by facade and roof plane."""
        return self._with_closed(self._all.terminal(heater, side))

    def mount(self, heater: Heater, face: Face) -> tuple[Zone, ...]:
        """Zones of a heater's case on a face."""
        return (*_everywhere(face.id, face.room_id in self._rooms), *self._all.mount(heater, face))

    def outdoors(self, heater: Heater) -> ByWall:
        """Zones of a heater's case outdoors by facade."""
        return self._with_closed(self._all.outdoors(heater))

    def hold(self, ground: Ground, active: Active, need: Need | None) -> None:
        """Close all that is not of the region."""
        faces, surfaces = self.building.faces, surfaces_of(self.building)
        rooms = [(i, f.id) for i, f in enumerate(faces) if f.room_id in self._rooms]
        outside = [(i, s.id) for i, s in enumerate(surfaces) if s.id in self._ways_out]
        for n in ground.needs if need is None else (need,):
            facades = [(len(faces) + i, name) for i, name in outside if i < len(self.building.facades)]
            for i, name in facades if n.outdoors else rooms:
                on_mount = hung_on(self.building, ground.sheets, i)
                active.add_mount(n.key, i, _everywhere(name), (0, 0), on_mount)
            for (i, name), side in product(() if n.outdoors else outside, sides_of(n.heater.vent)):
                on = on_surface(self.building, ground.sheets, i)
                active.add_terminal(terminal_key(n.heater, side), i, _everywhere(name), (0, 0), on)

    def _with_closed(self, every: ByWall) -> ByWall:
        return {name: (*_everywhere(name, name in self._ways_out), *zones) for name, zones in every.items()}


def _everywhere(surface_id: str, is_closed: bool = True) -> list[Zone]:
    return [Zone(surface_id, *box, 0, ELSEWHERE, "closed") for box in EVERYWHERE] if is_closed else []


class Featured:
    """Features of the designs of one house, and what a search sees that is held to a region."""

    def __init__(self, ground: Ground, zones: Zones) -> None:
        """Nothing is searched yet."""
        self.ground, self.zones = ground, zones
        self._pipes = GasBranches(ground.survey, ground.building)

    def of(self, design: Design) -> Features:
        """What a customer sees of a design. ValueError for one without a gas run."""
        run, end = design.route(Service.GAS), design.terminal
        if run is None:
            raise ValueError("a design without a gas run has no tap")
        room = OUTDOORS if design.outdoors else self.ground.building.face(design.mount.face_id).room_id
        way_out = end.roof_id if isinstance(end, RoofTerminal) else end.facade_id
        return room, design.mount.facade_id or way_out, design.heater.id, self._pipes.of(run)

    def held_to(self, region: Region) -> tuple[Ground, Zones]:
        """What a search sees that is held to a region."""
        rooms, ways_out, heaters, pipes = region.without
        needs = tuple(
            n for n in self.ground.needs if n.heater.id not in heaters and not (n.outdoors and OUTDOORS in rooms)
        )
        taps = self._pipes.without(self.ground.ends[Service.GAS], pipes) if pipes else self.ground.ends[Service.GAS]
        needs = with_leaders(needs, self.ground.survey) if taps.every else ()
        ground = replace(self.ground, needs=needs, ends={**self.ground.ends, Service.GAS: taps})
        return ground, RegionZones(self.zones, rooms, ways_out)
