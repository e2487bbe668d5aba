"""Combustion air by trying everything: each way with each set of rooms, generously sized, put to the checker."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import chain, combinations

from service.building.model import Building
from service.check.air import air_findings
from service.design import AirMethod, AirOpening, AirProvision, Design, Mount, Terminal, Verdict
from service.survey.equipment import Heater
from service.survey.model import Survey
from service.trades import air

LARGE_MM2 = 10**9
LARGE_M3_S = 1e3
MOST_GRILLED = 2
INDOORS = (AirMethod.STANDARD, AirMethod.INFILTRATION, AirMethod.GRILLES)


def cheapest_air(survey: Survey, building: Building, room: str, heater: Heater) -> tuple[int, AirProvision] | None:
    """Cents and provision of the cheapest way that the checker passes; None if it passes none."""
    tries = [(cost, p) for p in _tries(building, room) if (cost := _cents(survey, p)) is not None]
    lawful = (t for t in sorted(tries, key=lambda t: t[0]) if is_lawful(survey, building, room, heater, t[1]))
    return next(lawful, None)


def is_lawful(survey: Survey, building: Building, room: str, heater: Heater, provision: AirProvision) -> bool:
    """Whether the checker has nothing against it."""
    face = next(f for f in building.faces if f.room_id == room)
    outdoors = air.opens_outdoors(provision.method)
    design = Design(heater, Mount(face.id, 0, 0), Terminal("", 0, 0), (), outdoors, False, (), 0, air=provision)
    return all(f.verdict in (Verdict.PASS, Verdict.ADVICE) for f in air_findings(survey, building, design))


def _cents(survey: Survey, provision: AirProvision) -> int | None:
    keys = air.price_keys(provision)
    if any(key not in survey.prices.items for key in keys):
        return None
    return sum(survey.prices[key].cents for key in keys)


def _tries(building: Building, room: str) -> Iterator[AirProvision]:
    others = sorted({r.id for r in building.rooms} - {room})
    for method in AirMethod:
        most = {AirMethod.GRILLES: MOST_GRILLED, AirMethod.HORIZONTAL_DUCTS: 1, AirMethod.MECHANICAL: 1}.get(method, 0)
        for through in chain.from_iterable(combinations(others, k) for k in range(most + 1)):
            yield from _sized(method, (room,), through, others)


def _sized(method: AirMethod, room: tuple[str], through: tuple[str, ...], others: list[str]) -> Iterator[AirProvision]:
    counts = {AirMethod.COMBINED: (1, 2), AirMethod.GRILLES: (2 * len(through),)}.get(
        method, (air.method_row(method).integer("openings"),)
    )
    most = len(others) if method in INDOORS else 0
    for more in chain.from_iterable(combinations(others, k) for k in range(most + 1)):
        for count in counts:
            yield _provision(method, (*room, *more), through, count)


def _provision(method: AirMethod, rooms: tuple[str, ...], through: tuple[str, ...], count: int) -> AirProvision:
    opening = AirOpening(LARGE_MM2, 10 * LARGE_MM2, 10 * LARGE_MM2)
    plain = AirProvision(method, rooms, (opening,) * count, through)
    return replace(plain, supply_m3_s=LARGE_M3_S) if method is AirMethod.MECHANICAL else plain
