"""Facts of a room that contradict its use, or say nothing without another one."""

from __future__ import annotations

from collections.abc import Iterator

from service.errors import Fault
from service.survey.model import Room, RoomUse, Survey

MAY_BE_KEPT_FOR_A_HEATER = frozenset(
    {RoomUse.CLOSET, RoomUse.STORAGE, RoomUse.UTILITY, RoomUse.MECHANICAL, RoomUse.UNKNOWN}
)
REACHED_BY_A_PASSAGE = frozenset({RoomUse.ATTIC, RoomUse.CRAWL_SPACE})


def room_faults(survey: Survey) -> Iterator[Fault]:
    """Faults of every room, in the order of the document."""
    for i, storey in enumerate(survey.storeys):
        for j, room in enumerate(storey.rooms):
            yield from _faults(f"#/storeys/{i}/rooms/{j}", room)


def _faults(place: str, room: Room) -> Iterator[Fault]:
    kind = room.use.value.replace("_", " ")
    if room.enclosure is not None and room.use not in MAY_BE_KEPT_FOR_A_HEATER:
        yield Fault(f"{place}/enclosure", "contradiction", f"a {kind} is not kept for the heater alone")
    if room.garage is not None and room.use is not RoomUse.GARAGE:
        yield Fault(f"{place}/garage", "contradiction", f"a {kind} is no garage")
    if room.access is not None and room.use not in REACHED_BY_A_PASSAGE:
        sentence = f"a {kind} is reached through its doors; access speaks of attics and crawl spaces"
        yield Fault(f"{place}/access", "contradiction", sentence)
    if room.serviced_through_door and room.opens_only_into is None:
        sentence = "say with opens_only_into from which room the heater is serviced"
        yield Fault(f"{place}/serviced_through_door", "missing", sentence)
