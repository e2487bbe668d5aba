"""A heater in a room with what is provided for its air, and what follows from the survey."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from service.check.air_rooms import AirRooms
from service.design import AirMethod, AirProvision
from service.survey.equipment import Heater
from service.survey.model import Site
from service.trades import air
from service.trades.air import AirLoad

INDOORS = (AirMethod.STANDARD, AirMethod.INFILTRATION, AirMethod.GRILLES)


@dataclass(frozen=True, slots=True)
class AirCase:
    """A heater in a room, and what is provided for it."""

    rooms: AirRooms
    room: str
    heater: Heater
    given: AirProvision
    canada: bool

    @property
    def site(self) -> Site:
        """The plot."""
        return self.rooms.survey.site

    @property
    def bought(self) -> tuple[str, ...]:
        """Rooms that grilles are made to."""
        return self.given.through if self.given.method is AirMethod.GRILLES else ()

    @property
    def space(self) -> set[str]:
        """Rooms on whose air the heater draws."""
        return self.rooms.sharing(self.room, self.bought)

    @property
    def load(self) -> AirLoad:
        """All that burns there."""
        return self.rooms.load(self.heater, self.space)

    @property
    def sealed(self) -> bool:
        """Whether the heater's room is an enclosure, which gets its air from outdoors."""
        facts = self.rooms.room(self.room)
        return facts is not None and facts.enclosure is not None

    @property
    def volumes_m3(self) -> dict[AirMethod, float]:
        """What each indoor method that may be used here asks for [m3]."""
        if self.canada or self.sealed:
            return {}
        return air.indoor_volumes_m3(self.load, self.site.air_changes_per_h, self.site.tight)

    @property
    def asked_m3(self) -> float:
        """Volume asked for [m3], infinite where no indoor method may be used."""
        asked = self.volumes_m3
        if self.given.method in (AirMethod.STANDARD, AirMethod.INFILTRATION):
            return asked.get(self.given.method, inf)
        return min(asked.values(), default=inf)

    @property
    def counted_m3(self) -> float:
        """Volume of the rooms that are counted [m3]."""
        return self.rooms.volume_m3(self.given.rooms)
