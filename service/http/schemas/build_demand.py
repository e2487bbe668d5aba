"""From a loaded demand and climate to the survey's; every default is told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from service.errors import Fault
from service.http.schemas.base import pointer
from service.http.schemas.notes import Notes
from service.survey.model import Climate, DemandMethod, DemandTerms, Draw, HotWater
from service.trades import fixtures
from service.trades.demand import demand_by, setpoint_of
from service.trades.inlet_temperature import InletSource, inlet_of
from service.units import Quantity, told

Entry = Mapping[str, Any]
Place = tuple[str | int, ...]


def build_terms(entry: Entry | None) -> DemandTerms:
    """How demand is reckoned; sets of fixtures alone mean concurrent use."""
    given = entry or {}
    return DemandTerms(
        method=given.get("method", DemandMethod.CONCURRENT_USE),
        at_once=tuple(tuple(ids) for ids in given.get("at_once", ())),
        use_temperature_c=given.get("use_temperature"),
    )


def build_climate(entry: Entry | None) -> Climate | None:
    """Air over the year; the months count alike."""
    if entry is None:
        return None
    south = entry.get("south_of_equator", False)
    if months := entry.get("monthly_air_temperatures"):
        return Climate(sum(months) / len(months), max(months) - min(months), south)
    return Climate(entry["annual_mean"], entry["warmest_month"] - entry["coldest_month"], south)


def note_demand(facts: HotWater | None, notes: Notes) -> None:
    """What is taken for granted of temperatures, but for the heater's setpoint, where a house has fixtures."""
    if facts is None:
        return
    terms = facts.terms
    if any(fixtures.is_mixed(d.kind) and d.use_temperature_c is None for d in facts.draws):
        use = told(Quantity.TEMPERATURE, fixtures.use_temperature_c(), notes.system)
        sentence = f"Temperature at which mixed water is used not given, taken as {use} (common practice)"
        notes.unknown(terms.use_temperature_c, sentence, "water.demand")
    inlet = inlet_of(facts.inlet_c, facts.climate)
    if inlet.source is InletSource.UNKNOWN:
        cold = told(Quantity.TEMPERATURE, inlet.coldest_c, notes.system)
        sentence = f"Inlet temperature and climate not given, coldest inlet taken as {cold} (cautious, common practice)"
        notes.assume(sentence)


def demand_faults(facts: HotWater, within: Place) -> Iterator[Fault]:
    """Sets that name no fixture, temperatures that warm nothing, and a method that has no answer; ``within``: the place
    that holds fixtures and demand."""
    unknown = list(_reference_faults(facts, (*within, "demand")))
    yield from unknown
    inlet = inlet_of(facts.inlet_c, facts.climate)
    if setpoint_of(facts) <= inlet.coldest_c:
        yield Fault(pointer(*within, "setpoint"), "contradiction", "the heater's outlet is not hotter than its inlet")
    elif not unknown:
        found = demand_by(facts.terms.method, facts, inlet.coldest_c)
        if found.flow_m3_s is None:
            yield Fault(pointer(*within, "fixtures"), "unknown_demand", f"{found.method} cannot tell: {found.missing}")


def _reference_faults(facts: HotWater, demand: Place) -> Iterator[Fault]:
    known = {d.id for d in facts.draws}
    for i, ids in enumerate(facts.terms.at_once):
        for j, name in enumerate(ids):
            place = pointer(*demand, "at_once", i, j)
            if name not in known:
                yield Fault(place, "unknown_reference", f"there is no fixture {name!r}")
            elif name in ids[:j]:
                yield Fault(place, "duplicate", f"fixture {name!r} is in this set already")


def duplicate_faults(draws: Sequence[Draw], list_of_fixtures: Place) -> Iterator[Fault]:
    """Ids that two fixtures share."""
    seen: set[str] = set()
    for i, draw in enumerate(draws):
        if draw.id in seen:
            yield Fault(pointer(*list_of_fixtures, i, "id"), "duplicate_id", f"another fixture has the id {draw.id!r}")
        seen.add(draw.id)
