"""Whether the vent works: rise, no trap, length and elbows within the listing, rooms it may pass; drain falls."""

from __future__ import annotations

from math import hypot

from service.building.model import Building, Face
from service.check.measure import along_mm
from service.check.place import WALLS, face_holds, plan, room_place
from service.check.routes import elbows_of, face_of, steps_of
from service.check.verdicts import all_of, at_least, at_most, stated
from service.design import NO_EXPOSED_VENT, Design, Finding, Part, Piece, RoofTerminal, Route, Service, Surface
from service.phrases import Phrase, joined, mm, phrase
from service.rules.tables import table
from service.survey.intake_listing import LengthBasis
from service.survey.model import Point3, Survey
from service.trades.condensate import fall_mm

LISTING = "listing, installation instructions"
PRACTICE = "common practice"


def vent_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings on the vent run and its listing."""
    vent = design.route(Service.VENT)
    if vent is None or not vent.pieces:
        return ()
    listing = design.heater.vent
    length = sum(p.length_mm for p in vent.pieces)
    elbows = elbows_of(vent)
    equivalent, counted = _counted(design, length, elbows)
    limits = phrase(mm(equivalent), f" equivalent length with {counted} elbows")
    stated_ok = vent.equivalent_mm in (None, equivalent) and vent.limit_mm in (None, listing.max_equivalent_mm)
    told = joined(", ", (
        _of(vent.equivalent_mm, vent.limit_mm, "stated"), _of(equivalent, listing.max_equivalent_mm, "computed"),
    ))  # fmt: skip
    return (
        _listed(survey, design, vent),
        at_most("vent.equivalent", "vent", vent.option, listing.max_equivalent_mm, equivalent, limits, LISTING),
        stated("vent.stated", "vent", vent.option, stated_ok, told),
        *_elbow_limit(vent, counted, listing.max_elbows),
        _rise(design, vent.pieces[0]),
        *_hole(building, design, vent),
        *all_of("vent.trap", "vent", vent.option, _descents(vent), "never falls towards the terminal", PRACTICE),
        *all_of("vent.room", "vent", vent.option, _walls_passed(building, design, vent), "walls passed", PRACTICE),
    )


def _counted(design: Design, length: int, elbows: int) -> tuple[int, int]:
    """Equivalent length [mm] and elbows of what the listing counts. The intake of twin pipe runs beside the exhaust,
    turns off along the wall to its own hole, and out."""
    listing = design.heater.vent
    own = length + elbows * listing.elbow_equivalent_mm
    if listing.intake is None or listing.intake.length_basis is LengthBasis.EXHAUST_ONLY:
        return own, elbows
    beside = own + jog_mm(design) + 2 * listing.elbow_equivalent_mm
    if listing.intake.length_basis is LengthBasis.EACH:
        return max(own, beside), elbows + 2
    return own + beside, 2 * elbows + 2


def jog_mm(design: Design) -> int:
    """Way of a twin-pipe vent's intake along the wall to its own hole, the listing's where it is not told [mm]."""
    exhaust, intake, listing = design.terminal, design.intake, design.heater.vent.intake
    if intake is None or isinstance(exhaust, RoofTerminal) or not design.has(Part.TERMINAL):
        return listing.apart_mm if listing else 0
    return abs(intake.s_mm - exhaust.s_mm) + abs(intake.z_mm - exhaust.z_mm)


def _listed(survey: Survey, design: Design, vent: Route) -> Finding:
    """The run's system is that of the design's listing, which is one of those the survey gives the heater."""
    heater = design.heater
    known = [v for h in survey.heaters if h.id == heater.id for v in h.listings] or [*heater.listings]
    kept = vent.option == heater.vent.system and heater.vent in known
    listed = ", ".join(v.system for v in known)
    told = f"{vent.option} run, heater is listed with {listed}; {heater.vent.system} is meant"
    return stated("vent.system", "vent", vent.option, kept, told, LISTING)


def drain_findings(design: Design) -> tuple[Finding, ...]:
    """Findings on the fall of a condensate run without a pump (rule CO3)."""
    drain = design.route(Service.DRAIN)
    if drain is None or not drain.pieces or drain.pumped:
        return ()
    drop = drain.pieces[0].start[2] - drain.pieces[-1].end[2]
    needed = fall_mm(sum(_flat_mm(p) for p in drain.pieces))
    rising = [f"rises from {p.start} to {p.end}" for p in drain.pieces if p.end[2] > p.start[2]]
    condensate = table("condensate")
    cite = f"{condensate.standard} {condensate.edition}, {condensate.where(symbol='slope').text('section')}"
    return (
        at_least("CO3", "drain", drain.end_id, needed, drop, "fall from the heater to the drain", cite),
        *all_of("drain.rise", "drain", drain.end_id, rising, "never rises towards the drain", cite),
    )


def _elbow_limit(vent: Route, elbows: int, most: int | None) -> tuple[Finding, ...]:
    if most is None:
        return ()
    return (stated("vent.elbows", "vent", vent.option, elbows <= most, f"{elbows} elbows, {most} allowed", LISTING),)


def _of(length_mm: int | None, limit_mm: int | None, how: str) -> Phrase:
    known = ("nothing" if value is None else mm(value) for value in (length_mm, limit_mm))
    return joined(" of ", map(phrase, known)) + f" {how}"


def _rise(design: Design, first: Piece) -> Finding:
    """The upright piece at the heater holds the fall of the whole run."""
    upright = plan(first.start) == plan(first.end) and first.surface in WALLS
    rise = first.end[2] - first.start[2] if upright else 0
    needed = design.heater.vent_rise_mm
    upright_for = " upright above the case before the vent turns, "
    detail = phrase(mm(rise), upright_for, mm(needed), " asked for straight piece and fall")
    return stated("vent.rise", "vent", design.heater.vent.system, rise >= needed, detail, LISTING)


def _hole(building: Building, design: Design, vent: Route) -> tuple[Finding, ...]:
    """The hole through the outer wall keeps the pipe's radius from the edges of the face it leaves."""
    through = next((p for p in vent.pieces if p.surface is Surface.OUTER_WALL), None)
    if through is None:
        return ()
    faces = [f for f in building.faces if face_holds(f, through.start)]
    free = max((_to_edges(f, through.start) for f in faces), default=0)
    detail = "from the vent's axis to the nearest floor, ceiling or side wall where it leaves the room"
    return (at_least("vent.hole", "vent", vent.option, design.heater.vent.bundle_radius_mm, free, detail, PRACTICE),)


def _to_edges(face: Face, p: Point3) -> int:
    s = along_mm(face, plan(p))
    return min(s, face.length_mm - s, p[2] - face.z0, face.z1 - p[2])


def _descents(vent: Route) -> list[Phrase]:
    return [phrase("falls by ", mm(p.start[2] - p.end[2])) for p in vent.pieces if p.end[2] < p.start[2]]


def _walls_passed(building: Building, design: Design, vent: Route) -> list[str]:
    """Rooms along whose walls no open vent may run but this one does; the heater's own room aside."""
    own = face_of(building, design)
    uses = {room_place(r.id): r.use for r in building.rooms if own is None or r.id != own.room_id}
    passed = [step.places for piece, step in steps_of(building, design, vent) if piece.surface in WALLS]
    return sorted({
        f"runs along a wall of {place}, a {uses[place]}"
        for places in passed
        for place in places
        if all(uses.get(p) in NO_EXPOSED_VENT for p in places)
    })  # fmt: skip


def _flat_mm(piece: Piece) -> int:
    return round(hypot(piece.end[0] - piece.start[0], piece.end[1] - piece.start[1]))
