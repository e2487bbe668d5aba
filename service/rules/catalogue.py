"""Heaters and price books that ship with the service. All of them are invented."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path

from service.rules.tables import RULES, UNITS, Row, Table, load
from service.survey.equipment import (
    NO_VENT,
    Category,
    Clearances,
    Draft,
    FlueOutlet,
    Heater,
    OutdoorListing,
    Per,
    Port,
    PortService,
    Price,
    PriceBook,
    VentListing,
)
from service.survey.intake_listing import IntakeListing, IntakeSide, LengthBasis
from service.survey.water import WaterItem

_LOSS_FLOWS_GPM = (2, 4, 8)
_OPTIONAL_POWER = ("power.cord", "power.plug_in", "power.gfci_receptacle", "power.hard_wire", "power.disconnect",
                   "power.gfci_breaker")  # fmt: skip
_OPTIONAL_WATER = tuple(item.price_key for item in WaterItem)
_OPTIONAL = (
    "gas.renew", "gas.line_regulator", "gas.pressure_change", "gas.service_regulator", "vent.cold_fitting",
    "vent.roof_penetration", "water.recirculation_pump", "mount.outdoors",
)  # fmt: skip
_OPTIONAL_AIR = (
    "air.transfer_grilles", "air.one_opening", "air.horizontal_ducts", "air.vertical_ducts", "air.mechanical",
)  # fmt: skip
_OPTIONAL_STEMS = (
    "water.copper_k.", "water.copper_m.", "water.pex.", "water.cpvc.", "gas.2.", "gas.csst.", "gas.copper_l.",
    "gas.pe.",
)  # fmt: skip
_ROOF_TERMINAL = "roof_terminal"


def heaters() -> dict[str, Heater]:
    """The catalogue by heater id, in the order of its table."""
    return {heater.id: heater for heater in _catalogue()}


def price_book_ids() -> tuple[str, ...]:
    """Ids of the price books that ship, sorted."""
    return tuple(sorted(path.stem for path in (RULES / "price_books").glob("*.csv")))


@cache
def price_book(book_id: str) -> PriceBook:
    """Price book by id; KeyError when there is none."""
    if book_id not in price_book_ids():
        raise KeyError(book_id)
    return _price_book(load(RULES / "price_books" / f"{book_id}.csv"))


def required_prices(offered: Iterable[Heater]) -> dict[str, bool]:
    """Keys a book must hold to price these heaters -> whether the price is for a length (else each)."""
    systems = {listing.system for heater in offered for listing in heater.listings}
    fixed = {key: long for key, long in _demo_prices() if not _of_vent_system(key) and not _is_optional(key)}
    twins = {listing.system for heater in offered for listing in heater.listings if listing.intake}
    parts = {"pipe": True, "elbow": False, "terminal": False}
    vents = {f"vent.{s}.{part}": long for s in sorted(systems) for part, long in parts.items()}
    vents |= {f"vent.{s}.intake_{part}": long for s in sorted(twins) for part, long in parts.items()}
    return dict(sorted((fixed | vents).items()))


def roof_prices(offered: Iterable[Heater]) -> frozenset[str]:
    """Keys of the roof terminals of these heaters' vents, each of which a book may lack."""
    return frozenset(f"vent.{heater.vent.system}.{_ROOF_TERMINAL}" for heater in offered)


def optional_prices() -> dict[str, bool]:
    """Keys without which a book only offers less, by the form of ``required_prices``."""
    return {key: long for key, long in _demo_prices() if _is_optional(key)}


def _demo_prices() -> list[tuple[str, bool]]:
    """Keys of the demonstration book, sorted, with whether each is for a length."""
    return sorted((key, price.per is not Per.EACH) for key, price in price_book("demo").items.items())


def _is_optional(key: str) -> bool:
    if key.endswith(_ROOF_TERMINAL):
        return True
    return key in (*_OPTIONAL, *_OPTIONAL_AIR, *_OPTIONAL_POWER, *_OPTIONAL_WATER) or key.startswith(_OPTIONAL_STEMS)


def _of_vent_system(key: str) -> bool:
    return key.startswith("vent.") and key.count(".") > 1


@cache
def _catalogue() -> tuple[Heater, ...]:
    further: dict[str, list[VentListing]] = {}
    for row in load(_file("other_vents")).rows:
        further.setdefault(row.text("heater"), []).append(_vent(row))
    outdoor = {row.text("id"): _outdoor(row) for row in load(_file("outdoor")).rows}
    rows = load(_file("heaters")).rows
    return tuple(_heater(row, further.get(row.text("id"), []), outdoor.get(row.text("id"))) for row in rows)


def _file(name: str) -> Path:
    return RULES / "catalogue" / f"{name}.csv"


def _heater(row: Row, further: list[VentListing], outdoor: OutdoorListing | None) -> Heater:
    """One entry; ``further``: vents that it may have in place of the one of its row."""
    vent = NO_VENT if row.cells["vent_system"] is None else _vent(row)
    return Heater(
        id=row.text("id"),
        name=row.text("name"),
        condensing=row.flag("condensing"),
        category=Category(row.text("category")),
        draft=Draft(row.text("draft")),
        fuels=tuple(row.text("fuels").split()),
        input_min_w=row.si("input_min"),
        input_max_w=row.si("input_max"),
        efficiency=row.si("efficiency"),
        width_mm=row.integer("width"),
        height_mm=row.integer("height"),
        depth_mm=row.integer("depth"),
        clearances=_clearances(row),
        ports=_ports(row),
        vent=vent,
        gas_inlet_min_pa=row.si("gas_inlet_min"),
        gas_inlet_max_pa=row.si("gas_inlet_max"),
        activation_flow_m3_s=row.si("activation_flow"),
        max_flow_m3_s=row.si("max_flow"),
        pressure_loss=tuple((gpm * UNITS["gpm"], row.si(f"loss_at_{gpm}_gpm")) for gpm in _LOSS_FLOWS_GPM),
        electrical_w=row.si("electrical"),
        cord_length_mm=row.integer("cord_length"),
        outdoor_listed=row.flag("outdoor_listed"),
        vapour_ignition_resistant=row.flag("vapour_ignition_resistant"),
        price_cents=row.integer("price"),
        freeze_limit_c=_optional(row, "freeze_limit"),
        drain_size=None if row.cells["drain_size"] is None else row.text("drain_size"),
        vents=(vent, *further) if further else (),
        outdoor=outdoor,
    )


def _clearances(row: Row) -> Clearances:
    return Clearances(*(row.integer(f"clear_{side}") for side in ("left", "right", "top", "bottom", "front")))


def _outdoor(row: Row) -> OutdoorListing:
    flue = FlueOutlet(
        row.integer("flue_dx"), row.integer("flue_up"), row.integer("flue_radius"), Draft(row.text("judged_as"))
    )  # fmt: skip
    return OutdoorListing(flue, _clearances(row), row.integer("openings"), _optional(row, "min_temperature"))


def _ports(row: Row) -> tuple[Port, ...]:
    """Vent on top, all else below; a heater without a drain column has no drain."""
    present = (s for s in PortService if row.cells[f"{s}_dx"] is not None)
    return tuple(Port(s, row.integer(f"{s}_dx"), on_top=s is PortService.VENT) for s in present)


def _vent(row: Row) -> VentListing:
    return VentListing(
        system=row.text("vent_system"),
        pipe_radius_mm=row.integer("vent_pipe_radius"),
        terminal_radius_mm=row.integer("vent_terminal_radius"),
        max_equivalent_mm=row.integer("vent_max_equivalent"),
        elbow_equivalent_mm=row.integer("vent_elbow_equivalent"),
        max_elbows=None if row.cells["vent_max_elbows"] is None else row.integer("vent_max_elbows"),
        first_elbow_mm=row.integer("vent_first_elbow"),
        fall=row.si("vent_fall"),
        falls_to_heater=row.flag("vent_falls_to_heater"),
        flue_temperature_c=_optional(row, "vent_flue_temperature"),
        intake=_intake(row),
    )


def _intake(row: Row) -> IntakeListing | None:
    """The intake of twin pipe, which only the table of further vents tells."""
    if row.cells.get("intake_apart") is None:
        return None
    return IntakeListing(
        pipe_radius_mm=row.integer("intake_pipe_radius"),
        terminal_radius_mm=row.integer("intake_terminal_radius"),
        apart_mm=row.integer("intake_apart"),
        sides=tuple(IntakeSide(side) for side in row.text("intake_sides").split()),
        length_basis=LengthBasis(row.text("intake_length_basis")),
    )


def _optional(row: Row, column: str) -> float | None:
    return None if row.cells[column] is None else row.si(column)


def _price_book(table: Table) -> PriceBook:
    return PriceBook(table.name, table.facts["currency"], {row.text("key"): _price(row) for row in table.rows})


def _price(row: Row) -> Price:
    return Price(
        row.text("key"), row.text("trade"), row.text("description"), row.integer("cents"), Per(row.text("per"))
    )
