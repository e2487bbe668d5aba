"""The supplier's meter and service regulator against what is drawn at once."""

from __future__ import annotations

from collections.abc import Iterator

from service.design import Finding, Verdict
from service.trades.gas_equation import ROUNDING
from service.trades.gas_meter import class_for
from service.usecases.gas_results import MeterReport
from service.usecases.gas_system import System

METER_KEY = "gas.meter_upgrade"
REGULATOR_KEY = "gas.service_regulator"
_METER_SOURCE = "ANSI B109.1 (classes from memory); the supplier decides"


def meter_report(system: System) -> MeterReport:
    """Meter and service regulator against all that fires at once, or the stated share of it."""
    supply, connected = system.supply, system.network.connected
    passes, drawn = supply.service_regulator_w, connected.drawn_w(supply.diversity)
    return MeterReport(
        connected_w=connected.total_w,
        drawn_w=drawn,
        capacity_w=supply.meter_capacity_w,
        enough=drawn <= supply.meter_capacity_w * ROUNDING,
        class_needed=class_for(drawn, system.gas),
        service_regulator_w=passes,
        service_regulator_enough=None if passes is None else drawn <= passes * ROUNDING,
    )


def meter_findings(system: System, report: MeterReport) -> Iterator[Finding]:
    """The meter, and the service regulator where its capacity is known."""
    yield _meter_finding(system, report)
    if report.service_regulator_enough is not None:
        yield _regulator_finding(system, report)


def class_words(report: MeterReport) -> str:
    """The meter to ask for."""
    if report.class_needed is None:
        return "a meter beyond the usual classes"
    return f"a meter of class {report.class_needed} or more"


def _meter_finding(system: System, report: MeterReport) -> Finding:
    loads = f"{_load(system, report)}, meter {system.say.power(report.capacity_w)}"
    if report.enough:
        return _finding("gas.meter", Verdict.PASS, "meter", loads)
    return _short(system, "gas.meter", "meter", METER_KEY, f"{loads}, too small: {class_words(report)} is needed")


def _regulator_finding(system: System, report: MeterReport) -> Finding:
    passes = system.say.power(report.service_regulator_w or 0.0)
    loads = f"{_load(system, report)}, service regulator {passes}"
    if report.service_regulator_enough:
        return _finding("gas.service_regulator", Verdict.PASS, "service regulator", loads)
    wanted = f"{loads}, too small: a larger one is needed"
    return _short(system, "gas.service_regulator", "service regulator", REGULATOR_KEY, wanted)


def _load(system: System, report: MeterReport) -> str:
    """The load that counts."""
    if report.drawn_w == report.connected_w:
        return f"connected {system.say.power(report.connected_w)}"
    return f"drawn at once {system.say.power(report.drawn_w)} of {system.say.power(report.connected_w)} connected"


def _short(system: System, rule: str, subject: str, key: str, detail: str) -> Finding:
    """What is too small fails, unless the price book holds its change, which is then part of the work."""
    price = system.prices.items.get(key)
    if price is None:
        return _finding(rule, Verdict.FAIL, subject, f"{detail}; ask the supplier")
    cost = f"{price.cents / 100:,.2f} {system.prices.currency}"
    return _finding(rule, Verdict.ADVICE, subject, f"{detail}; ask the supplier (price book: {cost})")


def _finding(rule: str, verdict: Verdict, subject: str, detail: str) -> Finding:
    return Finding(rule, verdict, subject, "", detail, citation=_METER_SOURCE)
