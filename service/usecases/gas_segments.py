"""Each pipe of a gas system, told by the governing method."""

from __future__ import annotations

from collections.abc import Iterator

from service.design import Finding, Verdict
from service.piping.network import Pipe
from service.piping.sizing import Sized
from service.survey.model import GasMethod
from service.trades.gas_equation import flow_m3_s
from service.trades.gas_parts import practice, speed_m_s, speed_note_m_s
from service.trades.gas_pipe import flow_area_m2, is_known
from service.usecases.gas_results import SegmentReport
from service.usecases.gas_system import System, cents
from service.usecases.gas_words import pipe_words

EXISTING = "IFGC 401.3 and 401.4"
"""An old system that gets an appliance is judged as a whole."""
KEEP, RENEW, NEW, IMPOSSIBLE = "keep", "renew", "new", "impossible"


def segment_reports(system: System) -> tuple[SegmentReport, ...]:
    """All pipes, in the order of the network."""
    short = system.short_today()
    return tuple(
        _report(system, i, pipe, sized, pipe.segment.id in short)
        for i, (pipe, sized) in enumerate(zip(system.network.pipes, system.sizing.pipes, strict=True))
    )


def action(pipe: Pipe, sized: Sized) -> str:
    """What becomes of a pipe."""
    if sized.choice is None:
        return IMPOSSIBLE
    if sized.choice.kept:
        return KEEP
    return NEW if pipe.segment.size is None else RENEW


def _report(system: System, i: int, pipe: Pipe, sized: Sized, short: bool) -> SegmentReport:
    segment, choice, drawn = pipe.segment, sized.choice, system.drawn_w(pipe)
    speed = _speed_m_s(system, i, pipe, sized)
    return SegmentReport(
        id=segment.id,
        start=segment.start,
        end=segment.end,
        zone=pipe.zone,
        material=segment.material,
        load_w=drawn,
        flow_m3_s=flow_m3_s(drawn, system.gas.heating_value_j_m3),
        length_mm=segment.length_mm,
        length_used_mm=sized.length_mm,
        size_present=segment.size,
        size_needed=sized.needed,
        action=action(pipe, sized),
        material_chosen=None if choice is None else choice.material,
        size_chosen=None if choice is None else choice.size,
        capacity_w=sized.capacity_w,
        present_capacity_w=sized.present_capacity_w,
        source=sized.source,
        known_from=sized.known_from,
        pressure_in_pa=system.into_pa[i],
        pressure_out_pa=system.out_pa[i],
        speed_m_s=speed,
        speed_note=_speed_note(system, speed),
        already_short=short,
        cost_cents=cents(pipe, sized),
    )


def _speed_m_s(system: System, i: int, pipe: Pipe, sized: Sized) -> float | None:
    """Speed at the lower of the pipe's pressures, where gas is fastest."""
    left, choice = system.out_pa[i], sized.choice
    if left is None or choice is None or not is_known(choice.material, choice.size):
        return None
    flow = flow_m3_s(system.drawn_w(pipe), system.gas.heating_value_j_m3)
    return speed_m_s(flow, flow_area_m2(choice.material, choice.size), left, system.gas.altitude_m)


def _speed_note(system: System, speed: float | None) -> str:
    if speed is None or speed <= speed_note_m_s():
        return ""
    return f"{system.say.speed(speed)}: above {system.say.speed(speed_note_m_s())} gas may be heard (common practice)"


def segment_findings(system: System, reports: tuple[SegmentReport, ...]) -> Iterator[Finding]:
    """One for each pipe, and advice on fast gas. A pipe that is renewed is judged by what it becomes."""
    for report in reports:
        yield _capacity_finding(system, report)
        if report.speed_note:
            citation = practice("speed_note").citation
            yield Finding("gas.speed", Verdict.ADVICE, "gas pipe", report.id, report.speed_note, citation=citation)


def _capacity_finding(system: System, report: SegmentReport) -> Finding:
    verdict, missing = Verdict.PASS, ""
    if report.action == IMPOSSIBLE:
        known = report.size_present is None or is_known(report.material, report.size_present)
        verdict = Verdict.FAIL if known else Verdict.UNKNOWN
        missing = "" if known else f"capacity of {pipe_words(report.material, report.size_present)}"
    detail = _capacity_words(system, report)
    return Finding(
        "gas.capacity", verdict, "gas pipe", report.id, detail, citation=report.source or EXISTING, missing=missing
    )


def _capacity_words(system: System, report: SegmentReport) -> str:
    load = f"carries {system.say.power(report.load_w)}"
    if report.action == IMPOSSIBLE:
        by_pressure = system.supply.method is GasMethod.PRESSURE
        if by_pressure:
            return f"{load}: no sizes that may be had keep its zone within the drop"
        return f"{load}: nothing that may be had here is known to carry it"
    chosen = pipe_words(report.material_chosen or "", report.size_chosen)
    able = "" if report.capacity_w is None else f", which passes {system.say.power(report.capacity_w)}"
    if report.length_used_mm and able:
        able += f" over {system.say.length(report.length_used_mm)}"
    verb = {KEEP: "stays", RENEW: "is renewed in", NEW: "is made in"}[report.action]
    if report.action != RENEW:
        return f"{load}: {verb} {chosen}{able}"
    present = pipe_words(report.material, report.size_present)
    return f"{load}: the {present} that is there {_why(system, report)}; it {verb} {chosen}{able}"


def _why(system: System, report: SegmentReport) -> str:
    today = ", too little already today" if report.already_short else ""
    if report.present_capacity_w is not None:
        return f"passes {system.say.power(report.present_capacity_w)}{today}"
    if is_known(report.material, report.size_present or ""):
        return f"takes too much of the pressure{today}"
    return "has no capacity that is known"
