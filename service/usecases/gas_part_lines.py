"""What the code asks for along new and renewed pipe besides the pipe itself, counted, each with its rule."""

from __future__ import annotations

from collections.abc import Iterator

from service.piping.extended import HEATER_KIND
from service.rules.figures import Figure
from service.survey.model import GasMaterial
from service.trades.gas_parts import (
    labels,
    practice,
    strength_test_pa,
    support_spacing_mm,
    supports,
)
from service.usecases.gas_results import PartLine, SegmentReport
from service.usecases.gas_segments import NEW, RENEW
from service.usecases.gas_system import System
from service.usecases.gas_words import pipe_words

EACH = "each"


def part_lines(system: System, reports: tuple[SegmentReport, ...]) -> tuple[PartLine, ...]:
    """All items, those of the heaters first, then pipe by pipe, then the test; none where nothing is made."""
    made = [r for r in reports if r.action in (NEW, RENEW)]
    return (
        *_of_taps(system, reports),
        *_of_heaters(system),
        *_of_bought_regulators(system),
        *(line for report in made for line in _of_pipe(system, report)),
        *_of_tubing(made),
        *_of_test(system, made),
    )


def _of_taps(system: System, reports: tuple[SegmentReport, ...]) -> Iterator[PartLine]:
    """A tee where a new run begins at a node that old pipe leaves, or that feeds an appliance."""
    busy = {r.start for r in reports if r.action != NEW} | {a.node for a in system.supply.appliances}
    for node in dict.fromkeys(r.start for r in reports if r.action == NEW and r.start in busy):
        yield _line("tee at the tap", 1, node, practice("tap_tee_each"))


def _of_heaters(system: System) -> Iterator[PartLine]:
    """Valve, union and sediment trap of each heater that is put in."""
    reach = practice("shutoff_reach")
    for appliance in system.supply.appliances:
        if appliance.kind == HEATER_KIND:
            within = f"shut-off valve, in the same room, within {system.say.printed(reach)} of the inlet"
            yield _line(within, practice("shutoff_each").printed, appliance.id, reach)
            yield _line("union behind the valve", practice("union_each").printed, appliance.id, practice("union_each"))
            trap, nipple = practice("sediment_trap_each"), system.say.printed(practice("sediment_trap_nipple"))
            words = f"sediment trap, unless one is built in; some codes want a nipple of {nipple}"
            yield _line(words, trap.printed, appliance.id, trap)


def _of_bought_regulators(system: System) -> Iterator[PartLine]:
    """A line regulator and what it must have about it."""
    tee, union = practice("regulator_test_tee_each"), practice("regulator_union_reach")
    diameters = practice("regulator_test_tee_diameters").printed
    for node in system.asked.bought_regulators:
        yield _line("line regulator, listed, vented outdoors or with a vent limiter", 1, node,
                    practice("regulator_vent_each"))  # fmt: skip
        yield _line("shut-off valve just ahead of the regulator", 1, node, practice("regulator_valve_each"))
        yield _line(f"tee with a plugged opening, {diameters:g} pipe diameters behind the regulator", 1, node, tee)
        yield _line(f"union within {system.say.printed(union)} of the regulator, rigid pipe", 1, node, union)


def _of_pipe(system: System, report: SegmentReport) -> Iterator[PartLine]:
    material, size = report.material_chosen or "", report.size_chosen or ""
    if material == GasMaterial.PE:
        yield from _of_plastic(system, report)
        return
    rule = practice("support_spacing", material, size)
    count = supports(report.length_mm, support_spacing_mm(material, size))
    words = f"support of {pipe_words(material, size)}, at most {system.say.printed(rule)} apart"
    yield _line(words, count, report.id, rule)
    if material != GasMaterial.STEEL:
        rule = practice("label_spacing")
        words = f"yellow gas label, every {system.say.printed(rule)}, not in the appliance's room"
        yield _line(words, labels(report.length_mm), report.id, rule)


def _of_plastic(system: System, report: SegmentReport) -> Iterator[PartLine]:
    depth, exposed = practice("burial_depth"), practice("burial_depth_exposed")
    wire, riser = practice("tracer_wire_awg"), practice("riser_each")
    cover = f"{system.say.printed(depth)} of cover, {system.say.printed(exposed)} where damage is likely"
    length = system.say.length(report.length_mm)
    yield _line(f"trench for {length} with {cover}, out of doors only", 1, report.id, depth)
    yield _line(f"yellow tracer wire, {wire.printed:g} AWG copper, {length} and the risers", 1, report.id, wire)
    yield _line("listed riser or wall head", riser.printed, report.id, riser)


def _of_tubing(made: list[SegmentReport]) -> Iterator[PartLine]:
    """One bond for all corrugated tubing, on the rigid pipe where gas enters."""
    tubing = [r.id for r in made if r.material_chosen == GasMaterial.CSST]
    if tubing:
        bond = practice("bond_awg")
        yield _line(f"bonding jumper, at least {bond.printed:g} AWG copper, and clamp on rigid pipe or a fitting",
                    1, ", ".join(tubing), bond)  # fmt: skip


def _of_test(system: System, made: list[SegmentReport]) -> Iterator[PartLine]:
    """One strength test for each working pressure among what is made."""
    rule, minutes = practice("test_pressure_least"), practice("test_minutes").printed
    for zone in sorted({r.zone for r in made}):
        tested = [r.id for r in made if r.zone == zone]
        pressure = system.say.pressure(strength_test_pa(system.network.zones[zone].supply_pa))
        words = f"strength test with air or inert gas at {pressure} at least, {minutes:g} minutes, joints in sight"
        yield _line(words, 1, ", ".join(tested), rule)


def _line(item: str, quantity: float, where: str, rule: Figure) -> PartLine:
    return PartLine(item, quantity, EACH, where, rule.citation, rule.known_from)
