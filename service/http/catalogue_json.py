"""Heaters and price books as JSON.

A heater is written just as a survey may bring one along, each figure with its unit, so that an entry can
be copied into a survey of either system and changed.
"""

from __future__ import annotations

from typing import Any

from service.survey.equipment import Clearances, Heater, OutdoorListing, Port, PriceBook, VentListing
from service.survey.intake_listing import IntakeListing

Json = dict[str, Any]

_FLOW_DECIMALS = 6
_SI_DECIMALS = 3
_LITRES_A_MINUTE = 60_000.0


def heater_entry(heater: Heater) -> Json:
    """One heater in the form of a survey's own entry."""
    return {
        "id": heater.id,
        "name": heater.name,
        "condensing": heater.condensing,
        "category": heater.category.value,
        "draft": heater.draft.value,
        "fuels": list(heater.fuels),
        "input_min": _in("W", heater.input_min_w),
        "input_max": _in("W", heater.input_max_w),
        "efficiency": heater.efficiency,
        "width": _mm(heater.width_mm),
        "height": _mm(heater.height_mm),
        "depth": _mm(heater.depth_mm),
        "clearances": _clearances(heater.clearances),
        "ports": [_port(p) for p in heater.ports],
        **({"vent": _vent(heater.listings[0])} if heater.indoors else {}),
        **({"other_vents": [_vent(v) for v in heater.listings[1:]]} if heater.vents else {}),
        "gas_inlet_min": _in("Pa", heater.gas_inlet_min_pa),
        "gas_inlet_max": _in("Pa", heater.gas_inlet_max_pa),
        "activation_flow": _flow(heater.activation_flow_m3_s),
        "max_flow": _flow(heater.max_flow_m3_s),
        "pressure_loss": [[_flow(flow), _in("Pa", loss)] for flow, loss in heater.pressure_loss],
        "electrical": _in("W", heater.electrical_w),
        "cord_length": _mm(heater.cord_length_mm),
        "outdoor_listed": heater.outdoor_listed,
        **({} if heater.outdoor is None else {"outdoor": _outdoor(heater.outdoor)}),
        "vapour_ignition_resistant": heater.vapour_ignition_resistant,
        "price_cents": heater.price_cents,
        **_known("freeze_limit", heater.freeze_limit_c, "degC"),
        **({} if heater.drain_size is None else {"drain_size": heater.drain_size}),
        **({} if heater.voltage_v is None else {"voltage": heater.voltage_v}),
        **_known("freeze_element", heater.freeze_element_w, "W"),
        **({} if heater.may_be_wired is None else {"may_be_wired": heater.may_be_wired}),
    }


def price_book_entry(book: PriceBook) -> Json:
    """A price book with its items in the order of its table."""
    items = [
        {
            "key": price.key,
            "trade": price.trade,
            "description": price.description,
            "per": price.per.value,
            "cents": price.cents,
        }
        for price in book.items.values()
    ]
    return {"id": book.id, "currency": book.currency, "items": items}


def _clearances(free: Clearances) -> Json:
    return {side: _mm(getattr(free, f"{side}_mm")) for side in ("left", "right", "top", "bottom", "front")}


def _outdoor(listing: OutdoorListing) -> Json:
    flue = listing.flue
    return {
        "flue": {
            "dx": _mm(flue.dx_mm),
            "up": _mm(flue.up_mm),
            "radius": _mm(flue.radius_mm),
            "judged_as": flue.judged_as.value,
        },
        "clearances": _clearances(listing.clearances),
        "openings": _mm(listing.openings_mm),
        **_known("min_temperature", listing.min_temperature_c, "degC"),
    }


def _port(port: Port) -> Json:
    return {"service": port.service.value, "dx": _mm(port.dx_mm), "on_top": port.on_top}


def _vent(vent: VentListing) -> Json:
    return {
        "system": vent.system,
        "pipe_radius": _mm(vent.pipe_radius_mm),
        "terminal_radius": _mm(vent.terminal_radius_mm),
        "max_equivalent": _mm(vent.max_equivalent_mm),
        "elbow_equivalent": _mm(vent.elbow_equivalent_mm),
        "max_elbows": vent.max_elbows,
        "first_elbow": _mm(vent.first_elbow_mm),
        "fall": vent.fall,
        "falls_to_heater": vent.falls_to_heater,
        **_known("flue_temperature", vent.flue_temperature_c, "degC"),
        **({"intake": _intake(vent.intake)} if vent.intake else {}),
    }


def _intake(intake: IntakeListing) -> Json:
    return {
        "pipe_radius": _mm(intake.pipe_radius_mm),
        "terminal_radius": _mm(intake.terminal_radius_mm),
        "apart": _mm(intake.apart_mm),
        "sides": [side.value for side in intake.sides],
        "length_basis": intake.length_basis.value,
    }


def _mm(value: int) -> Json:
    return {"value": value, "unit": "mm"}


def _in(unit: str, value: float) -> Json:
    return {"value": round(value, _SI_DECIMALS), "unit": unit}


def _known(name: str, value: float | None, unit: str) -> Json:
    """A member that is left out where nothing is known."""
    return {} if value is None else {name: _in(unit, value)}


def _flow(m3_s: float) -> Json:
    return {"value": round(m3_s * _LITRES_A_MINUTE, _FLOW_DECIMALS), "unit": "L/min"}
