"""Facts that a survey does not tell and that are taken at their worst, with what they might be at best."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from service.survey.house import Opening, OpeningKind, Room, RoomUse
from service.survey.model import Survey
from service.survey.rooms import GarageKind

LOW_PRESSURE_PA = 500.0
"""Gas at the pressure of a house's own pipes stands for a low inlet pressure of a regulator [Pa]."""
ALL_SIDES = 4
Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class OpenFact:
    """A fact that nobody told: ``pointer`` to where it would stand in the survey, what to ask, how it is taken now,
    and the value that closes least."""

    pointer: str
    question: str
    taken_as: str
    path: Path
    best: object

    def told(self, survey: Survey) -> Survey:
        """The survey with the fact at its best."""
        found: Survey = _with(survey, self.path, self.best)
        return found


def open_facts(survey: Survey) -> tuple[OpenFact, ...]:
    """Facts about openings, garages, rooms' uses, decks, eaves, regulators, appliances and the house's tightness that
    are not told. Of access, openings between rooms, circuits, water and listings none are among them."""
    found = [*_of_storeys(survey), *_of_site(survey), *_of_roof(survey)]
    for i, appliance in enumerate(survey.gas.appliances):
        if appliance.direct_vent is None:
            asked = f"Does {appliance.id} take its air from outdoors by a direct vent?"
            found.append(_fact(("gas", "appliances", i, "direct_vent"), asked, "it takes air from the house", True))
    return tuple(found)


def _of_storeys(survey: Survey) -> Iterator[OpenFact]:
    for i, storey in enumerate(survey.storeys):
        yield from _of_openings(storey.openings, ("storeys", i, "openings"))
        for k, room in enumerate(storey.rooms):
            yield from _of_room(room, ("storeys", i, "rooms", k))


def _of_room(room: Room, path: Path) -> Iterator[OpenFact]:
    if room.use is RoomUse.UNKNOWN:
        yield _fact((*path, "use"), f"What is {room.id} used for?", "it could be any room", RoomUse.UTILITY)
    if room.use is RoomUse.GARAGE and room.garage is None:
        asked = f"Is {room.id} a garage of this house alone?"
        yield _fact((*path, "garage"), asked, "it could be a public one", GarageKind.PRIVATE)
    if room.under_roof is None:
        yield _fact((*path, "under_roof"), f"Does nothing but the roof lie over {room.id}?", "not known to", True)


def _of_openings(openings: Iterable[Opening], path: Path) -> Iterator[OpenFact]:
    for i, opening in enumerate(openings):
        if opening.kind is OpeningKind.WINDOW and opening.operable is None:
            asked = f"Is window {opening.id} fixed, or can it be opened?"
            yield _fact((*path, i, "operable"), asked, "it can be opened", False)
        if opening.kind is OpeningKind.DOOR and opening.swings_out is None:
            yield _fact((*path, i, "swings_out"), f"Does door {opening.id} swing out?", "it swings out", False)


def _of_site(survey: Survey) -> Iterator[OpenFact]:
    site = survey.site
    for i, wall in enumerate(site.neighbour_walls):
        yield from _of_openings(wall.openings, ("site", "neighbour_walls", i, "openings"))
    for i, deck in enumerate(site.decks):
        if deck.is_eave and deck.vented is None:
            yield _fact(("site", "decks", i, "vented"), f"Is eave {deck.id} vented?", "it is vented", False)
        if not deck.is_eave and deck.open_sides is None:
            asked = f"How many sides of {deck.id} are open under it?"
            yield _fact(("site", "decks", i, "open_sides"), asked, "none is open", ALL_SIDES)
    for i, regulator in enumerate(site.regulators):
        if regulator.inlet_pressure_pa is None:
            asked = f"What is the inlet pressure of {regulator.id}?"
            path = ("site", "regulators", i, "inlet_pressure_pa")
            yield _fact(path, asked, "any pressure that a rule speaks of", LOW_PRESSURE_PA)
    if site.tight is None:
        yield _fact(("site", "tight"), "Is the house built tight?", "it may be", False)


def _of_roof(survey: Survey) -> Iterator[OpenFact]:
    for i, opening in enumerate(survey.roof.openings if survey.roof else ()):
        if opening.kind == "skylight" and opening.operable is None:
            asked = f"Is skylight {opening.id} fixed, or can it be opened?"
            yield _fact(("roof", "openings", i, "operable"), asked, "it can be opened", False)


def _fact(path: Path, question: str, taken_as: str, best: object) -> OpenFact:
    pointer = "#/" + "/".join(str(part).removesuffix("_pa") for part in path)
    return OpenFact(pointer, question, taken_as, path, best)


def _with(whole: Any, path: Path, value: object) -> Any:
    """The same with one value of it replaced; what a path leads through are dataclasses and tuples."""
    if not path:
        return value
    first, rest = path[0], path[1:]
    if isinstance(first, int):
        return (*whole[:first], _with(whole[first], rest, value), *whole[first + 1 :])
    return replace(whole, **{first: _with(getattr(whole, first), rest, value)})
