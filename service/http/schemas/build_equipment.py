"""From loaded heaters, prices and wishes to the survey's; looks up the catalogue and the price books."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from service.errors import Fault
from service.http.schemas.base import pointer
from service.http.schemas.build_heaters import build_heater
from service.http.schemas.equipment import Outdoors
from service.http.schemas.notes import Notes
from service.rules import catalogue
from service.settings import Settings
from service.survey.equipment import Heater, Per, Price, PriceBook
from service.survey.model import Preferences, UnitSystem

Entry = Mapping[str, Any]
DEFAULT_BOOK = "demo"
DEFAULT_ALTERNATIVES = 1


def build_heaters(entries: list[str | Entry] | None, fuel: str, outdoors: bool, notes: Notes) -> tuple[Heater, ...]:
    """Heaters to choose from; of the catalogue those for outdoors only if the survey allows them there."""
    known = catalogue.heaters()
    if entries is None:
        notes.assume("Heaters not given, all of the catalogue that burn the fuel are considered")
        return tuple(h for h in known.values() if fuel in h.fuels and (h.indoors or outdoors))
    return tuple(known[e] if isinstance(e, str) else build_heater(e, notes) for e in entries)


def build_prices(
    entry: Entry | None, heaters: tuple[Heater, ...], system: UnitSystem, notes: Notes
) -> tuple[PriceBook, list[Fault]]:
    """The book with the survey's own prices over it, and a fault for each price that is unknown or lacking."""
    given = entry or {}
    sentence = f"Price book not given, taken as {DEFAULT_BOOK!r}, which is invented"
    book_id = notes.taken(given.get("book"), DEFAULT_BOOK, sentence)
    book = catalogue.price_book(book_id)
    needed = catalogue.required_prices(heaters)
    own: Mapping[str, int] = given.get("items", {})
    items = book.items | {key: _price(key, cents, book, needed, system) for key, cents in own.items()}
    known = book.items.keys() | needed.keys() | catalogue.roof_prices(heaters)
    return replace(book, items=items), _price_faults(own, items, known, needed)


def allows_outdoors(entry: Entry | None) -> bool:
    """Whether the wishes say that a heater may hang outdoors; silence does not."""
    return (entry or {}).get("outdoors") is Outdoors.ALLOWED


def note_outdoors(entry: Entry | None, heaters: tuple[Heater, ...], notes: Notes) -> None:
    """Say how silence is read, where a heater could hang outdoors."""
    listed = [h.id for h in heaters if h.outdoor is not None]
    if listed and "outdoors" not in (entry or {}):
        notes.assume(f"Nobody says that a heater may hang outdoors, so none does ({', '.join(sorted(listed))})")


def build_preferences(entry: Entry | None, settings: Settings, notes: Notes) -> Preferences:
    """Wishes, within the limits."""
    given = entry or {}
    default = min(DEFAULT_ALTERNATIVES, settings.alternatives)
    sentence = f"Number of alternatives not given, taken as {default}"
    return Preferences(
        rooms_refused=tuple(given.get("rooms_refused", [])),
        rooms_wanted=tuple(given.get("rooms_wanted", [])),
        outdoors=allows_outdoors(entry),
        alternatives=notes.taken(given.get("alternatives"), default, sentence),
        solver_seconds=given.get("solver_seconds"),
        water_items=tuple(given.get("water_items", [])),
        waiting_cents_per_s=given.get("waiting_cents_per_second"),
        recirculation=given.get("recirculation", False),
    )


def _price_faults(
    own: Mapping[str, int], items: Mapping[str, Price], known: Collection[str], needed: Mapping[str, bool]
) -> list[Fault]:
    unknown = [key for key in own if key not in known]
    lacking = [key for key in needed if key not in items]
    return [
        *(Fault(pointer("prices", "items", k), "unknown_price", f"{k!r} prices nothing") for k in sorted(unknown)),
        *(Fault(pointer("prices", "items"), "missing_price", f"{k!r} has no price") for k in sorted(lacking)),
    ]


def _price(key: str, cents: int, book: PriceBook, needed: Mapping[str, bool], system: UnitSystem) -> Price:
    """The survey's price; what goes by length goes by the survey's own unit."""
    by_length = Per.FOOT if system is UnitSystem.US else Per.METRE
    old = book.items.get(key)
    if old is not None:
        return replace(old, cents=cents, per=Per.EACH if old.per is Per.EACH else by_length)
    return Price(key, key.partition(".")[0], key, cents, by_length if needed.get(key) else Per.EACH)
