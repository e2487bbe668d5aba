"""Pressure zones and the line regulators that feed them."""

from __future__ import annotations

from collections.abc import Iterator

from service.design import Finding, Verdict
from service.piping.network import Network
from service.survey.model import GasMethod, LineRegulator
from service.trades.gas_equation import ROUNDING, is_high
from service.trades.gas_parts import practice, regulator_loss_most_pa
from service.usecases.gas_results import ZoneReport
from service.usecases.gas_system import System

_TABLES = (GasMethod.LONGEST_TABLES, GasMethod.BRANCH_TABLES)
_DROP_SOURCE = "IFGC 402.4 and 402.5"


def zone_reports(system: System) -> tuple[ZoneReport, ...]:
    """All zones, that of the delivery first."""
    network = system.network
    return tuple(
        ZoneReport(
            root=zone.root,
            supply_pa=zone.supply_pa,
            drop_pa=zone.drop_pa,
            longest_mm=longest_mm(network, i),
            load_w=network.zone_load(i).drawn_w(system.supply.diversity),
            regulator=zone.regulator is not None,
            hybrid=zone.regulator is not None or any(_fed_from(network, k) == i for k in range(1, len(network.zones))),
        )
        for i, zone in enumerate(network.zones)
    )


def longest_mm(network: Network, zone: int) -> int:
    """Longest run of pipe in a zone, fittings not counted [mm]; 0 for a zone without pipe."""
    runs = (network.way_in_zone(i) for i, pipe in enumerate(network.pipes) if pipe.zone == zone)
    return max((sum(network.pipes[k].segment.length_mm for k in run) for run in runs), default=0)


def _fed_from(network: Network, zone: int) -> int:
    return network.zone_ahead(network.zones[zone].root)


def zone_findings(system: System) -> Iterator[Finding]:
    """The drop in each zone by the equation, and each line regulator."""
    for i, zone in enumerate(system.network.zones):
        yield from _drop_findings(system, i)
        if zone.supply_pa > practice("indoor_pressure_most").value * ROUNDING:
            yield _indoors(system, i)
        if zone.regulator is not None:
            yield from _regulator_findings(system, i, zone.regulator)


def _drop_findings(system: System, i: int) -> Iterator[Finding]:
    """What a zone loses with everything firing. A printed table may pass what the equation does not: it governs."""
    pipes = [k for k, pipe in enumerate(system.network.pipes) if pipe.zone == i]
    left = [out for k in pipes if (out := system.out_pa[k]) is not None]
    entering = max((into for k in pipes if (into := system.into_pa[k]) is not None), default=None)
    if not left or entering is None:
        return
    zone = system.network.zones[i]
    lost = entering - min(left)
    detail = f"loses {system.say.pressure(lost)} by the equation, {system.say.pressure(zone.drop_pa)} is allowed"
    verdict = Verdict.PASS
    if lost > zone.drop_pa * ROUNDING:
        by_tables = system.supply.method in _TABLES
        verdict = Verdict.ADVICE if by_tables else Verdict.FAIL
        detail += "; the printed table governs and passes it" if by_tables else ""
    yield Finding("gas.drop", verdict, "pressure zone", zone.root, detail, citation=_DROP_SOURCE)


def _indoors(system: System, i: int) -> Finding:
    zone, rule = system.network.zones[i], practice("indoor_pressure_most")
    detail = f"at {system.say.pressure(zone.supply_pa)} pipe must stay out of doors (with exceptions of the code)"
    return Finding("gas.indoor_pressure", Verdict.ADVICE, "pressure zone", zone.root, detail, citation=rule.citation)


def _regulator_findings(system: System, i: int, regulator: LineRegulator) -> Iterator[Finding]:
    yield _capacity(system, i, regulator)
    yield _loss(system, regulator)
    yield _feed(system, regulator)


def _capacity(system: System, i: int, regulator: LineRegulator) -> Finding:
    load = system.network.zone_load(i).drawn_w(system.supply.diversity)
    told = f"feeds {system.say.power(load)}"
    if _bought(system, regulator):
        detail = f"{told}: buy one that passes at least this at the pressure ahead of it"
        return _finding("gas.regulator.capacity", Verdict.ADVICE, regulator, detail)
    if regulator.capacity_w is None:
        missing = f"capacity of the line regulator at {regulator.node}"
        return _finding("gas.regulator.capacity", Verdict.UNKNOWN, regulator, told, missing)
    enough = load <= regulator.capacity_w * ROUNDING
    detail = f"{told}, passes {system.say.power(regulator.capacity_w)}"
    return _finding("gas.regulator.capacity", Verdict.PASS if enough else Verdict.FAIL, regulator, detail)


def _loss(system: System, regulator: LineRegulator) -> Finding:
    """Tables for 2 psi do not count the regulator's own loss."""
    ahead = system.network.zones[system.network.zone_ahead(regulator.node)]
    rule, most = practice("regulator_loss", system.gas.fuel), regulator_loss_most_pa(system.gas.fuel)
    limit = f"at most {system.say.printed(rule)} where a 2 psi table sizes the pipe ahead of it"
    if not is_high(ahead.supply_pa) or system.supply.method not in _TABLES:
        return _finding("gas.regulator.loss", Verdict.PASS, regulator, "no 2 psi table is used ahead of it")
    if _bought(system, regulator):
        detail = f"buy one that takes {limit}"
        return _finding("gas.regulator.loss", Verdict.ADVICE, regulator, detail, "", rule.citation)
    if regulator.loss_pa is None:
        missing = f"pressure that the line regulator at {regulator.node} takes at its load"
        return _finding("gas.regulator.loss", Verdict.UNKNOWN, regulator, limit, missing, rule.citation)
    detail = f"takes {system.say.pressure(regulator.loss_pa)}, {limit}"
    verdict = Verdict.PASS if regulator.loss_pa <= most * ROUNDING else Verdict.FAIL
    return _finding("gas.regulator.loss", verdict, regulator, detail, "", rule.citation)


def _feed(system: System, regulator: LineRegulator) -> Finding:
    """Whether enough arrives for the regulator to hold its outlet pressure. Where its own loss is not known, it is
    taken as the most that the 2 psi tables bear with."""
    rule, arriving = "gas.regulator.inlet", system.arriving_pa(regulator.node)
    told = f"sets {system.say.pressure(regulator.outlet_pa)}"
    if arriving is None:
        missing = f"pressure ahead of the line regulator at {regulator.node}"
        return _finding(rule, Verdict.UNKNOWN, regulator, told, missing)
    told += f", {system.say.pressure(arriving)} arrives with everything firing"
    lost = regulator_loss_most_pa(system.gas.fuel) if regulator.loss_pa is None else regulator.loss_pa
    if arriving * ROUNDING >= regulator.outlet_pa + lost:
        return _finding(rule, Verdict.PASS, regulator, told)
    if regulator.loss_pa is not None or arriving <= regulator.outlet_pa:
        return _finding(rule, Verdict.FAIL, regulator, f"{told}: too little for it to hold that")
    left = system.say.pressure(arriving - regulator.outlet_pa)
    if _bought(system, regulator):
        return _finding(rule, Verdict.ADVICE, regulator, f"{told}: buy one that itself takes at most {left}")
    missing = f"whether the line regulator at {regulator.node} takes no more than {left} at its load"
    return _finding(rule, Verdict.UNKNOWN, regulator, told, missing)


def _bought(system: System, regulator: LineRegulator) -> bool:
    return regulator.node in system.asked.bought_regulators


def _finding(
    rule: str, verdict: Verdict, regulator: LineRegulator, detail: str, missing: str = "", citation: str = ""
) -> Finding:
    source = citation or "IFGC 410.2; the listing of the regulator"
    return Finding(rule, verdict, "line regulator", regulator.node, detail, citation=source, missing=missing)
