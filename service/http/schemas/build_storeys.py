"""From loaded storeys and chases to the survey's, with heights made absolute."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.http.schemas.air import build_joined
from service.http.schemas.notes import Notes, named
from service.http.schemas.rooms import build_access, build_enclosure
from service.survey.model import Chase, KeepOut, KeepOutKind, Opening, Room, RoomUse, Storey, Wall
from service.units import Quantity, told

Entry = Mapping[str, Any]
DEFAULT_ROOM_HEIGHT_MM = 2438
DEFAULT_FLOOR_THICKNESS_MM = 305


def build_storeys(entries: list[Entry], notes: Notes) -> tuple[Storey, ...]:
    """All storeys, lowest first as given; a floor left out lies over the ceiling before it."""
    storeys: list[Storey] = []
    for i, entry in enumerate(entries):
        storeys.append(_storey(entry, named(entry, "storey", i), storeys[-1] if storeys else None, notes))
    return tuple(storeys)


def build_chase(entry: Entry, index: int, notes: Notes) -> Chase:
    """One chase."""
    name = named(entry, "chase", index)
    return Chase(name, notes.outline(entry["outline"], f"chase {name}"), entry["base"], entry["top"])


def build_opening(entry: Entry, name: str, base_mm: int, top_mm: int, notes: Notes) -> Opening:
    """One opening whose sill and head count from ``base_mm``; both default to the worst case."""
    whole = "Height of opening not given, taken as open from floor to ceiling"
    sill = notes.taken(entry.get("sill"), 0, f"{whole} (sill)", name)
    head = notes.taken(entry.get("head"), top_mm - base_mm, f"{whole} (head)", name)
    return Opening(
        id=name,
        kind=entry["kind"],
        start=entry["from"],
        end=entry["to"],
        sill_z_mm=base_mm + sill,
        head_z_mm=base_mm + head,
        operable=entry.get("operable"),
        swings_out=entry.get("swings_out"),
    )


def _storey(entry: Entry, name: str, below: Storey | None, notes: Notes) -> Storey:
    floor = _floor(entry, name, below, notes)
    height = told(Quantity.LENGTH, DEFAULT_ROOM_HEIGHT_MM / 1000, notes.system)
    ceiling = notes.taken(
        entry.get("ceiling"), floor + DEFAULT_ROOM_HEIGHT_MM, f"Ceiling not given, taken {height} over the floor", name
    )
    return Storey(
        id=name,
        floor_z_mm=floor,
        ceiling_z_mm=ceiling,
        rooms=tuple(_room(e, named(e, f"{name}-room", i), floor, ceiling, notes) for i, e in _listed(entry, "rooms")),
        openings=tuple(
            build_opening(e, named(e, f"{name}-opening", i), floor, ceiling, notes)
            for i, e in _listed(entry, "openings")
        ),
        walls=tuple(_wall(e, named(e, f"{name}-wall", i)) for i, e in _listed(entry, "walls")),
        keep_outs=tuple(
            _keep_out(e, named(e, f"{name}-keep-out", i), floor, ceiling, notes) for i, e in _listed(entry, "keep_outs")
        ),
    )


def _listed(entry: Entry, key: str) -> list[tuple[int, Entry]]:
    return list(enumerate(entry.get(key, [])))


def _floor(entry: Entry, name: str, below: Storey | None, notes: Notes) -> int:
    if below is None:
        return notes.taken(entry.get("floor"), 0, "Floor not given, taken as height 0", name)
    thick = told(Quantity.LENGTH, DEFAULT_FLOOR_THICKNESS_MM / 1000, notes.system)
    sentence = f"Floor not given, taken {thick} over the ceiling of the storey before"
    return notes.taken(entry.get("floor"), below.ceiling_z_mm + DEFAULT_FLOOR_THICKNESS_MM, sentence, name)


def _room(entry: Entry, name: str, floor: int, ceiling: int, notes: Notes) -> Room:
    return Room(
        id=name,
        use=entry.get("use", RoomUse.UNKNOWN),
        outline=notes.outline(entry["outline"], f"room {name}"),
        finished=notes.taken(entry.get("finished"), True, "Finish of room not given, taken as finished", name),
        floor_z_mm=entry.get("floor", floor),
        ceiling_z_mm=entry.get("ceiling", ceiling),
        opens_only_into=entry.get("opens_only_into"),
        enclosure=build_enclosure(entry.get("enclosure")),
        garage=entry.get("garage"),
        access=build_access(entry.get("access")),
        serviced_through_door=bool(entry.get("serviced_through_door", False)),
        joined=build_joined(entry.get("joined", ())),
        exhaust_m3_s=entry.get("exhaust_flow"),
        under_roof=entry.get("under_roof"),
    )


def _wall(entry: Entry, name: str) -> Wall:
    return Wall(name, entry["start"], entry["end"], entry.get("kind"), entry.get("thickness"))


def _keep_out(entry: Entry, name: str, floor: int, ceiling: int, notes: Notes) -> KeepOut:
    whole = "Height of keep-out not given, taken from floor to ceiling"
    return KeepOut(
        id=name,
        kind=entry.get("kind", KeepOutKind.OTHER),
        outline=notes.outline(entry["outline"], f"keep-out {name}"),
        base_z_mm=floor + notes.taken(entry.get("base"), 0, f"{whole} (base)", name),
        top_z_mm=floor + notes.taken(entry.get("top"), ceiling - floor, f"{whole} (top)", name),
    )
