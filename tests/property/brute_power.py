"""Power of the brute force: every way of having it, by rules told once more, for outlets whose facts are all told or
not told at all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.design import Piece, Surface
from service.rules.catalogue import heaters
from service.rules.rulesets import rule_set
from service.survey.equipment import PortService, PriceBook
from service.survey.model import Circuit, Receptacle, RoomUse, Survey
from tests.property.brute_routes import Rates

NO_WAY = 10**13
"""Money units that no run of a small house costs."""
ALWAYS = {RoomUse.BATHROOM, RoomUse.TOILET, RoomUse.GARAGE, RoomUse.CRAWL_SPACE, RoomUse.LAUNDRY, RoomUse.UNKNOWN}
"""Rooms whose outlets need protection by every edition that is offered (NEC 210.8(A))."""
ON_THE_WALL = (Surface.WALL, Surface.WALL_FINISHED, Surface.STUB)
YEARS = {"us-2015": 2014, "us-2018": 2017, "us-2021": 2020}


@dataclass(frozen=True)
class CordRates(Rates):
    """A cord lies on walls; anything else is beyond price."""

    def each_mm(self, surface: Surface) -> int:
        """Price of a millimetre."""
        return self.per_mm if surface in ON_THE_WALL else NO_WAY

    def of(self, surface: Surface, length: int) -> int:
        """Price of a straight piece; one without length on a surface that is closed is closed too."""
        return self.each_mm(surface) * length if surface in ON_THE_WALL else NO_WAY


def cord_rates(book: PriceBook) -> Rates:
    """What a cord pays."""
    return CordRates(book["power.cord"].units_per_mm, 0, 0, {})


def carries(survey: Survey, outlet: Receptacle, watts: float) -> bool | None:
    """Whether an outlet's circuit, or a new one, takes so many watts at 120 V; None where nothing is told of it."""
    circuit = outlet.circuit
    if outlet.is_panel:
        return None if outlet.free_spaces is None else outlet.free_spaces > 0
    if circuit == Circuit():
        return None
    assert circuit.breaker_a and circuit.voltage_v and circuit.load_w is not None and circuit.fixed_load_w is not None
    fits = circuit.voltage_v == 120 and circuit.load_w + watts <= 0.8 * 120 * circuit.breaker_a
    is_us = rule_set(survey.site.rule_set).country == "us"
    return fits and (not is_us or bool(circuit.dedicated) or circuit.fixed_load_w + watts <= 60 * circuit.breaker_a)


def protected(survey: Survey, room: RoomUse, finished: bool) -> bool:
    """Whether an outlet may need ground-fault protection, in a house whose floors lie over the ground and whose
    fixtures are far from its outlets; what is not known counts as so, and fixtures that nobody told are not known."""
    if not survey.water.fixtures:
        return True
    year = YEARS.get(survey.site.rule_set)
    basement = room is RoomUse.BASEMENT and (not finished or (year or 0) >= 2020)
    return year is None or room in ALWAYS or room is RoomUse.KITCHEN or basement


def reach_mm(heater_id: str) -> int:
    """What is left of a catalogue heater's cord below the case: its port is beside the vent's, 300 mm higher."""
    heater = heaters()[heater_id]
    dx = {p.service: p.dx_mm for p in heater.ports}
    return heater.cord_length_mm - 300 - abs(dx[PortService.POWER] - dx[PortService.VENT])


def lies_on_walls(pieces: tuple[Piece, ...], most_mm: int) -> bool:
    """Whether a cord keeps to walls and to its length."""
    return all(p.surface in ON_THE_WALL for p in pieces) and sum(p.length_mm for p in pieces) <= most_mm


def pluggable(survey: Survey, watts: float) -> Iterator[Receptacle]:
    """Outlets that are known to carry the heater."""
    for outlet in survey.receptacles:
        if not outlet.is_panel and carries(survey, outlet, watts):
            yield outlet
