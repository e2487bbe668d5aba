"""Whether the works on the gas system can be done as the design says: renewals, pressure, regulators, meter."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from service.check.gas_tree import at_once_w
from service.check.gas_works import Tap, option_of
from service.check.measure import SKEW_TOLERANCE_MM
from service.check.verdicts import all_of, stated
from service.design import Design, Finding, Renewal, RenewedPart, Verdict
from service.phrases import Detail, mm, phrase, watts
from service.survey.model import GasMaterial, GasSegment, GasSupply
from service.trades.gas_equation import ROUNDING
from service.trades.gas_pipe import is_known

LOAD = "IFGC 402.2"
EXISTING = "IFGC 401.4"
PLASTIC = "IFGC 404.17"
HYBRID = "IFGC 402.4.3, hybrid pressure method"
SUPPLIER = "the gas supplier"


def supply_findings(gas: GasSupply, design: Design) -> tuple[Finding, ...]:
    """Findings on meter, service regulator, delivery pressure and line regulators."""
    drawn = at_once_w([*(a.input_w for a in gas.appliances), design.heater.input_max_w], gas.diversity)
    return (
        _meter(gas, design, drawn),
        _service_regulator(gas, design, drawn),
        *_pressure_option(gas, design),
        _line_regulators(gas, design),
    )


def renewal_findings(gas: GasSupply, design: Design, tap: Tap) -> tuple[Finding, ...]:
    """Findings on the old pipe that the design renews."""
    owner = design.heater.id
    faults: list[Detail] = [*_twice(design.gas.renewals)]
    for renewal in design.gas.renewals:
        segment = next((s for s in gas.segments if s.id == renewal.segment_id), None)
        faults += _faults(renewal, segment, tap)
    return all_of("gas.works", "gas", owner, faults, "every renewal is of old pipe that may be renewed", EXISTING)


def _meter(gas: GasSupply, design: Design, drawn: float) -> Finding:
    enough = drawn <= gas.meter_capacity_w * ROUNDING or design.meter_upgrade
    planned = ", larger meter planned" if design.meter_upgrade else ""
    detail = phrase(watts(drawn), " drawn at once, meter passes ", watts(gas.meter_capacity_w), planned)
    return stated("gas.meter", "gas", "meter", enough, detail, LOAD)


def _service_regulator(gas: GasSupply, design: Design, drawn: float) -> Finding:
    """What nobody knows is the supplier's affair, and told."""
    passes, larger, rule = gas.service_regulator_w, design.gas.service_regulator, "gas.service_regulator"
    detail = phrase(watts(drawn), " drawn at once")
    if larger:
        return stated(rule, "gas", "service regulator", True, detail + ", larger service regulator planned", SUPPLIER)
    if passes is None:
        missing = "capacity of the service regulator"
        return Finding(rule, Verdict.ADVICE, "gas", "service regulator", detail, citation=SUPPLIER, missing=missing)
    detail += phrase(", service regulator passes ", watts(passes))
    return stated(rule, "gas", "service regulator", drawn <= passes * ROUNDING, detail, SUPPLIER)


def _pressure_option(gas: GasSupply, design: Design) -> Iterator[Finding]:
    wanted = design.gas.pressure_option
    if wanted is not None:
        known = option_of(gas, design.gas) is not None
        detail = f"{wanted} is " + ("offered by the supplier" if known else "not among what the supplier offers")
        yield stated("gas.pressure_option", "gas", wanted, known, detail, SUPPLIER)


def _line_regulators(gas: GasSupply, design: Design) -> Finding:
    """One at the delivery if the pressure there asks for it, one for a branch ahead of a regulator."""
    option, told = option_of(gas, design.gas), design.gas.line_regulators
    needed = int(option is not None and option.regulated_pa is not None) + int(design.gas.ahead_of_regulator)
    detail = f"{told} line regulators planned, {needed} needed"
    return stated("gas.line_regulators", "gas", design.heater.id, told == needed, detail, HYBRID)


def _twice(renewals: tuple[Renewal, ...]) -> Iterator[str]:
    whole = {r.segment_id for r in renewals if r.part is RenewedPart.WHOLE}
    for (segment, part), n in sorted(Counter((r.segment_id, r.part) for r in renewals).items()):
        if n > 1 or (segment in whole and part is not RenewedPart.WHOLE):
            yield f"segment {segment} is renewed more than once"


def _faults(renewal: Renewal, segment: GasSegment | None, tap: Tap) -> Iterator[Detail]:
    if segment is None:
        yield f"there is no segment {renewal.segment_id} to renew"
        return
    if segment.fixed:
        yield f"segment {segment.id} cannot be renewed"
    yield from _length_faults(renewal, segment, tap)
    yield from _material_faults(renewal, segment)


def _length_faults(renewal: Renewal, segment: GasSegment, tap: Tap) -> Iterator[Detail]:
    lengths = {RenewedPart.WHOLE: segment.length_mm} | tap.parts(segment)
    if renewal.part not in lengths:
        yield f"segment {segment.id} is not tapped, so it has no part {renewal.part}"
        return
    slack = 0 if renewal.part is RenewedPart.WHOLE else SKEW_TOLERANCE_MM + tap.slack_mm
    if abs(renewal.length_mm - lengths[renewal.part]) > slack:
        told = phrase(mm(renewal.length_mm), f" of segment {segment.id} renewed, ")
        yield phrase(told, mm(lengths[renewal.part]), f" is {renewal.part.replace('_', ' ')}")


def _material_faults(renewal: Renewal, segment: GasSegment) -> Iterator[str]:
    """Polyethylene lies in the ground, in the place of polyethylene only; nothing else is laid where that was."""
    if not is_known(renewal.material, renewal.size):
        yield f"there is no {renewal.material} of size {renewal.size}"
    if (renewal.material == GasMaterial.PE) != (segment.material == GasMaterial.PE):
        yield f"{renewal.material} does not take the place of {segment.material} ({PLASTIC})"
