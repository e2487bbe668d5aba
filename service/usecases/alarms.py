"""Where carbon monoxide alarms are asked for, from what the rooms are used for and where gas is burnt."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.building.model import Building
from service.design import Design
from service.rules.rulesets import rule_set
from service.rules.tables import Row, table
from service.survey.model import Room, RoomUse, Storey, Survey

SLEPT_IN = (RoomUse.BEDROOM, RoomUse.UNKNOWN)
NOT_LIVED_IN = (RoomUse.ATTIC, RoomUse.CRAWL_SPACE, RoomUse.GARAGE, RoomUse.PLENUM)


@dataclass(frozen=True, slots=True)
class Alarm:
    """One alarm: what, where and why. ``designs``: ranks of those that ask for it; none means that all do."""

    rule_id: str
    what: str
    where: str
    why: str
    citation: str
    mark: str
    designs: tuple[int, ...] = ()


def alarms(survey: Survey, building: Building, designs: Sequence[Design]) -> tuple[Alarm, ...]:
    """Alarms of the house with any heater, then those that an appliance in a bedroom asks for.

    Raises KeyError for an unknown rule set.
    """
    country = rule_set(survey.site.rule_set).country
    rows = [r for r in table("alarms").rows if country in r.text("countries").split("|")]
    return tuple(alarm for row in rows for alarm in _asked(row, survey, building, designs))


def alarm_caution(found: Sequence[Alarm]) -> tuple[str, ...]:
    """The reminder that belongs to a house with such alarms."""
    if not found:
        return ()
    return (
        "Carbon monoxide alarms: see under alarms where they are asked for at the least; have them hang and tested "
        "before the heater fires, replace any that is past the age printed on it, and ask for local rules.",
    )


def _asked(row: Row, survey: Survey, building: Building, designs: Sequence[Design]) -> Iterator[Alarm]:
    asked_by = row.text("asked_by")
    if asked_by == "sleeping_area":
        for storey in survey.storeys:
            for rooms in _sleeping_areas(storey):
                yield _alarm(row, f"storey {storey.id}, {_names(rooms)}", _why(survey, rooms))
    elif asked_by == "storey":
        yield from (_alarm(row, f"storey {s.id}", row.text("note")) for s in survey.storeys if _lived_in(s))
    elif asked_by == "appliance_in_bedroom":
        yield from _in_bedrooms(row, survey, building, designs)


def _sleeping_areas(storey: Storey) -> list[list[Room]]:
    """Bedrooms of a storey by the room that they open only into; those with more ways out, or none known, together."""
    areas: dict[str, list[Room]] = {}
    for room in storey.rooms:
        if room.use in SLEPT_IN:
            areas.setdefault(room.opens_only_into or "", []).append(room)
    return [areas[key] for key in sorted(areas)]


def _lived_in(storey: Storey) -> bool:
    """Whether a storey asks for an alarm of its own: lived in, and no sleeping area with one there."""
    return not _sleeping_areas(storey) and any(r.use not in NOT_LIVED_IN for r in storey.rooms)


def _names(rooms: Sequence[Room]) -> str:
    named = [f"{r.id} (use not known, may be a bedroom)" if r.use is RoomUse.UNKNOWN else r.id for r in rooms]
    return ("bedroom " if len(named) == 1 else "bedrooms ") + ", ".join(named)


def _why(survey: Survey, rooms: Sequence[Room]) -> str:
    garages = [r.id for s in survey.storeys for r in s.rooms if r.use is RoomUse.GARAGE]
    reasons = ["the heater burns fuel"]
    if burning := [a.id for a in survey.gas.appliances]:
        reasons.append(f"so do {', '.join(burning)}")
    if garages:
        reasons.append(f"a garage belongs to the house ({', '.join(garages)})")
    return "; ".join(reasons)


def _in_bedrooms(row: Row, survey: Survey, building: Building, designs: Sequence[Design]) -> Iterator[Alarm]:
    for storey in survey.storeys:
        for room in (r for r in storey.rooms if r.use in SLEPT_IN):
            inside = [a.id for a in survey.gas.appliances if a.room and room.id in _ways_out(survey, a.room)]
            ranks = tuple(
                rank
                for rank, d in enumerate(designs, 1)
                if not d.outdoors and room.id in _ways_out(survey, _room_of(building, d))
            )
            if inside:
                yield _alarm(row, f"storey {storey.id}, {_names([room])}", f"{', '.join(inside)}: {row.text('note')}")
            elif ranks:
                why = f"the heater hangs in it, or in a room that opens only into it: {row.text('note')}"
                yield _alarm(row, f"storey {storey.id}, {_names([room])}", why, ranks)


def _room_of(building: Building, design: Design) -> str:
    return building.face(design.mount.face_id).room_id


def _ways_out(survey: Survey, room_id: str) -> list[str]:
    """The room and those that must be passed, one behind another, to leave it."""
    passed: list[str] = []
    at: str | None = room_id
    while at is not None and at not in passed:
        passed.append(at)
        room = survey.room(at)
        at = room.opens_only_into if room is not None else None
    return passed


def _alarm(row: Row, place: str, why: str, designs: tuple[int, ...] = ()) -> Alarm:
    where = f"{place}: {row.text('where')}"
    section = row.text("section")
    cited = row.text("standard") + ("" if section == "-" else f", {section}")
    return Alarm(row.text("id"), row.text("what"), where, why, cited, row.text("known_from"), designs)
