"""Whether a twin-pipe vent's intake may be where it is: by the rules, by its listing, by the way that leads there."""

from __future__ import annotations

from math import isqrt

from service.building.model import Building, Facade
from service.check.measure import along_mm
from service.check.passage import traced
from service.check.place import Places, face_holds, plan, rooms_of
from service.check.routes import begins_in, steps_of
from service.check.terminal import place_findings
from service.check.verdicts import all_of, at_least, stated
from service.design import Design, Finding, Part, Piece, RoofTerminal, Route, Service, Surface, Terminal, Verdict
from service.rules.rule import Subject
from service.survey.intake_listing import IntakeListing, IntakeSide
from service.survey.model import Point3, Survey

SUBJECT = Subject.INTAKE
LISTING = "listing, installation instructions"
PRACTICE = "common practice"


def intake_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings on the intake's terminal; none for a vent that has none to place, and none is given."""
    listing, intake = None if design.outdoors else design.heater.vent.intake, design.intake
    system = design.heater.vent.system
    if listing is None:
        held = f"{'a heater hung outdoors' if design.outdoors else f'vent {system}'} has no intake of its own to place"
        return () if intake is None else (stated("intake.given", SUBJECT, intake.facade_id, False, held, LISTING),)
    if intake is None:
        missing = stated("intake.given", SUBJECT, system, False, "the intake's terminal is missing", LISTING)
        return (missing,) if design.has(Part.INTAKE) else ()
    found = place_findings(survey, building, design, SUBJECT)
    if not design.has(Part.TERMINAL):
        return found
    return (*found, *_beside(design.terminal, intake, listing), *_way(building, design, listing))


def _beside(exhaust: Terminal | RoofTerminal, intake: Terminal, listing: IntakeListing) -> tuple[Finding, ...]:
    """On the exhaust's facade, as far from it as the listing asks, on a side that it allows."""
    at = intake.facade_id
    if isinstance(exhaust, RoofTerminal) or at != exhaust.facade_id:
        other = exhaust.roof_id if isinstance(exhaust, RoofTerminal) else exhaust.facade_id
        fault = f"exhaust on {other}, intake on {at}: both belong on one wall, in one wind"
        return (stated("intake.facade", SUBJECT, at, False, fault, PRACTICE),)
    ds, dz = intake.s_mm - exhaust.s_mm, intake.z_mm - exhaust.z_mm
    detail = "from centre to centre of exhaust and intake terminal"
    apart = at_least("intake.apart", SUBJECT, at, listing.apart_mm, isqrt(ds * ds + dz * dz), detail, LISTING)
    return (apart, _side(at, ds, dz, listing))


def _side(at: str, ds: int, dz: int, listing: IntakeListing) -> Finding:
    """Level with the exhaust or straight over or under it; of a slanting place only the listing knows."""
    level = IntakeSide.RIGHT if ds > 0 else IntakeSide.LEFT
    upright = IntakeSide.ABOVE if dz > 0 else IntakeSide.BELOW
    sides = [side for side, by in ((level, ds), (upright, dz)) if by]
    allowed = all(side in listing.sides for side in sides)
    told = f"intake {' and '.join(sides)} of the exhaust, {', '.join(listing.sides)} listed"
    if allowed and len(sides) > 1:
        missing = "whether the listing allows an intake that is neither level with the exhaust nor straight over it"
        return Finding("intake.side", Verdict.UNKNOWN, SUBJECT, at, told, citation=LISTING, missing=missing)
    return stated("intake.side", SUBJECT, at, allowed and bool(sides), told, LISTING)


def _way(building: Building, design: Design, listing: IntakeListing) -> tuple[Finding, ...]:
    """The pipe leaves the exhaust's at the wall and goes straight along it to a hole of its own."""
    vent, intake, exhaust = design.route(Service.VENT), design.intake, design.terminal
    facade = next((f for f in building.facades if intake and f.id == intake.facade_id), None)
    if vent is None or intake is None or facade is None or isinstance(exhaust, RoofTerminal):
        return ()
    if not vent.pieces or vent.pieces[-1].surface is not Surface.OUTER_WALL:
        return ()
    if facade.id != exhaust.facade_id or (intake.s_mm != exhaust.s_mm and intake.z_mm != exhaust.z_mm):
        return ()
    places = leaves_from(building, design, vent)
    run = _run(building, places, vent, facade, exhaust, intake)
    faults = [step.fault for _, step in traced(building, places, run, listing.pipe_radius_mm) if step.rule_id]
    held = "from the exhaust's pipe straight along the wall and out by a hole of its own"
    return (
        *all_of("intake.run", SUBJECT, facade.id, faults, held, PRACTICE),
        _hole(building, facade.id, run.pieces[0], listing.pipe_radius_mm),
    )


def leaves_from(building: Building, design: Design, vent: Route) -> Places:
    """Places in which the exhaust is before it leaves the house."""
    steps = steps_of(building, design, vent)
    return steps[-2][1].places if len(steps) > 1 else begins_in(building, design, vent)


def _run(
    building: Building, places: Places, vent: Route, facade: Facade, exhaust: Terminal, intake: Terminal
) -> Route:
    inside, outside = vent.pieces[-1].start, (*facade.point(intake.s_mm), intake.z_mm)
    (x0, y0), (x1, y1) = facade.point(exhaust.s_mm), facade.point(intake.s_mm)
    hole: Point3 = (inside[0] + x1 - x0, inside[1] + y1 - y0, intake.z_mm)
    finished = any(room.finished for room in rooms_of(building, places))
    jog = Piece(inside, hole, Surface.WALL_FINISHED if finished else Surface.WALL)
    return Route(Service.VENT, vent.option, facade.id, (jog, Piece(hole, outside, Surface.OUTER_WALL)), 1)


def _hole(building: Building, facade_id: str, jog: Piece, radius_mm: int) -> Finding:
    """The intake's hole keeps its pipe's radius from the edges of the face that the exhaust leaves from too."""
    faces = [f for f in building.faces if face_holds(f, jog.start) and face_holds(f, jog.end)]
    ends = [(f, along_mm(f, plan(jog.end)), jog.end[2]) for f in faces]
    free = max((min(s, f.length_mm - s, z - f.z0, f.z1 - z) for f, s, z in ends), default=0)
    detail = "from the intake pipe's axis to the nearest floor, ceiling or side wall where it leaves the room"
    return at_least("intake.hole", SUBJECT, facade_id, radius_mm, free, detail, PRACTICE)
