"""In what a design differs from another one beside the room, the way out, the heater and the gas pipe tapped."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from math import hypot

from service.design import Design, Renewal, RoofTerminal, Route, Service, Terminal
from service.survey.air_provision import AirProvision
from service.survey.model import UnitSystem
from service.units import Quantity, told

NONE = "none"
RUNS = (Service.VENT, Service.GAS, Service.COLD, Service.HOT, Service.DRAIN, Service.POWER)


class Aspect(StrEnum):
    """In what two designs may differ."""

    WALL = "wall"
    PLACE = "place_on_wall"
    HEIGHT = "height"
    TERMINAL = "place_of_terminal"
    INTAKE = "place_of_intake"
    VENT_SYSTEM = "vent_system"
    SIZE = "size"
    CONNECTION = "power_connection"
    END = "end_of_run"
    ROUTE = "route"
    PUMP = "condensate_pump"
    AIR = "combustion_air"
    METER = "meter"
    SERVICE_REGULATOR = "service_regulator"
    DELIVERY_PRESSURE = "delivery_pressure"
    LINE_REGULATORS = "line_regulators"
    RENEWED = "renewed_gas_pipe"
    WATER_ITEMS = "water_items"
    COLD_FITTING = "cold_fitting"


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing in which a design differs from another: of which run, if of one; how the other has it and how this one
    does; ``by_mm``: how far apart, or how much longer the run is than the other's [mm], None: that is no length."""

    aspect: Aspect
    service: Service | None
    other: str
    own: str
    by_mm: int | None = None


def differences(other: Design, own: Design, units: UnitSystem) -> tuple[Difference, ...]:
    """All in which a design differs from another one; places are compared on one wall, facade or roof plane alone."""
    runs = (d for service in RUNS for d in _of_run(service, other, own, units))
    return (*_of_place(other, own, units), *_of_ends(other, own, units), *runs, *_of_works(other, own, units))


def _length(mm: float, units: UnitSystem) -> str:
    return told(Quantity.LENGTH, mm / 1000, units)


def _of_place(other: Design, own: Design, units: UnitSystem) -> Iterator[Difference]:
    a, b, length = other.mount, own.mount, partial(_length, units=units)
    walls = [m.facade_id or m.face_id for m in (a, b)]
    if walls[0] != walls[1]:
        yield Difference(Aspect.WALL, None, walls[0], walls[1])
        return
    if a.s_mm != b.s_mm:
        yield Difference(Aspect.PLACE, None, _along(a.s_mm, units), _along(b.s_mm, units), abs(b.s_mm - a.s_mm))
    if a.bottom_z_mm != b.bottom_z_mm:
        heights = length(a.bottom_z_mm), length(b.bottom_z_mm)
        yield Difference(Aspect.HEIGHT, None, *heights, abs(b.bottom_z_mm - a.bottom_z_mm))


def _along(mm: int, units: UnitSystem) -> str:
    return f"{_length(mm, units)} along"


def _of_ends(other: Design, own: Design, units: UnitSystem) -> Iterator[Difference]:
    """Where the terminal and a twin pipe's intake are; outdoors the flue outlet is where the case is."""
    if not (other.outdoors or own.outdoors):
        yield from _of_end(Aspect.TERMINAL, other.terminal, own.terminal, units)
    if other.intake is not None and own.intake is not None:
        yield from _of_end(Aspect.INTAKE, other.intake, own.intake, units)


def _of_end(
    aspect: Aspect, other: Terminal | RoofTerminal, own: Terminal | RoofTerminal, units: UnitSystem
) -> Iterator[Difference]:
    a, b = _spot(other), _spot(own)
    if a[0] != b[0] or a == b:
        return
    apart = round(hypot(b[1] - a[1], b[2] - a[2]))
    words = [f"{_length(s, units)}, {_length(z, units)}" for _, s, z in (a, b)]
    yield Difference(aspect, None, words[0], words[1], apart)


def _spot(end: Terminal | RoofTerminal) -> tuple[str, int, int]:
    if isinstance(end, RoofTerminal):
        return end.roof_id, end.x_mm, end.y_mm
    return end.facade_id, end.s_mm, end.z_mm


def _of_run(service: Service, other: Design, own: Design, units: UnitSystem) -> Iterator[Difference]:
    a, b = other.route(service), own.route(service)
    if a is None and b is None:
        return
    if a is None or b is None:
        yield Difference(Aspect.ROUTE, service, _run(a, units), _run(b, units))
        return
    if a.option != b.option:
        yield Difference(_kind(service), service, a.option, b.option)
    if a.end_id != b.end_id and service is not Service.VENT:
        yield Difference(Aspect.END, service, a.end_id, b.end_id)
    if a.pumped != b.pumped:
        yield Difference(Aspect.PUMP, service, _yes(a.pumped), _yes(b.pumped))
    if a.pieces != b.pieces:
        yield Difference(Aspect.ROUTE, service, _run(a, units), _run(b, units), b.length_mm - a.length_mm)


def _kind(service: Service) -> Aspect:
    return {Service.VENT: Aspect.VENT_SYSTEM, Service.POWER: Aspect.CONNECTION}.get(service, Aspect.SIZE)


def _run(route: Route | None, units: UnitSystem) -> str:
    if route is None:
        return NONE
    return f"{_length(route.length_mm, units)} with {route.elbows} elbow{'' if route.elbows == 1 else 's'}"


def _yes(holds: bool) -> str:
    return "yes" if holds else "no"


def _of_works(other: Design, own: Design, units: UnitSystem) -> Iterator[Difference]:
    for (aspect, a), (_, b) in zip(_works(other, units), _works(own, units), strict=True):
        if a != b:
            yield Difference(aspect, None, a, b)


def _works(design: Design, units: UnitSystem) -> Iterator[tuple[Aspect, str]]:
    gas = design.gas
    yield Aspect.AIR, _air(design.air)
    yield Aspect.METER, "larger" if design.meter_upgrade else "as it is"
    yield Aspect.SERVICE_REGULATOR, "larger" if gas.service_regulator else "as it is"
    yield Aspect.DELIVERY_PRESSURE, gas.pressure_option or "as it is"
    yield Aspect.LINE_REGULATORS, str(gas.line_regulators)
    yield Aspect.RENEWED, _listed(_renewed(r, units) for r in gas.renewals)
    yield Aspect.WATER_ITEMS, _listed(item.value for item in design.water_items)
    yield Aspect.COLD_FITTING, _yes(design.cold_fitting)


def _air(air: AirProvision | None) -> str:
    if air is None:
        return NONE
    return f"{air.method.value} through {', '.join(air.through)}" if air.through else air.method.value


def _renewed(renewal: Renewal, units: UnitSystem) -> str:
    part = f"{renewal.segment_id} {renewal.part.value}: {renewal.material} {renewal.size}"
    return f"{part}, {_length(renewal.length_mm, units)}"


def _listed(words: Iterable[str]) -> str:
    return "; ".join(words) or NONE
