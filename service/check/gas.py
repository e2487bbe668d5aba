"""Whether the gas piping carries the heater: branch, existing pipe on the way, meter, pressure at the inlet.

The piping is walked here anew; only the pipe equation and its tables are shared physics.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from service.building.model import Building
from service.check.measure import SKEW_TOLERANCE_MM
from service.check.routes import turns
from service.check.verdicts import stated
from service.design import Design, Finding, Route, Service, Verdict
from service.rules.tables import table
from service.survey.model import GasSegment, GasSupply, Survey
from service.trades.gas import STEEL, capacity_m3_s, flow_m3_s

LONGEST = "IFGC 402.4.1, longest length method"
BRANCH = "IFGC 402.4.2, branch length method"
LOAD = "IFGC 402.2"
PRACTICE = "common practice, listed instructions"


@dataclass(frozen=True, slots=True)
class Tapped:
    """Where the branch leaves the old piping: length from the delivery, and the segments on the way there."""

    upstream_mm: float
    slack_mm: float
    way: tuple[GasSegment, ...]


def gas_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings on fuel, pressure, meter, the new branch and the old pipe before it."""
    return (
        _fuel(survey, design),
        *_pressure(survey.gas, design),
        _meter(survey.gas, design),
        *_piping(survey, building, design),
    )


def _fuel(survey: Survey, design: Design) -> Finding:
    fuel, taken = survey.site.fuel, design.heater.fuels
    detail = f"{fuel} supplied, {', '.join(taken)} taken"
    return stated("gas.fuel", "gas", design.heater.id, fuel in taken, detail, PRACTICE)


def _pressure(gas: GasSupply, design: Design) -> tuple[Finding, ...]:
    """Static pressure at most, pressure at full fire at least what the listing asks."""
    heater, left = design.heater, gas.pressure_pa - gas.allowable_drop_pa
    low = f"{left:.0f} Pa left at full fire, {heater.gas_inlet_min_pa:.0f} Pa asked"
    high = f"{gas.pressure_pa:.0f} Pa supplied, {heater.gas_inlet_max_pa:.0f} Pa allowed"
    return (
        stated("gas.inlet_low", "gas", heater.id, left >= heater.gas_inlet_min_pa, low, PRACTICE),
        stated("gas.inlet_high", "gas", heater.id, gas.pressure_pa <= heater.gas_inlet_max_pa, high, PRACTICE),
    )


def _meter(gas: GasSupply, design: Design) -> Finding:
    load = sum(a.input_w for a in gas.appliances) + design.heater.input_max_w
    enough = load <= gas.meter_capacity_w * (1 + 1e-9) or design.meter_upgrade
    detail = f"{load:.0f} W connected, meter passes {gas.meter_capacity_w:.0f} W" + (
        ", larger meter planned" if design.meter_upgrade else ""
    )
    return stated("gas.meter", "gas", "meter", enough, detail, LOAD)


def _piping(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    route = design.route(Service.GAS)
    if route is None or not route.pieces:
        return ()
    if survey.gas.pressure_pa >= table("gas_equation").constant("low_pressure_limit"):
        detail = "the supply pressure is above the range of the low-pressure equation"
        missing = "sizing for this pressure"
        return (Finding("gas.branch", Verdict.UNKNOWN, "gas", route.end_id, detail, None, None, BRANCH, missing),)
    tapped = _tapped(survey, building, route)
    if tapped is None:
        detail = f"{route.end_id} does not hang on the point of delivery"
        return (stated("gas.tap", "gas", route.end_id, False, detail, LONGEST),)
    own = _run_mm(route)
    if own is None:
        return (stated("gas.branch", "gas", route.end_id, False, f"no pipe of size {route.option}", BRANCH),)
    total = tapped.upstream_mm + own
    return (
        _branch(survey, design, route, total),
        *_upstream(survey, design, tapped, total),
        _stated_length(route, total, tapped.slack_mm),
    )


def _run_mm(route: Route) -> int | None:
    """Length of the branch with its elbows' allowance, None for an unknown size [mm]."""
    try:
        allowance = table("gas_fittings").where(nominal=route.option).si("ell90") * 1000
    except KeyError:
        return None
    return sum(p.length_mm for p in route.pieces) + turns(route.pieces) * ceil(round(allowance, 6))


def _branch(survey: Survey, design: Design, route: Route, total_mm: float) -> Finding:
    site, heater = survey.site, design.heater
    wanted = flow_m3_s(heater.input_max_w, site.heating_value_j_m3)
    passed = _capacity(survey, STEEL, route.option, total_mm)
    if passed is None:
        return stated("gas.branch", "gas", route.end_id, False, f"no pipe of size {route.option}", BRANCH)
    detail = f"size {route.option} over {total_mm:.0f} mm passes {_hourly(passed)}, heater takes {_hourly(wanted)}"
    return stated("gas.branch", "gas", route.end_id, passed >= wanted, detail, BRANCH)


def _upstream(survey: Survey, design: Design, tapped: Tapped, total_mm: float) -> tuple[Finding, ...]:
    longest = max(total_mm, *_lengths(survey.gas).values())
    return tuple(_segment(survey, design, s, longest) for s in tapped.way)


def _segment(survey: Survey, design: Design, s: GasSegment, longest_mm: float) -> Finding:
    passed = _capacity(survey, s.material, s.size, longest_mm)
    if passed is None:
        detail, missing = f"capacity of {s.material} {s.size} is not known", f"capacity of segment {s.id}"
        return Finding("gas.upstream", Verdict.UNKNOWN, "gas", s.id, detail, None, None, LONGEST, missing)
    load = _load_w(survey.gas, s) + design.heater.input_max_w
    wanted = flow_m3_s(load, survey.site.heating_value_j_m3)
    detail = f"{s.size} over {longest_mm:.0f} mm passes {_hourly(passed)}, old and new load take {_hourly(wanted)}"
    return stated("gas.upstream", "gas", s.id, passed >= wanted, detail, LONGEST)


def _capacity(survey: Survey, material: str, size: str, length_mm: float) -> float | None:
    try:
        inside_m = table("gas_pipe").where(material=material, nominal=size).si("sizing_inside")
    except KeyError:
        return None
    drop, gravity = survey.gas.allowable_drop_pa, survey.site.specific_gravity
    return capacity_m3_s(inside_m, max(length_mm, 1.0) / 1000, drop, gravity)


def _hourly(flow: float) -> str:
    return f"{flow * 3600:.3f} m3/h"


def _stated_length(route: Route, total_mm: float, slack_mm: float) -> Finding:
    told = route.equivalent_mm
    holds = told is None or abs(told - total_mm) <= SKEW_TOLERANCE_MM + slack_mm
    return stated("gas.stated", "gas", route.end_id, holds, f"{told} mm stated, {total_mm:.0f} mm computed", BRANCH)


def _lengths(gas: GasSupply) -> dict[str, int]:
    """Developed length from the delivery to each node that hangs on it [mm]."""
    lengths = {gas.delivery_node: 0}
    for _ in gas.segments:
        for s in gas.segments:
            if s.start in lengths and s.end not in lengths:
                lengths[s.end] = lengths[s.start] + s.length_mm
    return lengths


def _way_to(gas: GasSupply, node: str) -> tuple[GasSegment, ...]:
    """Segments between the delivery and a node, from the node back."""
    into = {s.end: s for s in gas.segments}
    way: list[GasSegment] = []
    while node != gas.delivery_node and node in into and into[node] not in way:
        way.append(into[node])
        node = into[node].start
    return tuple(way)


def _load_w(gas: GasSupply, segment: GasSegment) -> float:
    """Input of all appliances that the segment feeds; one whose node hangs nowhere counts on every way [W]."""
    known = _lengths(gas)
    return sum(
        a.input_w for a in gas.appliances if a.node not in known or segment in _way_to(gas, a.node)
    )  # fmt: skip


def _tapped(survey: Survey, building: Building, route: Route) -> Tapped | None:
    gas, lengths = survey.gas, _lengths(survey.gas)
    if route.end_id in lengths:
        return Tapped(lengths[route.end_id], 0.0, _way_to(gas, route.end_id))
    segment = next((s for s in gas.segments if s.id == route.end_id and s.start in lengths), None)
    if segment is None:
        return None
    share, straight = _share(survey, building, segment, route)
    slack = abs(straight - segment.length_mm)
    return Tapped(lengths[segment.start] + share * segment.length_mm, slack, _way_to(gas, segment.end))


def _share(survey: Survey, building: Building, s: GasSegment, route: Route) -> tuple[float, float]:
    """Part of a segment before the tap, and its straight length [mm]."""
    nodes = {n.id: building.frame.to_frame3(n.at) for n in survey.gas.nodes}
    a, b, p = nodes[s.start], nodes[s.end], route.pieces[-1].end
    u, w = [y - x for x, y in zip(a, b, strict=True)], [y - x for x, y in zip(a, p, strict=True)]
    square = sum(x * x for x in u)
    share = sum(x * y for x, y in zip(u, w, strict=True)) / square if square else 0.0
    return min(max(share, 0.0), 1.0), float(square**0.5)
