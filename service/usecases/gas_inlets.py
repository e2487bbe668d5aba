"""What each appliance's inlet sees, without flow and with everything firing, against the range it takes."""

from __future__ import annotations

from collections.abc import Iterator

from service.design import Finding, Verdict
from service.piping.extended import HEATER_KIND
from service.survey.model import Appliance
from service.trades.gas_equation import ROUNDING
from service.trades.gas_loads import derated_w
from service.trades.gas_parts import practice, usual_inlet_pa
from service.usecases.gas_results import InletReport
from service.usecases.gas_system import System

USUAL = "common practice"


def inlet_reports(system: System) -> tuple[InletReport, ...]:
    """All appliances, in the order of the survey."""
    return tuple(_report(system, appliance) for appliance in system.supply.appliances)


def _report(system: System, appliance: Appliance) -> InletReport:
    static, firing = system.static_pa(appliance.node), system.firing_pa(appliance.node)
    usual_min, usual_max = usual_inlet_pa(system.gas.fuel)
    least = usual_min if appliance.inlet_min_pa is None else appliance.inlet_min_pa
    most = usual_max if appliance.inlet_max_pa is None else appliance.inlet_max_pa
    derated = derated_w(appliance.input_w, system.gas.altitude_m)
    return InletReport(
        id=appliance.id,
        kind=appliance.kind,
        node=appliance.node,
        input_w=appliance.input_w,
        derated_w=None if derated == appliance.input_w else derated,
        static_pa=static,
        full_fire_pa=firing,
        min_pa=least,
        max_pa=most,
        limits_from=_limits_from(appliance),
        lawful=None if static is None or firing is None else _within(static, firing, least, most),
    )


def _limits_from(appliance: Appliance) -> str:
    given = "listing" if appliance.kind == HEATER_KIND else "nameplate"
    read = (appliance.inlet_min_pa is not None, appliance.inlet_max_pa is not None)
    if all(read):
        return given
    if not any(read):
        return USUAL
    return f"least {given if read[0] else USUAL}, most {given if read[1] else USUAL}"


def _within(static: float, firing: float, least: float, most: float) -> bool:
    return static <= most * ROUNDING and firing * ROUNDING >= least


def inlet_findings(system: System, reports: tuple[InletReport, ...]) -> Iterator[Finding]:
    """Two for each appliance."""
    for report in reports:
        yield _static_finding(system, report)
        yield _firing_finding(system, report)


def _static_finding(system: System, report: InletReport) -> Finding:
    most = f"the most that it takes is {system.say.pressure(report.max_pa)} ({report.limits_from})"
    if report.static_pa is None:
        return _unknown(report, "gas.inlet.static", f"no pipe is known to reach it; {most}")
    passed = report.static_pa <= report.max_pa * ROUNDING
    detail = f"without flow {system.say.pressure(report.static_pa)}; {most}"
    if not passed:
        over = system.say.pressure(report.static_pa - report.max_pa)
        detail += f", which is exceeded by {over}: a regulator is needed ahead of it"
    return _finding(system, report, "gas.inlet.static", passed, detail)


def _firing_finding(system: System, report: InletReport) -> Finding:
    least = f"the least that it takes is {system.say.pressure(report.min_pa)} ({report.limits_from})"
    if report.full_fire_pa is None:
        why = "the pipe to it cannot be had, or its loss is not known" if report.static_pa else "no pipe reaches it"
        return _unknown(report, "gas.inlet.full_fire", f"{why}; {least}")
    passed = report.full_fire_pa * ROUNDING >= report.min_pa
    detail = f"with everything firing {system.say.pressure(report.full_fire_pa)}; {least}"
    if not passed:
        detail += f", {system.say.pressure(report.min_pa - report.full_fire_pa)} more than is left"
    return _finding(system, report, "gas.inlet.full_fire", passed, detail)


def _finding(system: System, report: InletReport, rule: str, passed: bool, detail: str) -> Finding:
    verdict = Verdict.PASS if passed else Verdict.FAIL
    usual = practice("inlet_min", system.gas.fuel).citation if USUAL in report.limits_from else ""
    return Finding(rule, verdict, "appliance", report.id, detail, citation=usual or f"{report.limits_from} of it")


def _unknown(report: InletReport, rule: str, detail: str) -> Finding:
    missing = f"pressure at the inlet of {report.id}"
    return Finding(rule, Verdict.UNKNOWN, "appliance", report.id, detail, citation=report.limits_from, missing=missing)
