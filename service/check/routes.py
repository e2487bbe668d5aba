"""Whether each run exists as drawn: begins at the heater, hangs together, lies on surfaces, ends where it says."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import hypot

from service.building.model import Building, Facade, Face
from service.building.walls import HAIRLINE_MM
from service.check.measure import contains, is_on, is_square_to
from service.check.passage import connected, traced
from service.check.place import OUTDOORS, Places, Step, plan, room_place, rooms_touched
from service.check.stubs import stub_faults
from service.check.verdicts import GEOMETRY, all_of, stated
from service.design import (
    MANIFOLD_DROP_MM,
    Design,
    Finding,
    Part,
    Piece,
    RoofTerminal,
    Route,
    Service,
    Surface,
    Verdict,
)
from service.phrases import Phrase, joined, mm, phrase
from service.survey.model import Point3, Survey

ROUNDING_MM = 2.9
"""Two pieces of one straight line, points rounded to whole millimetres: the end of the shorter lies off the longer,
drawn on, by less than this [mm]. Each point is off by sqrt(1/2) at most, the one in the middle counts twice."""

CROSSINGS = (Surface.WALL_CROSSING, Surface.FLOOR_CROSSING, Surface.OUTER_WALL)

Judge = Callable[[Survey, Building, Design, Route], tuple[Finding, ...]]


def route_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings on all runs of a design; runs that are missing or not wanted are told as such."""
    judges: tuple[Judge, ...] = (_start, _connection, _passage, _elbows, _end)
    present = [r for r in design.routes if r.pieces]
    return tuple(f for r in present for judge in judges for f in judge(survey, building, design, r)) + _services(design)


def services_of(design: Design) -> frozenset[Service]:
    """The runs a heater needs: all six, but no drain if nothing condenses, and no vent outdoors."""
    spared = {Service.DRAIN: not design.heater.condensing, Service.VENT: design.outdoors}
    return frozenset(s for s in Service if not spared.get(s, False))


def turns(pieces: tuple[Piece, ...]) -> int:
    """Changes of direction along a run; pieces without length turn nothing, nor do ways back through a wall of none,
    where rooms overlap by a hairline."""
    drawn = [p for p in pieces if p.start != p.end]
    long = [b for a, b in pairwise(drawn[:1] + drawn) if not _leads_back(a, b)]
    askew = any(not _on_axis(_move(p)) for p in long)
    return sum(
        _turned((*a.start, *a.end), (*b.start, *b.end)) and not _met_within(a, b) and not (askew and _dotted(a, b))
        for a, b in pairwise(long)
    )


def _dotted(a: Piece, b: Piece) -> bool:
    """Whether two level pieces are so short that, points rounded, they may be parts of one skew line."""
    u, v = _move(a), _move(b)
    ahead = sum(x * y for x, y in zip(u, v, strict=True)) >= 0
    return ahead and u[2] == v[2] == 0 and max(hypot(*u), hypot(*v)) < ROUNDING_MM


def _move(piece: Piece) -> list[int]:
    return [q - p for p, q in zip(piece.start, piece.end, strict=True)]


def _leads_back(a: Piece, b: Piece) -> bool:
    """Whether a piece goes through a wall or floor of no more than a hairline, against the piece before it."""
    u, v = _move(a), _move(b)
    back = sum(x * y for x, y in zip(u, v, strict=True)) < 0
    return back and b.surface in CROSSINGS and b.length_mm <= HAIRLINE_MM


def elbows_of(route: Route) -> int:
    """Elbows of a run as stated, where its points leave that open by rounding or it comes back out of a hole;
    otherwise as drawn."""
    sure, most = turns(route.pieces), _most_turns(route.pieces)
    return min(max(route.elbows, sure), most)


def _most_turns(pieces: tuple[Piece, ...]) -> int:
    """Turns if no direction were ever off by rounding alone."""
    moves = [tuple(b - a for a, b in zip(p.start, p.end, strict=True)) for p in pieces if p.start != p.end]
    return sum(any(_cross(u, v)) or sum(x * y for x, y in zip(u, v, strict=True)) < 0 for u, v in pairwise(moves))


def face_of(building: Building, design: Design) -> Face | None:
    """The wall face the heater hangs on, None if the house has no such face."""
    return next((f for f in building.faces if f.id == design.mount.face_id), None)


def hung_before(building: Building, design: Design) -> Face | Facade | None:
    """The wall face or, outdoors, the facade that the heater hangs on; None if the house has no such thing."""
    if design.outdoors:
        return next((f for f in building.facades if f.id == design.mount.facade_id), None)
    return face_of(building, design)


def vent_start(wall: Face | Facade, design: Design) -> Point3:
    """Where the vent leaves the case."""
    return *wall.point(design.mount.s_mm), design.mount.bottom_z_mm + design.heater.height_mm


def manifold(wall: Face | Facade, design: Design) -> Point3:
    """Where the small pipes meet under the case."""
    return *wall.point(design.mount.s_mm), design.mount.bottom_z_mm - MANIFOLD_DROP_MM


def _services(design: Design) -> tuple[Finding, ...]:
    needed, drawn = services_of(design), [r.service for r in design.routes if r.pieces]
    if not drawn and not design.whole:
        return ()
    faults = [f"the {s} run is missing" for s in Service if _expected(design, s) and s not in drawn]
    faults += [f"a {s} run is drawn that the heater does not need" for s in Service if s in drawn and s not in needed]
    faults += [f"the {s} run is drawn more than once" for s in Service if drawn.count(s) > 1]
    held = "every run that the heater needs, once" if design.whole else "no run twice, none that the heater needs not"
    return all_of("route.services", "routes", design.heater.id, faults, held)


def _expected(design: Design, service: Service) -> bool:
    return service in services_of(design) and design.has(Part.run(service))


def _start(_survey: Survey, building: Building, design: Design, route: Route) -> tuple[Finding, ...]:
    wall = hung_before(building, design)
    if wall is None:
        return ()
    wanted = vent_start(wall, design) if route.service is Service.VENT else manifold(wall, design)
    begun = route.pieces[0].start
    port = "its port" if route.service is Service.VENT else "the point below the case"
    elsewhere = phrase("begins at ", _at(begun), f", {port} is at ", _at(wanted))
    detail = f"begins at {port}" if begun == wanted else elsewhere
    return (stated("route.start", route.service, wall.id, begun == wanted, detail),)


def _at(point: Point3) -> Phrase:
    """A place in the frame."""
    return phrase("(", joined(", ", [phrase(mm(c)) for c in point]), ")")


def _connection(_survey: Survey, _building: Building, _design: Design, route: Route) -> tuple[Finding, ...]:
    return all_of("route.connect", route.service, route.end_id, connected(route.pieces), "pieces are connected")


def steps_of(building: Building, design: Design, route: Route) -> tuple[tuple[Piece, Step], ...]:
    """A run followed from the room of the heater; a vent keeps its radius from openings."""
    margin = design.heater.vent.bundle_radius_mm if route.service is Service.VENT else 0
    return traced(building, begins_in(building, design, route), route, margin)


def begins_in(building: Building, design: Design, route: Route) -> Places:
    """The heater's room, or outdoors with it; if the house has neither, the rooms that the run begins in."""
    if design.outdoors and design.mount.facade_id:
        return frozenset({OUTDOORS})
    face = face_of(building, design)
    return frozenset({room_place(face.room_id)}) if face else rooms_touched(building, route.pieces[0].start)


def _passage(survey: Survey, building: Building, design: Design, route: Route) -> tuple[Finding, ...]:
    """Every piece lies where it may; stubs at the far end are judged together."""
    steps = steps_of(building, design, route)
    places = steps[-1][1].places if steps else begins_in(building, design, route)
    stubs = stub_faults(building, places, route, _framed_targets(survey, building, route))
    faults = [(step.rule_id, step.fault) for _, step in steps if step.rule_id]
    faults += [("route.stub", fault) for fault in stubs]
    held = "every piece lies on a surface of the house or goes square through it"
    failed = tuple(stated(rule, route.service, route.end_id, False, fault) for rule, fault in faults)
    return failed or (stated("route.surface", route.service, route.end_id, True, held),)


def _elbows(_survey: Survey, _building: Building, _design: Design, route: Route) -> tuple[Finding, ...]:
    counted = elbows_of(route)
    detail = f"elbows: {route.elbows} stated, {counted} counted"
    return (stated("route.elbows", route.service, route.end_id, route.elbows == counted, detail),)


def _turned(a: tuple[int, ...], b: tuple[int, ...]) -> bool:
    u, v = [a[i + 3] - a[i] for i in range(3)], [b[i + 3] - b[i] for i in range(3)]
    cross = _cross(u, v)
    if sum(x * y for x, y in zip(u, v, strict=True)) <= 0:
        return True
    if _on_axis(u) and _on_axis(v):
        return any(cross)
    return hypot(*cross) > ROUNDING_MM * max(hypot(*u), hypot(*v))


def _cross(u: Sequence[int], v: Sequence[int]) -> tuple[int, int, int]:
    return u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]


def _met_within(a: Piece, b: Piece) -> bool:
    """Whether what a run ends at is met before it is through a wall or floor: the way back lies in the same hole, so
    there and back are one pipe, and it need not turn."""
    tail = Surface.OUTER_WALL if a.surface is Surface.OUTER_WALL else Surface.STUB
    if a.surface not in CROSSINGS or b.surface is not tail:
        return False
    u, v = _move(a), _move(b)
    across = hypot(*_cross(u, v))
    return sum(x * y for x, y in zip(u, v, strict=True)) < 0 and across <= ROUNDING_MM * max(hypot(*u), hypot(*v))


def _on_axis(move: list[int]) -> bool:
    return sum(x != 0 for x in move) == 1


def _end(survey: Survey, building: Building, design: Design, route: Route) -> tuple[Finding, ...]:
    if route.service is Service.POWER and not survey.receptacles:
        detail, missing = "the survey names no outlet, the end of the cable is assumed", "place of an outlet"
        verdict = Verdict.ADVICE
        return (Finding("route.end", verdict, route.service, route.end_id, detail, None, None, GEOMETRY, missing),)
    if route.service is Service.VENT and not design.has(Part.TERMINAL):
        return ()
    if route.service is Service.VENT:
        fault = _vent_end_fault(survey, building, design, route)
    else:
        fault = _end_fault(survey, building, route)
    held = f"ends at {route.end_id}"
    return (stated("route.end", route.service, route.end_id, not fault, fault or held, GEOMETRY),)


def _vent_end_fault(survey: Survey, building: Building, design: Design, route: Route) -> str:
    terminal = design.terminal
    if isinstance(terminal, RoofTerminal):
        return _roof_end_fault(survey, building, terminal, route.pieces[-1])
    last, facade = route.pieces[-1], next((f for f in building.facades if f.id == terminal.facade_id), None)
    if facade is None:
        return f"the house has no facade {terminal.facade_id}"
    wanted = (*facade.point(terminal.s_mm), terminal.z_mm)
    if last.end != wanted:
        return f"ends at {last.end}, terminal at {wanted}"
    if last.surface is not Surface.OUTER_WALL:
        return "does not leave through an outer wall"
    if not is_square_to(facade, plan(last.start), plan(last.end)) or not is_on(facade, plan(last.end)):
        return "does not leave its wall square to the facade"
    return ""


def _roof_end_fault(survey: Survey, building: Building, terminal: RoofTerminal, last: Piece) -> str:
    wanted = terminal.x_mm, terminal.y_mm, terminal.z_mm
    plane = next((p for p in building.roof if p.id == terminal.roof_id), None)
    if plane is None:
        return f"the house has no roof plane {terminal.roof_id}"
    if last.end != wanted:
        return f"ends at {last.end}, terminal at {wanted}"
    if last.surface is not Surface.ROOF:
        return "does not leave through the roof"
    if last.start[2] > plane.level_mm(*plan(last.start)):
        return f"begins over {plane.id}, which it is to leave through"
    below = [r for r in building.rooms if r.ceiling_z == last.start[2] and contains(r.outline, plan(last.start))]
    closed = [r.id for r in below if (told := survey.room(r.id)) and told.under_roof is False]
    return f"more than the roof lies over {', '.join(closed)}" if below and len(closed) == len(below) else ""


def _end_fault(survey: Survey, building: Building, route: Route) -> str:
    lines = _framed_targets(survey, building, route)
    if not lines:
        return f"the survey has no {route.end_id} for this run to end at"
    at = route.pieces[-1].end
    if not any(_near_line(at, a, b) for a, b in lines):
        return f"ends at {at}, which is not on {route.end_id}"
    return ""


def _framed_targets(survey: Survey, building: Building, route: Route) -> list[tuple[Point3, Point3]]:
    return [(building.frame.to_frame3(a), building.frame.to_frame3(b)) for a, b in _targets(survey, route)]


def _targets(survey: Survey, route: Route) -> list[tuple[Point3, Point3]]:
    """Existing pipe or point named by a run's end, as straight lines in survey coordinates."""
    if route.service is Service.GAS:
        nodes = {n.id: n.at for n in survey.gas.nodes}
        found = [(at, at) for i, at in nodes.items() if i == route.end_id]
        return found + [(nodes[s.start], nodes[s.end]) for s in survey.gas.segments if s.id == route.end_id]
    if route.service in (Service.COLD, Service.HOT):
        lines = survey.water.cold if route.service is Service.COLD else survey.water.hot
        return [e for w in lines if w.id == route.end_id for e in (*pairwise(w.points), (w.points[0], w.points[0]))]
    points = survey.drains if route.service is Service.DRAIN else survey.receptacles
    return [(p.at, p.at) for p in points if p.id == route.end_id]


def _near_line(p: Point3, a: Point3, b: Point3) -> bool:
    """Whether a point lies on a segment: exactly if that runs along an axis or is a point, else to its rounding."""
    u, w = [y - x for x, y in zip(a, b, strict=True)], [y - x for x, y in zip(a, p, strict=True)]
    length2 = sum(x * x for x in u)
    t = min(max(sum(x * y for x, y in zip(u, w, strict=True)) / length2, 0.0), 1.0) if length2 else 0.0
    gap = hypot(*(y - t * x for x, y in zip(u, w, strict=True)))
    return gap < (ROUNDING_MM if length2 and not _on_axis(u) else 0.5)
