"""The bill: every line a quantity times a price, adding up to the exact total."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from service.design import AirProvision, CostLine, GasWorks, Route, Service, Sleeve, Surface
from service.piping.options import option_name
from service.siting.tariffs import (
    ACCESS_KEY,
    FINISHED,
    crossing_key,
    elbow_key,
    intake_keys,
    pipe_key,
    terminal_key_of,
)
from service.survey.equipment import MONEY_SCALE, Heater, Per, Price, PriceBook, VentListing
from service.survey.model import GasSupply, WaterItem
from service.trades.air import price_keys
from service.trades.freeze import COLD_KEY
from service.trades.power_options import CORDS
from service.trades.power_options import piece_keys as power_pieces
from service.trades.vent import INTAKE_ELBOWS

OUTDOOR_KEY = "mount.outdoors"
"""Price of hanging a heater outdoors besides hanging it at all; a book may lack it."""
MM_PER = {Per.FOOT: Fraction(3048, 10), Per.METRE: Fraction(1000), Per.EACH: Fraction(1)}


@dataclass(frozen=True, slots=True)
class Extras:
    """Things priced by the piece: what the room, the gas supply, the climate and the water ask for.

    ``air`` says what is bought for combustion air; without it ``air_openings`` stands for two openings.
    """

    air_openings: bool
    garage_guard: bool
    meter_upgrade: bool
    service_regulator: bool = False
    cold_fitting: bool = False
    air: AirProvision | None = None
    water_items: tuple[WaterItem, ...] = ()
    outdoors: bool = False


def piece_keys(heater: Heater, routes: Iterable[Route], extras: Extras, prices: PriceBook) -> list[str]:
    """Price keys bought once each, besides the heater itself and what its vent ends in; a cold-climate fitting or a
    thing for the water that has no price is not billed, which findings and warnings tell."""
    keys = ["mount.hang"] + [OUTDOOR_KEY] * extras.outdoors
    keys += ["gas.tap", "gas.connection", *["water.tap", "water.connection"] * 2]
    keys += ["mount.garage_guard"] * extras.garage_guard + _air_keys(extras)
    keys += ["gas.meter_upgrade"] * extras.meter_upgrade + ["gas.service_regulator"] * extras.service_regulator
    keys += [COLD_KEY] * (extras.cold_fitting and COLD_KEY in prices.items)
    keys += [item.price_key for item in extras.water_items if item.price_key in prices.items]
    if heater.condensing:
        keys += ["drain.connection", "drain.neutraliser"]
    return keys + [key for r in routes for key in run_pieces(r)]


def run_pieces(route: Route) -> tuple[str, ...]:
    """Price keys bought once for a run because of the way it is made."""
    if route.service is Service.POWER:
        return power_pieces(route.option)
    return ("drain.pump",) * route.pumped


def _air_keys(extras: Extras) -> list[str]:
    return ["air.openings"] * extras.air_openings if extras.air is None else list(price_keys(extras.air))


def fixed_units(heater: Heater, prices: PriceBook, extras: Extras) -> int:
    """Money units of everything that does not depend on routes (a pump is a route's, and so is an outlet)."""
    return heater.price_cents * MONEY_SCALE + sum(prices[k].units_each for k in piece_keys(heater, (), extras, prices))


def route_units(route: Route, prices: PriceBook) -> int:
    """Money units of one route, with what is bought once for it."""
    pieces = sum(prices[key].units_each for key in run_pieces(route))
    return pieces + sum(_units(prices[key], quantity) for key, quantity in _quantities(route).items())


def renewal_units(works: GasWorks, supply: GasSupply, prices: PriceBook) -> int:
    """Money units of the old pipe that is renewed and of new pipe in the survey's own tree."""
    only = _of_works(GasWorks(works.renewals), supply)
    return sum(_units(prices[key], quantity) for key, quantity in only.items())


def works_units(works: GasWorks, supply: GasSupply, prices: PriceBook) -> int:
    """Money units of what is done to the gas system besides the branch; the supplier's regulator is an extra."""
    return sum(_units(prices[key], quantity) for key, quantity in _of_works(works, supply).items())


def intake_units(
    routes: tuple[Route, ...], listing: VentListing, surface: Surface | None, prices: PriceBook
) -> int:
    """Money units of an intake's pipe beside the vent's run, which leaves the house from a wall of this surface."""
    return sum(_units(prices[key], quantity) for key, quantity in _of_intake(routes, listing, surface).items())


def bill(
    heater: Heater, routes: tuple[Route, ...], prices: PriceBook, extras: Extras, works: GasWorks, supply: GasSupply,
    leaves_from: Surface | None, sleeves: Iterable[Sleeve] = (),
) -> tuple[tuple[CostLine, ...], int]:
    """Cost lines and their total in cents; holes that several heaters share are in no heater's own.

    Amounts are rounded to the cent so that they add up to the rounded exact total (largest
    remainders first), so a line may differ by one cent from its own rounding.
    """
    quantities: dict[str, int] = defaultdict(int)
    for route in routes:
        for key, quantity in _quantities(route).items():
            quantities[key] += quantity
    for part in (_of_works(works, supply), _of_intake(routes, heater.vent, leaves_from)):
        for key, quantity in part.items():
            quantities[key] += quantity
    for key in piece_keys(heater, routes, extras, prices):
        quantities[key] += 1
    for key in sleeve_keys(sleeves):
        quantities[key] -= 1
        if not quantities[key]:
            del quantities[key]
    book = [(prices[key], quantity) for key, quantity in sorted(quantities.items())]
    heater_price = Price(f"heater.{heater.id}", "heater", heater.name, heater.price_cents, Per.EACH)
    return _rounded([(heater_price, 1), *book])


def sleeve_keys(sleeves: Iterable[Sleeve]) -> list[str]:
    """Price keys of shared holes, one for each."""
    keys = (crossing_key(sleeve.service, sleeve.surface) for sleeve in sleeves)
    return [key for key in keys if key is not None]


def shared_bill(
    works: GasWorks, supply: GasSupply, prices: PriceBook, keys: Iterable[str]
) -> tuple[tuple[CostLine, ...], int]:
    """Cost lines and total [cents] of what several heaters share: works on a gas system and things bought once."""
    quantities = _of_works(works, supply)
    for key in keys:
        quantities[key] = quantities.get(key, 0) + 1
    return _rounded([(prices[key], n) for key, n in sorted(quantities.items())])


def _quantities(route: Route) -> dict[str, int]:
    """Millimetres or pieces by price key."""
    out: dict[str, int] = defaultdict(int)
    out[pipe_key(route.service, route.option)] = route.length_mm
    elbow = elbow_key(route.service, route.option)
    if elbow and route.elbows:
        out[elbow] = route.elbows
    for piece in route.pieces:
        if piece.surface in FINISHED and route.option not in CORDS:
            out[ACCESS_KEY[route.service]] += piece.length_mm
        if key := crossing_key(route.service, piece.surface):
            out[key] += 1
    if route.service is Service.VENT:
        over_roof = any(piece.surface is Surface.ROOF for piece in route.pieces)
        out[terminal_key_of(route.option, over_roof)] += 1
    return out


def _of_intake(routes: tuple[Route, ...], listing: VentListing, surface: Surface | None) -> dict[str, int]:
    """Millimetres or pieces by price key: as long as the vent's run and along the wall to a hole of its own; nothing
    without a vent."""
    vent = next((r for r in routes if r.service is Service.VENT), None)
    if vent is None or listing.intake is None:
        return {}
    pipe, elbow, terminal = intake_keys(listing.system)
    out: dict[str, int] = defaultdict(int)
    out[pipe], out[elbow], out[terminal] = vent.length_mm + listing.intake.apart_mm, vent.elbows + INTAKE_ELBOWS, 1
    for piece in vent.pieces:
        if key := crossing_key(Service.VENT, piece.surface):
            out[key] += 1
    if surface in FINISHED:
        out[ACCESS_KEY[Service.VENT]] = listing.intake.apart_mm
    return out


def _of_works(works: GasWorks, supply: GasSupply) -> dict[str, int]:
    """Millimetres or pieces by price key; a new segment is not taken out first."""
    segments = {s.id: s for s in supply.segments}
    out: dict[str, int] = defaultdict(int)
    for renewal in works.renewals:
        segment = segments[renewal.segment_id]
        out[f"gas.{option_name(renewal.material, renewal.size)}.pipe"] += renewal.length_mm
        if segment.size is not None:
            out["gas.renew"] += 1
        if segment.finished:
            out["access.pipe.finished"] += renewal.length_mm
    if works.line_regulators:
        out["gas.line_regulator"] = works.line_regulators
    if works.pressure_option is not None:
        out["gas.pressure_change"] = 1
    return out


def _units(price: Price, quantity: int) -> int:
    return quantity * (price.units_each if price.per is Per.EACH else price.units_per_mm)


def _rounded(book: list[tuple[Price, int]]) -> tuple[tuple[CostLine, ...], int]:
    exact = [Fraction(_units(price, quantity), MONEY_SCALE) for price, quantity in book]
    total = int(sum(exact, Fraction(1, 2)))
    cents = [int(e) for e in exact]
    order = sorted(range(len(book)), key=lambda i: (cents[i] - exact[i], i))
    for i in order[: total - sum(cents)]:
        cents[i] += 1
    return tuple(_line(p, q, c) for (p, q), c in zip(book, cents, strict=True)), total


def _line(price: Price, quantity: int, cents: int) -> CostLine:
    shown = float(quantity / MM_PER[price.per])
    return CostLine(price.trade, price.key, price.description, shown, price.per.value, price.cents, cents)
