"""Parts of a design's vent, counted along its run, each with the rule that asks for it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from service.check.routes import elbows_of, turns
from service.check.vent_system import runs_back
from service.design import Design, Piece, RoofTerminal, Route, Service, Surface
from service.rules.figures import Figure
from service.survey.equipment import Draft
from service.survey.model import Survey, UnitSystem
from service.trades.vent import INTAKE_ELBOWS, spacing_mm, supports_between, vent_rule
from service.trades.vent_systems import PLASTICS, VentSystem, system_of
from service.units import Quantity, from_si, told, unit_name
from service.usecases.gas_results import PartLine
from service.usecases.vent_results import LegReport

EACH = "each"


def vent_parts(survey: Survey, design: Design) -> tuple[PartLine, ...]:
    """All items along the vent, the heater's end first; none without a vent run."""
    vent = design.route(Service.VENT)
    if vent is None or not vent.pieces:
        return ()
    system = system_of(design.heater.vent)
    return (
        *_pipe(survey.units, vent, system),
        *_intake_pipe(survey.units, design, vent, system),
        *_near_heater(design, vent),
        *_supports(survey.units, design, vent, system),
        *_crossings(vent, _pipes(design)),
        *_end(design, vent),
    )


def legs_of(vent: Route, system: VentSystem) -> tuple[LegReport, ...]:
    """The run's straight legs from turn to turn with their supports, from the heater on."""
    return tuple(_leg(leg, system) for leg in _straight(vent.pieces))


def _straight(pieces: tuple[Piece, ...]) -> list[list[Piece]]:
    drawn = [p for p in pieces if p.start != p.end]
    legs = [[p] for p in drawn[:1]]
    for before, piece in pairwise(drawn):
        if turns((before, piece)):
            legs.append([piece])
        else:
            legs[-1].append(piece)
    return legs


def _leg(pieces: list[Piece], system: VentSystem) -> LegReport:
    upright = pieces[0].start[:2] == pieces[-1].end[:2]
    length, apart = sum(p.length_mm for p in pieces), spacing_mm(system.material, upright)
    return LegReport(upright, length, round(apart), supports_between(length, apart))


def _pipe(units: UnitSystem, vent: Route, system: VentSystem) -> Iterator[PartLine]:
    """Pipe by the length, elbows, and the joints of both."""
    one_make, joints = vent_rule("one_make"), vent_rule("joint_test_each")
    length = from_si(Quantity.LENGTH, vent.length_mm / 1000, units)
    pipe = PartLine(f"pipe, {system.name}, all of one make", length, unit_name(Quantity.LENGTH, units), vent.option,
                    one_make.citation, one_make.known_from)  # fmt: skip
    yield pipe
    if elbows := elbows_of(vent):
        yield _line(f"elbow of 90 degrees, {system.name}", elbows, vent.option, one_make)
    yield _line("joints sealed as listed, gas-tight, soap-tested under pressure", joints.printed, vent.option, joints)
    if system.material in PLASTICS:
        free = vent_rule("expansion", "polypropylene")
        yield _line("supports that let the pipe slide as it expands", free.printed, vent.option, free)


def _pipes(design: Design) -> int:
    return 1 if design.heater.vent.intake is None else 2


def _intake_pipe(units: UnitSystem, design: Design, vent: Route, system: VentSystem) -> Iterator[PartLine]:
    """Pipe and elbows of twin pipe's intake: beside the exhaust's, and along the wall to its own hole."""
    intake = design.heater.vent.intake
    if intake is None:
        return
    make, length = vent_rule("one_make"), (vent.length_mm + intake.apart_mm) / 1000
    yield PartLine(f"intake pipe, {system.name}", from_si(Quantity.LENGTH, length, units),
                   unit_name(Quantity.LENGTH, units), vent.option, make.citation, make.known_from)  # fmt: skip
    yield _line(f"intake elbow of 90 degrees, {system.name}", elbows_of(vent) + INTAKE_ELBOWS, vent.option, make)


def _near_heater(design: Design, vent: Route) -> Iterator[PartLine]:
    """Cold-climate fitting, or a drain tee where water runs back to a heater without a drain."""
    if design.cold_fitting:
        rule, damper = vent_rule("cold_fitting_each"), design.heater.draft is Draft.ROOM_AIR
        words = "cold-climate fitting with an upright condensate drain" + (" and a listed damper" if damper else "")
        yield _line(words, rule.printed, design.heater.id, rule)
    elif runs_back(design, vent) and not design.heater.condensing:
        rule = vent_rule("drain_tee_each")
        yield _line("drain tee with a trap at the vent's low point", rule.printed, design.heater.id, rule)


def _supports(units: UnitSystem, design: Design, vent: Route, system: VentSystem) -> Iterator[PartLine]:
    """One at each turn of each pipe, and what the legs need between; the heater's outlet carries nothing."""
    at_turn, legs, pipes = vent_rule("support_turn_each"), legs_of(vent, system), _pipes(design)
    turned = pipes * (len(legs) - 1) + (INTAKE_ELBOWS if pipes > 1 else 0)
    if turned:
        yield _line("support at each change of direction", turned * at_turn.printed, vent.option, at_turn)
    for upright, words in ((False, "level"), (True, "upright")):
        count = pipes * sum(leg.supports_between for leg in legs if leg.upright is upright)
        if count:
            rule = vent_rule("support_vertical" if upright else "support_horizontal", system.material)
            apart = told(Quantity.LENGTH, rule.value, units)
            yield _line(f"support of {words} pipe, at most {apart} apart", count, vent.option, rule)


def _crossings(vent: Route, pipes: int) -> Iterator[PartLine]:
    """Seals and fire stops where each pipe leaves a room."""
    passed = Counter(p.surface for p in vent.pieces)
    kinds = (
        (Surface.WALL_CROSSING, "fire stop in an inner wall", "fire_stop_wall_each"),
        (Surface.FLOOR_CROSSING, "fire stop in a floor", "fire_stop_floor_each"),
        (Surface.OUTER_WALL, "wall thimble, sealed against rain and flue gas", "wall_seal_each"),
        (Surface.ROOF, "fire stop in the ceiling below the roof", "fire_stop_floor_each"),
        (Surface.ROOF, "roof flashing with storm collar", "roof_flashing_each"),
    )
    for surface, words, name in kinds:
        if passed[surface]:
            yield _line(words, pipes * passed[surface] * vent_rule(name).printed, vent.option, vent_rule(name))


def _end(design: Design, vent: Route) -> Iterator[PartLine]:
    terminal, screen = vent_rule("terminal_each"), vent_rule("screen_each")
    twin = design.heater.vent.intake is not None
    air = " with the air intake" if design.heater.draft is Draft.DIRECT and not twin else ""
    kind = "roof terminal" if isinstance(design.terminal, RoofTerminal) else "terminal"
    yield _line(f"{kind} of the same make{air}", terminal.printed, vent.end_id, terminal)
    if twin:
        yield _line("intake terminal of the same make, screened", terminal.printed, vent.end_id, terminal)
    yield _line("bird screen, unless the terminal has one", screen.printed, vent.end_id, screen)


def _line(item: str, quantity: float, where: str, rule: Figure) -> PartLine:
    return PartLine(item, quantity, EACH, where, rule.citation, rule.known_from)
