"""Twin-pipe vents for the brute force: what the second pipe costs and counts, and where the checker lets it end.

Written apart from the search: no zones are shifted here, every outlet with every side is put to the checker.
"""

from __future__ import annotations

from dataclasses import replace

from service.building.model import Building
from service.check.intake import intake_findings
from service.check.terminal import terminal_findings
from service.design import NO_MOUNT, Design, RoofTerminal, Route, Service, Surface, Terminal, Verdict
from service.survey.equipment import Heater, PriceBook, VentListing
from service.survey.intake_listing import IntakeSide
from service.survey.model import Survey
from tests.property.brute_ends import End
from tests.property.brute_routes import FINISHED, Rates, rates
from tests.property.brute_surfaces import Box, Wall, enters

MORE_ELBOWS = 2
WAY = {IntakeSide.LEFT: (-1, 0), IntakeSide.RIGHT: (1, 0), IntakeSide.BELOW: (0, -1), IntakeSide.ABOVE: (0, 1)}


def sides_of(listing: VentListing) -> tuple[IntakeSide | None, ...]:
    """Sides that an intake may be on; None alone for a vent without one."""
    return listing.intake.sides if listing.intake else (None,)


def thick_mm(listing: VentListing) -> int:
    """Radius round the exhaust's axis that holds both pipes, on whichever side the second lies [mm]."""
    return listing.pipe_radius_mm + (2 * listing.intake.pipe_radius_mm if listing.intake else 0)


def vent_rates(book: PriceBook, listing: VentListing) -> Rates:
    """What the vent pays on its way, both pipes of a twin one."""
    one = rates(book, Service.VENT, listing.system)
    if listing.intake is None:
        return one
    pipe, elbow = (book[f"vent.{listing.system}.intake_{part}"] for part in ("pipe", "elbow"))
    once = {surface: 2 * units for surface, units in one.once.items()}
    return Rates(one.per_mm + pipe.units_per_mm, one.finished, one.bend + elbow.units_each, once)


def more_units(book: PriceBook, listing: VentListing, surface: Surface) -> int:
    """What the second pipe costs besides, on a wall of this surface: its way to its own hole, elbows, a terminal."""
    if listing.intake is None:
        return 0
    pipe, elbow, end = (book[f"vent.{listing.system}.intake_{part}"] for part in ("pipe", "elbow", "terminal"))
    boxed = book["access.vent.finished"].units_per_mm if surface in FINISHED else 0
    return listing.intake.apart_mm * (pipe.units_per_mm + boxed) + MORE_ELBOWS * elbow.units_each + end.units_each


def within(listing: VentListing, length_mm: int, elbows: int) -> bool:
    """Whether a vent so long and with so many elbows is within its listing, by what that counts."""
    pipes = [(length_mm, elbows)]
    if listing.intake is not None:
        pipes.append((length_mm + listing.intake.apart_mm, elbows + MORE_ELBOWS))
        basis = listing.intake.length_basis.value
        pipes = {"exhaust_only": pipes[:1], "each": pipes[1:], "combined": pipes}[basis]
    turned = sum(n for _, n in pipes)
    equivalent = sum(mm for mm, _ in pipes) + turned * listing.elbow_equivalent_mm
    few = listing.max_elbows is None or turned <= listing.max_elbows
    return few and equivalent <= listing.max_equivalent_mm


def name_of(terminal: Terminal, side: IntakeSide | None) -> str:
    """How an outlet is called: facade, distance, height, and the side of its intake."""
    plain = f"{terminal.facade_id}|{terminal.s_mm}|{terminal.z_mm}"
    return plain if side is None else f"{plain}|{side}"


def terminal_of(end: End) -> Terminal | RoofTerminal:
    """The terminal that an outlet's name stands for; over a roof it has three figures."""
    surface, *rest = end.id.split("|")
    if len(rest) == 3 and rest[2] not in set(IntakeSide):
        return RoofTerminal(surface, *map(int, rest))
    return Terminal(surface, int(rest[0]), int(rest[1]))


def intake_of(end: End, listing: VentListing) -> Terminal | None:
    """The intake's terminal that goes with it."""
    at, side = terminal_of(end), end.id.rpartition("|")[2]
    if listing.intake is None or isinstance(at, RoofTerminal):
        return None
    along, up = (listing.intake.apart_mm * way for way in WAY[IntakeSide(side)])
    return Terminal(at.facade_id, at.s_mm + along, at.z_mm + up)


def is_lawful(survey: Survey, building: Building, heater: Heater, end: End) -> bool:
    """Whether the checker finds nothing wrong with an outlet: the terminal, and the intake with its way there. One over
    a roof so near a wall that other heights are asked is none of the model's."""
    run = Route(Service.VENT, heater.vent.system, end.sheet, end.tail, 0)
    bare = Design(heater, NO_MOUNT, terminal_of(end), (run,), False, False, (), 0)
    design = replace(bare, intake=intake_of(end, heater.vent))
    found = (*terminal_findings(survey, building, design), *intake_findings(survey, building, design))
    near = any(f.rule_id == "ROOF-WALL" and f.verdict is Verdict.ADVICE for f in found)
    return not near and all(f.verdict not in (Verdict.FAIL, Verdict.UNKNOWN) for f in found)


def keeps_clear(listing: VentListing, wall: Wall, end: End, obstacles: list[Box]) -> bool:
    """Whether the intake's way along the wall keeps its pipe's radius from what stands there; the checker measures to
    the pipe's axis."""
    intake, at = intake_of(end, listing), terminal_of(end)
    if intake is None or listing.intake is None or isinstance(at, RoofTerminal):
        return True
    step = 1 if wall.face.end[wall.axis] > wall.face.start[wall.axis] else -1
    (c, z), dc, dz = _spot(wall, end), step * (intake.s_mm - at.s_mm), intake.z_mm - at.z_mm
    box = (min(c, c + dc), max(c, c + dc), min(z, z + dz), max(z, z + dz))
    return not any(enters(box, o, listing.intake.pipe_radius_mm) for o in obstacles)


def _spot(wall: Wall, end: End) -> tuple[int, int]:
    return end.node[1 + wall.axis], end.node[3]
