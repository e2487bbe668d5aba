"""A gas system alone: sizes, pressures, meter, what the code asks for along it, and what to ask the supplier for."""

from __future__ import annotations

from collections.abc import Iterator

from service.design import Finding, Verdict
from service.survey.equipment import PriceBook
from service.survey.gas_request import GasRequest
from service.survey.model import GasCharacter, GasMaterial, GasSupply, UnitSystem
from service.trades.gas_parts import practice
from service.usecases.gas_inlets import inlet_findings, inlet_reports
from service.usecases.gas_letter import request_to_supplier
from service.usecases.gas_meters import meter_findings, meter_report
from service.usecases.gas_methods import method_reports
from service.usecases.gas_notes import CAUTIONS, assumptions, warnings
from service.usecases.gas_part_lines import part_lines
from service.usecases.gas_results import GasReport, SegmentReport
from service.usecases.gas_segments import segment_findings, segment_reports
from service.usecases.gas_system import Asked, System, total_cents
from service.usecases.gas_zones import zone_findings, zone_reports
from service.usecases.results import BROKEN


def gas_report(request: GasRequest) -> GasReport:
    """A gas system as surveyed, with the planned heater if it has one.

    Raises ValueError for segments that form a loop, CheckFailed if the second solver disagrees with ours.
    """
    return gas_report_of(
        request.gas, request.character, request.prices, request.units, Asked(), request.assumptions, request.warnings
    )


def gas_report_of(
    supply: GasSupply,
    gas: GasCharacter,
    prices: PriceBook,
    units: UnitSystem,
    asked: Asked,
    assumed: tuple[str, ...] = (),
    warned: tuple[str, ...] = (),
) -> GasReport:
    """A supply with the heater's branch on it, as a finished design has it. ``asked``: what the design asks for
    besides pipe; ``assumed`` and ``warned`` go first in the report. Raises as ``gas_report``."""
    return report_of(System(supply, gas, prices, units, asked), assumed, warned)


def report_of(system: System, assumed: tuple[str, ...] = (), warned: tuple[str, ...] = ()) -> GasReport:
    """As ``gas_report_of``, of a system that is sized."""
    supply = system.supply
    segments, inlets, meter = segment_reports(system), inlet_reports(system), meter_report(system)
    findings = (
        *segment_findings(system, segments), *zone_findings(system), *inlet_findings(system, inlets),
        *meter_findings(system, meter), *_advice(system, segments),
    )  # fmt: skip
    return GasReport(
        lawful=not any(f.verdict in BROKEN for f in findings),
        method=supply.method,
        fittings=supply.fittings.value,
        diversity=supply.diversity,
        zones=zone_reports(system),
        segments=segments,
        inlets=inlets,
        meter=meter,
        methods=method_reports(system),
        parts=part_lines(system, segments),
        findings=findings,
        request_to_supplier=request_to_supplier(system, meter),
        cost_cents=total_cents(system.network, system.sizing),
        assumptions=(*assumed, *assumptions(system, inlets)),
        warnings=(*warned, *warnings(system)),
        cautions=CAUTIONS,
    )


def _advice(system: System, segments: tuple[SegmentReport, ...]) -> Iterator[Finding]:
    """Rules on material that nobody can judge from a tree of pipe, and a share of the load that was stated."""
    if system.supply.diversity is not None:
        detail = (
            f"{system.supply.diversity:.0%} of the connected load is taken to run at once, as the survey states: the "
            "code takes all of it unless less can be shown. Have authority and supplier agree"
        )
        yield Finding("gas.diversity", Verdict.ADVICE, "connected load", "", detail, citation="IFGC 402.2")
    used = {s.material if s.material_chosen is None else s.material_chosen: s.id for s in reversed(segments)}
    if GasMaterial.CSST in used:
        bond, length = practice("bond_awg"), system.say.printed(practice("bond_length"))
        detail = (
            f"corrugated tubing is bonded to the grounding electrode system where gas enters: copper of at least "
            f"{bond.printed:g} AWG, clamped to rigid pipe or a fitting; at most {length} long (later editions, memory)"
        )
        yield Finding("gas.csst.bond", Verdict.ADVICE, "gas pipe", used["csst"], detail, citation=bond.citation)
    if GasMaterial.PE in used:
        depth = practice("burial_depth")
        cover = system.say.printed(depth)
        detail = f"plastic pipe lies out of doors and underground only, {cover} deep at least, with a tracer wire"
        yield Finding("gas.pe.outdoors", Verdict.ADVICE, "gas pipe", used["pe"], detail, citation=depth.citation)
