"""Price book -> what each service pays on the sheets."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from service.design import Service, Surface
from service.routing.tariff import Tariff
from service.survey.equipment import PriceBook, VentListing
from service.survey.model import GasMaterial
from service.trades.power_options import CORDS, run_key
from service.trades.vent import INTAKE_ELBOWS

SURFACES = tuple(Surface)
FINISHED = (Surface.WALL_FINISHED, Surface.CEILING_FINISHED)
ACCESS_KEY = {
    Service.VENT: "access.vent.finished",
    Service.GAS: "access.pipe.finished",
    Service.COLD: "access.pipe.finished",
    Service.HOT: "access.pipe.finished",
    Service.DRAIN: "access.pipe.finished",
    Service.POWER: "access.cable.finished",
}
STEM = {Service.GAS: "gas", Service.COLD: "water", Service.HOT: "water", Service.DRAIN: "drain", Service.POWER: "power"}
ON_ITS_WALL = (Surface.WALL, Surface.WALL_FINISHED, Surface.STUB)
"""Where a cord may lie: it passes no wall and no floor, and nobody hangs it under a ceiling."""
DOWNHILL, UPHILL, ANY_WAY = -1, 1, 0
ROOF_KEY = "vent.roof_penetration"


def pipe_key(service: Service, option: str) -> str:
    """Price key of the run itself, by length."""
    if service is Service.POWER:
        return run_key(option)
    return "drain.pipe" if service is Service.DRAIN else f"{_sized(service, option)}.pipe"


def elbow_key(service: Service, option: str) -> str | None:
    """Price key of one elbow; a cable and corrugated tubing have none."""
    if service is Service.POWER or (service is Service.GAS and option.startswith(GasMaterial.CSST.value)):
        return None
    return "drain.elbow" if service is Service.DRAIN else f"{_sized(service, option)}.elbow"


def intake_keys(system: str) -> tuple[str, str, str]:
    """Price keys of an intake's pipe, elbow and terminal."""
    return f"vent.{system}.intake_pipe", f"vent.{system}.intake_elbow", f"vent.{system}.intake_terminal"


def _sized(service: Service, option: str) -> str:
    return f"vent.{option}" if service is Service.VENT else f"{STEM[service]}.{option}"


def crossing_key(service: Service, surface: Surface) -> str | None:
    """Price key of passing a wall, a floor or the roof, None on other surfaces."""
    if surface is Surface.OUTER_WALL:
        return "vent.outer_wall" if service is Service.VENT else f"{STEM[service]}.wall_crossing"
    if surface is Surface.ROOF:
        return ROOF_KEY if service is Service.VENT else None
    if surface in (Surface.WALL_CROSSING, Surface.FLOOR_CROSSING):
        return f"{'vent' if service is Service.VENT else STEM[service]}.{surface.value}"
    return None


@cache
def _crossing_keys(service: Service) -> dict[Surface, str]:
    """Price keys of all surfaces that a service pays for passing."""
    return {s: key for s in SURFACES if (key := crossing_key(service, s))}


def terminal_key_of(system: str, over_roof: bool) -> str:
    """Price key of what a vent ends in, in a wall or over a roof."""
    return f"vent.{system}.{'roof_terminal' if over_roof else 'terminal'}"


def vent_tariff(prices: PriceBook, listing: VentListing) -> Tariff:
    """What the vent pays; of twin pipe both, boxed in together where the surface is finished, each through its own
    holes. KeyError if a price is missing."""
    one = tariff_of(prices, Service.VENT, listing.system, UPHILL)
    if listing.intake is None:
        return one
    pipe, elbow, _ = (prices[key] for key in intake_keys(listing.system))
    return Tariff(
        {s: units + pipe.units_per_mm for s, units in one.per_mm.items()},
        {s: 2 * units for s, units in one.once.items()}, one.bend + elbow.units_each, one.one_way,
    )  # fmt: skip


def jog_units(prices: PriceBook, listing: VentListing, surface: Surface) -> int:
    """Money units of what an intake has more than the exhaust: the way along a wall to its own hole, elbows, and its
    terminal; 0 without an intake."""
    if listing.intake is None:
        return 0
    pipe, elbow, terminal = (prices[key] for key in intake_keys(listing.system))
    boxed = prices[ACCESS_KEY[Service.VENT]].units_per_mm if surface in FINISHED else 0
    way = listing.intake.apart_mm * (pipe.units_per_mm + boxed)
    return way + INTAKE_ELBOWS * elbow.units_each + terminal.units_each


def tariff_of(prices: PriceBook, service: Service, option: str, one_way: int = ANY_WAY) -> Tariff:
    """Units a millimetre, once and a bend for one service and size; KeyError if a price is missing that no book may
    lack. A surface without its price is closed."""
    if option in CORDS:
        return Tariff(dict.fromkeys(ON_ITS_WALL, prices[run_key(option)].units_per_mm), {}, 0, one_way)
    pipe = prices[pipe_key(service, option)].units_per_mm
    access = prices[ACCESS_KEY[service]].units_per_mm
    keys = _crossing_keys(service)
    is_closed = Surface.ROOF not in keys or ROOF_KEY not in prices.items
    every = [s for s in SURFACES if not (is_closed and s is Surface.ROOF)]
    per_mm = {s: pipe + (access if s in FINISHED else 0) for s in every}
    once = {s: prices[keys[s]].units_each for s in every if s in keys}
    elbow = elbow_key(service, option)
    return Tariff(per_mm, once, prices[elbow].units_each if elbow else 0, one_way)


def dearer(tariff: Tariff, units_per_mm: int) -> Tariff:
    """The same where every millimetre costs more [money units]."""
    return replace(tariff, per_mm={surface: rate + units_per_mm for surface, rate in tariff.per_mm.items()})
