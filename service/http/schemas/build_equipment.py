"""From loaded heaters, prices and wishes to the survey's; looks up the catalogue and the price books."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from service.errors import Fault
from service.http.schemas.base import pointer
from service.http.schemas.equipment import Outdoors
from service.http.schemas.notes import Notes
from service.rules import catalogue
from service.settings import Settings
from service.survey.equipment import (
    NO_VENT,
    Clearances,
    Draft,
    FlueOutlet,
    Heater,
    OutdoorListing,
    Per,
    Port,
    Price,
    PriceBook,
    VentListing,
)
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
    return tuple(known[e] if isinstance(e, str) else _heater(e) for e in entries)


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


def _heater(entry: Entry) -> Heater:
    listings = tuple(_vent(e) for e in (*([entry["vent"]] if "vent" in entry else ()), *entry.get("other_vents", ())))
    return Heater(
        id=entry["id"],
        name=entry["name"],
        condensing=entry["condensing"],
        category=entry["category"],
        draft=entry["draft"],
        fuels=tuple(str(f) for f in entry["fuels"]),
        input_min_w=entry["input_min"],
        input_max_w=entry["input_max"],
        efficiency=entry["efficiency"],
        width_mm=entry["width"],
        height_mm=entry["height"],
        depth_mm=entry["depth"],
        clearances=_clearances(entry["clearances"]),
        ports=tuple(Port(p["service"], p["dx"], p["on_top"]) for p in entry["ports"]),
        vent=listings[0] if listings else NO_VENT,
        gas_inlet_min_pa=entry["gas_inlet_min"],
        gas_inlet_max_pa=entry["gas_inlet_max"],
        activation_flow_m3_s=entry["activation_flow"],
        max_flow_m3_s=entry["max_flow"],
        pressure_loss=tuple(entry["pressure_loss"]),
        electrical_w=entry["electrical"],
        cord_length_mm=entry["cord_length"],
        outdoor_listed=entry["outdoor_listed"],
        vapour_ignition_resistant=entry["vapour_ignition_resistant"],
        price_cents=entry["price_cents"],
        freeze_limit_c=entry.get("freeze_limit"),
        drain_size=entry.get("drain_size"),
        voltage_v=entry.get("voltage"),
        freeze_element_w=entry.get("freeze_element"),
        may_be_wired=entry.get("may_be_wired"),
        vents=listings if len(listings) > 1 else (),
        outdoor=_outdoor(entry["outdoor"]) if "outdoor" in entry else None,
    )


def _outdoor(entry: Entry) -> OutdoorListing:
    flue = entry["flue"]
    return OutdoorListing(
        flue=FlueOutlet(flue["dx"], flue["up"], flue["radius"], flue.get("judged_as", Draft.ROOM_AIR)),
        clearances=_clearances(entry["clearances"]),
        openings_mm=entry.get("openings", 0),
        min_temperature_c=entry.get("min_temperature"),
    )


def _clearances(entry: Entry) -> Clearances:
    return Clearances(**{f"{side}_mm": value for side, value in entry.items()})


def _vent(entry: Entry) -> VentListing:
    return VentListing(
        system=entry["system"],
        pipe_radius_mm=entry["pipe_radius"],
        terminal_radius_mm=entry["terminal_radius"],
        max_equivalent_mm=entry["max_equivalent"],
        elbow_equivalent_mm=entry["elbow_equivalent"],
        max_elbows=entry.get("max_elbows"),
        first_elbow_mm=entry["first_elbow"],
        fall=entry["fall"],
        falls_to_heater=entry["falls_to_heater"],
        material=entry.get("material"),
        construction=entry.get("construction"),
        listed_to=None if "listed_to" not in entry else tuple(entry["listed_to"]),
        temperature_class=entry.get("temperature_class"),
        flue_temperature_c=entry.get("flue_temperature"),
    )
