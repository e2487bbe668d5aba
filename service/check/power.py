"""Power of a heater: whether the circuit that its run ends at carries it, taken again from the survey."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import inf

from service.building.model import Building
from service.check.power_run import run_findings
from service.check.verdicts import stated
from service.design import Design, Finding, Route, Service, Verdict
from service.rules.rulesets import rule_set
from service.rules.tables import table
from service.survey.model import Circuit, Receptacle, Survey
from service.trades.electrical_code import cited
from service.trades.power_options import CORDS

SUBJECT = "power"
Judge = Callable[[Survey, Design, Receptacle], tuple[Finding, ...]]


def power_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings on the power run and on what it ends at; none where the survey names no such outlet, which the run's
    own findings tell."""
    run = design.route(Service.POWER)
    end = next((r for r in survey.receptacles if run is not None and r.id == run.end_id), None)
    if run is None or not run.pieces or end is None:
        return ()
    judges: tuple[Judge, ...] = (_panel_voltage, _panel) if end.is_panel else (_voltage, _load, _shared, _wire)
    found = (f for judge in judges for f in judge(survey, design, end))
    if run.option in CORDS:  # nobody opens the circuit before a plug is put in
        found = (replace(f, verdict=Verdict.UNKNOWN) if f.missing else f for f in found)
    return (*found, _drop(survey, design, run, end), *run_findings(survey, building, design, run, end))


def volts(design: Design) -> float:
    """The heater's voltage [V]."""
    return design.heater.voltage_v or table("power").constant("voltage")


def most_w(design: Design) -> float:
    """What the heater draws at most [W], its frost element with it."""
    element = design.heater.freeze_element_w
    return design.heater.electrical_w + (table("power").constant("freeze_element_high") if element is None else element)


def _cite(survey: Survey, rule: str) -> str:
    return cited(rule, rule_set(survey.site.rule_set).country)


def _lacks(survey: Survey, rule: str, end: Receptacle, detail: str, missing: str) -> tuple[Finding, ...]:
    """A rule that nobody can judge: the electrician must, before the heater is connected."""
    return (Finding(rule, Verdict.ADVICE, SUBJECT, end.id, detail, None, None, _cite(survey, rule), missing),)


def _said(survey: Survey, rule: str, end: Receptacle, holds: bool, detail: str) -> tuple[Finding, ...]:
    return (stated(rule, SUBJECT, end.id, holds, detail, _cite(survey, rule)),)


def _voltage(survey: Survey, design: Design, end: Receptacle) -> tuple[Finding, ...]:
    asked, found = volts(design), end.circuit.voltage_v
    if found is None:
        return _lacks(survey, "power.voltage", end, f"the heater asks for {asked:g} V", "voltage of the circuit")
    told = f"{found:g} V at the circuit, {asked:g} V asked for"
    return _said(survey, "power.voltage", end, _within(found, asked), told)


def _within(found: float, asked: float) -> bool:
    """Whether a voltage [V] lies in the range that goes with another."""
    known = table("power").constant
    return known("voltage_low") * asked <= found * known("voltage") <= known("voltage_high") * asked


def _panel_voltage(survey: Survey, design: Design, end: Receptacle) -> tuple[Finding, ...]:
    """120 V is had from one live conductor of any panel, anything else from two."""
    asked, found = volts(design), end.panel_voltage_v
    if _within(table("power").constant("voltage"), asked):
        return _said(survey, "power.voltage", end, True, f"{asked:g} V asked for, as any panel gives")
    if found is None:
        return _lacks(survey, "power.voltage", end, f"the heater asks for {asked:g} V", "voltage of the panel")
    told = f"{found:g} V at the panel, {asked:g} V asked for"
    return _said(survey, "power.voltage", end, _within(found, asked), told)


def _load(survey: Survey, design: Design, end: Receptacle) -> tuple[Finding, ...]:
    """Watts against four fifths of what the breaker passes."""
    circuit, own = end.circuit, most_w(design)
    others = 0.0 if circuit.dedicated else circuit.load_w
    least = own + (circuit.fixed_load_w or 0.0 if others is None else others)
    if circuit.breaker_a is None:
        missing = "breaker and load of the circuit" if others is None else "breaker of the circuit"
        return _lacks(survey, "power.load", end, f"the heater adds {own:.0f} W", missing)
    passes = circuit.breaker_a * table("power").constant("continuous_share") * volts(design)
    told = f"{'at least ' if others is None else ''}{least:.0f} W of {passes:.0f} W"
    if others is None and least <= passes:
        return _lacks(survey, "power.load", end, told, "load of the circuit")
    return _said(survey, "power.load", end, least <= passes, told)


def _shared(survey: Survey, design: Design, end: Receptacle) -> tuple[Finding, ...]:
    """What is fastened in place against half of a circuit that others use too; outside the US no such rule is known."""
    circuit, own = end.circuit, most_w(design)
    if circuit.dedicated or rule_set(survey.site.rule_set).country != "us":
        return ()
    if circuit.breaker_a is None:
        return _lacks(survey, "power.shared", end, f"the heater adds {own:.0f} W", "breaker of the circuit")
    if circuit.breaker_a > table("power").constant("shared_up_to"):
        return ()
    passes = circuit.breaker_a * table("power").constant("shared_share") * volts(design)
    return _half(survey, end, own, passes)


def _half(survey: Survey, end: Receptacle, own: float, passes: float) -> tuple[Finding, ...]:
    least, most = _fixed(end.circuit)
    told = f"{own + least:.0f} W fastened in place of {passes:.0f} W" + ("" if least == most else ", or more")
    if own + most <= passes:
        return _said(survey, "power.shared", end, True, told)
    if own + least <= passes:
        return _lacks(survey, "power.shared", end, told, "fixed load of the circuit")
    if end.circuit.dedicated is None:
        return _lacks(survey, "power.shared", end, told, "whether the circuit feeds other outlets")
    return _said(survey, "power.shared", end, False, told)


def _fixed(circuit: Circuit) -> tuple[float, float]:
    """Least and most that is fastened in place already [W]."""
    if circuit.fixed_load_w is not None:
        return circuit.fixed_load_w, circuit.fixed_load_w
    return 0.0, inf if circuit.load_w is None else circuit.load_w


def _wire(survey: Survey, _design: Design, end: Receptacle) -> tuple[Finding, ...]:
    """Only where wire and breaker are told."""
    circuit, rows = end.circuit, table("power_breakers").rows
    asked = next((r.text("wire") for r in rows if r.integer("breaker") >= (circuit.breaker_a or inf)), None)
    if circuit.wire is None or asked is None:
        return ()
    holds = _mils(circuit.wire) >= _mils(asked)
    return _said(survey, "power.wire", end, holds, f"{circuit.wire} AWG, {asked} AWG asked for")


def _mils(wire: str) -> int:
    return table("power_wire").where(size=wire).integer("circular_mils")


def _panel(survey: Survey, design: Design, end: Receptacle) -> tuple[Finding, ...]:
    """A new circuit wants a breaker that passes the heater, and a place for it."""
    fits = _breakers(design)
    if not fits:
        return _said(survey, "power.panel", end, False, f"no breaker passes {most_w(design):.0f} W")
    if end.free_spaces is None:
        return _lacks(survey, "power.panel", end, f"a new breaker of {fits[0]} A", "free place in the panel")
    poles = 1 if _within(table("power").constant("voltage"), volts(design)) else 2
    told = f"a new breaker of {fits[0]} A and {poles} pole{'s' * (poles > 1)}, places free: {end.free_spaces}"
    return _said(survey, "power.panel", end, end.free_spaces >= poles, told)


def _drop(survey: Survey, design: Design, run: Route, end: Receptacle) -> Finding:
    """Voltage lost by the heater's own current on new cable and, where its length is told, on the old one.

    Advice in any case: the code recommends, and what other loads take away at the same time is not known.
    """
    amperes, share = most_w(design) / volts(design), table("power").constant("drop_branch")
    lost = sum(2 * amperes * _ohm_per_mm(size) * mm for size, mm in cable_mm(run, end, _wire_of(design, end)))
    told = f"{lost:.2f} V of {volts(design):g} V, {lost / volts(design):.2%}, {share:.0%} recommended"
    known = end.is_panel or (end.circuit.wire is not None and end.circuit.wire_length_mm is not None)
    verdict = Verdict.PASS if known and lost <= share * volts(design) else Verdict.ADVICE
    missing = "" if known else "wire and length of the circuit"
    return Finding("power.drop", verdict, SUBJECT, end.id, told, None, None, _cite(survey, "power.drop"), missing)


def cable_mm(run: Route, end: Receptacle, size: str) -> list[tuple[str, float]]:
    """Wire [AWG] and length [mm] of the cable on the way; a cord is none."""
    new = [] if run.option in CORDS else [(size, float(run.length_mm))]
    old = end.circuit.wire_length_mm
    return new if old is None else [*new, (size, float(old))]


def _wire_of(design: Design, end: Receptacle) -> str:
    """Wire [AWG] of the circuit as told, else the thinnest that its breaker allows, else of 14 AWG."""
    breaker = next(iter(_breakers(design)), None) if end.is_panel else end.circuit.breaker_a
    rows = table("power_breakers").rows
    asked = next((r.text("wire") for r in rows if breaker is not None and r.integer("breaker") >= breaker), None)
    return end.circuit.wire or asked or rows[0].text("wire")


def _breakers(design: Design) -> list[int]:
    """Breakers [A] that pass the heater as a continuous load, the least first."""
    share = table("power").constant("continuous_share") * volts(design)
    return [
        r.integer("breaker") for r in table("power_breakers").rows if most_w(design) <= r.integer("breaker") * share
    ]


def _ohm_per_mm(size: str) -> float:
    row = table("power_wire").where(size=size)
    return (row.si("solid") if row.cells["solid"] is not None else row.si("stranded")) / 1000
