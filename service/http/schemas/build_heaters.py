"""From a loaded heater to the survey's; of a twin-pipe vent what is not told is taken as the trade has it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from service.errors import Fault
from service.http.schemas.notes import Notes
from service.survey.equipment import (
    NO_VENT,
    Clearances,
    Draft,
    FlueOutlet,
    Heater,
    OutdoorListing,
    Port,
    VentConstruction,
    VentListing,
)
from service.survey.intake_listing import IntakeListing, IntakeSide, LengthBasis
from service.trades.vent import vent_rule
from service.trades.vent_systems import system_of
from service.units import Quantity, told

Entry = Mapping[str, Any]
USUAL_SIDES = (IntakeSide.LEFT, IntakeSide.RIGHT, IntakeSide.BELOW)


def build_heater(entry: Entry, notes: Notes) -> Heater:
    """A heater that the survey brings along."""
    told_vents = (*([entry["vent"]] if "vent" in entry else ()), *entry.get("other_vents", ()))
    listings = tuple(_vent(e, entry["id"], notes) for e in told_vents)
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


def _vent(entry: Entry, heater_id: str, notes: Notes) -> VentListing:
    listing = VentListing(
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
    if not _is_twin(listing):
        return listing  # an intake that is told with it is a fault: see intake_faults
    return replace(listing, intake=_intake(entry.get("intake", {}), listing, f"{heater_id} {listing.system}", notes))


def _is_twin(listing: VentListing) -> bool:
    return system_of(listing).construction == VentConstruction.TWIN


def intake_faults(entries: Sequence[str | Entry], heaters: Sequence[Heater]) -> Iterator[Fault]:
    """Intakes told of vents that are not known to be twin pipe; ``heaters`` are those of the entries, in order."""
    for i, (entry, heater) in enumerate(zip(entries, heaters, strict=True)):
        if isinstance(entry, str):
            continue
        told = {"vent": entry["vent"]} if "vent" in entry else {}
        told |= {f"other_vents/{k}": other for k, other in enumerate(entry.get("other_vents", ()))}
        for (place, vent), listing in zip(told.items(), heater.listings, strict=True):
            if "intake" in vent and not _is_twin(listing):
                sentence = f"vent {listing.system!r} is not known to be twin pipe: it has no intake of its own"
                yield Fault(f"#/heaters/{i}/{place}/intake", "contradiction", sentence)


def _intake(given: Entry, listing: VentListing, subject: str, notes: Notes) -> IntakeListing:
    """The intake of a twin-pipe vent: what is not told is as the trade has it, and the stricter of what it has."""
    apart = round(vent_rule("intake_apart").value * 1000)
    least = max(apart, given.get("terminal_radius", listing.terminal_radius_mm) + listing.terminal_radius_mm)
    pipe = "Intake pipe of a twin vent taken as thick as the exhaust's"
    end = "Intake terminal of a twin vent taken as wide as the exhaust's"
    figure = told(Quantity.LENGTH, apart / 1000, notes.system)
    far = f"Intake terminal taken as {figure} or more from the exhaust's, centre to centre (common practice)"
    sides = "Intake terminal taken as allowed beside and below the exhaust's, not above it (common practice)"
    basis = "Greatest length of a twin vent taken as that of exhaust and intake added"
    return IntakeListing(
        pipe_radius_mm=notes.taken(given.get("pipe_radius"), listing.pipe_radius_mm, pipe, subject),
        terminal_radius_mm=notes.taken(given.get("terminal_radius"), listing.terminal_radius_mm, end, subject),
        apart_mm=notes.taken(given.get("apart"), least, far, subject),
        sides=tuple(notes.taken(given.get("sides"), USUAL_SIDES, sides, subject)),
        length_basis=notes.taken(given.get("length_basis"), LengthBasis.COMBINED, basis, subject),
    )
