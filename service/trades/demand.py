"""Demand of a house for hot water at the heater's outlet, by three methods that are never mixed.

Concurrent use: hot parts of the draws that run together. Fixture units: the hot column of a code, read off the curve of
that code. Probabilistic: see ``peak_demand``; it takes the whole flow of each fixture as hot, as it sizes hot pipe.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from service.rules.tables import table
from service.survey.fixtures import DemandMethod, Draw, HotWater
from service.trades import fixture_units, fixtures
from service.trades.heater_output import hot_share
from service.trades.inlet_temperature import Inlet, inlet_of
from service.trades.peak_demand import Chance, PeakDemand, peak_demand
from service.trades.water_quality import water_rule

CONCURRENT_CITATION = "US Energy Department, sizing of tankless heaters"


@dataclass(frozen=True, slots=True)
class Use:
    """One draw at a cold inlet: share of hot water in it, and the hot part of one of its fixtures [m3/s].

    ``use_c``: temperature at which it is used [degC], None where it may draw hot water alone.
    """

    draw: Draw
    use_c: float | None
    share: float
    hot_m3_s: float


@dataclass(frozen=True, slots=True)
class Demand:
    """Hot water asked for at once [m3/s], None where the method has no answer: ``missing`` says why.

    ``together``: fixtures that run, by concurrent use. ``units``: fixture units. ``peak``: the probabilistic figures.
    ``is_told``: False where nobody told what runs at once, so that the largest draw by itself is all that counts.
    """

    method: DemandMethod
    flow_m3_s: float | None
    citation: str
    known_from: str
    together: tuple[str, ...] = ()
    units: float | None = None
    peak: PeakDemand | None = None
    missing: str = ""
    is_told: bool = True


@dataclass(frozen=True, slots=True)
class Duty:
    """What heaters must carry when water is coldest: the governing demand, warmed up to the setpoint [degC].
    ``heaters``: how many carry it, each an even part."""

    demand: Demand
    inlet: Inlet
    setpoint_c: float
    heaters: int = 1

    @property
    def rise_k(self) -> float:
        """Rise at the coldest inlet [K]; 0 where the water comes as hot as it is to leave."""
        return max(0.0, self.setpoint_c - self.inlet.coldest_c)


def duty_of(facts: HotWater) -> Duty:
    """The governing demand at the coldest inlet."""
    inlet = inlet_of(facts.inlet_c, facts.climate)
    return Duty(demand_by(facts.terms.method, facts, inlet.coldest_c), inlet, setpoint_of(facts), facts.terms.sharing)


def setpoint_of(facts: HotWater) -> float:
    """Outlet temperature [degC]."""
    return water_rule("setpoint").value if facts.setpoint_c is None else facts.setpoint_c


def demand_by(method: DemandMethod, facts: HotWater, cold_c: float) -> Demand:
    """Demand by one method; the inlet [degC] matters to concurrent use only."""
    ways: dict[DemandMethod, Callable[[], Demand]] = {
        DemandMethod.CONCURRENT_USE: lambda: _concurrent(facts, cold_c),
        DemandMethod.FIXTURE_UNITS: lambda: _by_units(facts),
        DemandMethod.PROBABILISTIC: lambda: _by_chance(facts),
    }
    return ways[method]()


def uses_of(facts: HotWater, cold_c: float) -> tuple[Use, ...]:
    """Every draw with its hot part at a cold inlet [degC]."""
    return tuple(_use(draw, facts, cold_c) for draw in facts.draws)


def _use(draw: Draw, facts: HotWater, cold_c: float) -> Use:
    house = facts.terms.use_temperature_c
    mixed = (fixtures.use_temperature_c() if house is None else house) if fixtures.is_mixed(draw.kind) else None
    use_c = mixed if draw.use_temperature_c is None else draw.use_temperature_c
    share = 1.0 if use_c is None else hot_share(use_c, setpoint_of(facts), cold_c)
    return Use(draw, use_c, share, draw.flow_m3_s * share)


def _concurrent(facts: HotWater, cold_c: float) -> Demand:
    """Largest of the sets that run together; where none is told, of the fixtures by themselves, one of each."""
    uses = uses_of(facts, cold_c)
    all_alike = {u.draw.id: u.hot_m3_s * u.draw.count for u in uses}
    sets = [(ids, sum(all_alike[name] for name in ids)) for ids in facts.terms.at_once]
    is_told = bool(sets)
    sets = sets or [((u.draw.id,), u.hot_m3_s) for u in uses]
    together, flow = max(sets, key=lambda found: found[1])
    return Demand(DemandMethod.CONCURRENT_USE, flow, CONCURRENT_CITATION, "read", together, is_told=is_told)


def _by_units(facts: HotWater) -> Demand:
    source = table("fixture_units")
    citation = f"{source.standard} {source.edition}, {source.section} and E103.3(3)"
    named = {d.id: called(d, "ipc_fixture") for d in facts.draws}
    if unknown := [name for name, known in named.items() if known is None]:
        return _none(DemandMethod.FIXTURE_UNITS, citation, f"fixture units of {', '.join(unknown)}")
    units = sum(fixture_units.hot_units(name) * d.count for d in facts.draws if (name := named[d.id]))
    try:
        flow = fixture_units.curve_flow_m3_s(fixture_units.IPC, units)
    except ValueError as error:
        return _none(DemandMethod.FIXTURE_UNITS, citation, f"a row of the curve: {error}")
    marks = {source.where(fixture=name).text("known_from") for name in named.values()}
    mark = "memory" if "memory" in marks else fixture_units.curve_mark(fixture_units.IPC, units)
    return Demand(DemandMethod.FIXTURE_UNITS, flow, citation, mark, units=units)


def _by_chance(facts: HotWater) -> Demand:
    source = table("demand_probability")
    citation = f"{source.standard} {source.edition}, {source.section}"
    chances = [chance_of(d) for d in facts.draws]
    if unknown := [d.id for d, c in zip(facts.draws, chances, strict=True) if c is None]:
        missing = f"chance of use of {', '.join(unknown)}, or a flow that the method takes"
        return _none(DemandMethod.PROBABILISTIC, citation, missing)
    peak = peak_demand([c for c in chances if c is not None])
    return Demand(DemandMethod.PROBABILISTIC, peak.flow_m3_s, citation, source.known_from, peak=peak)


def chance_of(draw: Draw) -> Chance | None:
    """Chance and flow of a draw by the probabilistic method: its own flow where that is given and not above the
    method's, which it may pass by the rounding of a metric label only; None where the method does not know it."""
    name = called(draw, "appendix_m_fixture")
    if name is None:
        return None
    row = table("demand_probability").where(fixture=name)
    p, q = row.printed("p"), row.si("q")
    if not draw.flow_is_given:
        return Chance(p, q, draw.count)
    if draw.flow_m3_s > q * (1 + table("demand_method").constant("flow_tolerance")):
        return None
    return Chance(p, min(q, draw.flow_m3_s), draw.count)


def called(draw: Draw, column: str) -> str | None:
    """What the fixture is called in a method's table, by the column of ``fixture_kinds`` that says so; None for an
    unknown kind."""
    return table("fixture_kinds").where(kind=draw.kind).text(column) if draw.kind in fixtures.kinds() else None


def _none(method: DemandMethod, citation: str, missing: str) -> Demand:
    return Demand(method, None, citation, "memory", missing=missing)
