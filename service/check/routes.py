"""Whether each run exists as drawn: begins at the heater, hangs together, lies on surfaces, ends where it says."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import hypot

from service.building.model import Building, Face
from service.check.measure import is_on, is_square_to
from service.check.passage import connected, follow
from service.check.place import OUTDOORS, Places, plan, room_place, rooms_touched
from service.check.surfaces import enters
from service.check.verdicts import GEOMETRY, all_of, stated
from service.design import MANIFOLD_DROP_MM, Design, Finding, Piece, Route, Service, Surface, Verdict
from service.survey.model import Point2, Point3, Survey

ROUNDING_MM = 1.5
"""Two rounded points of one straight line lie off it by less than this [mm]."""

Judge = Callable[[Survey, Building, Design, Route], tuple[Finding, ...]]


def route_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings on all runs of a design; runs that are missing or not wanted are told as such."""
    judges: tuple[Judge, ...] = (_start, _connection, _passage, _elbows, _end)
    present = [r for r in design.routes if r.pieces]
    return tuple(f for r in present for judge in judges for f in judge(survey, building, design, r)) + _services(design)


def services_of(design: Design) -> frozenset[Service]:
    """The runs a heater needs: all six, but no drain if nothing condenses."""
    return frozenset(s for s in Service if s is not Service.DRAIN or design.heater.condensing)


def turns(pieces: tuple[Piece, ...]) -> int:
    """Changes of direction along a run; pieces without length turn nothing."""
    moves = [(*p.start, *p.end) for p in pieces if p.start != p.end]
    return sum(_turned(a, b) for a, b in pairwise(moves))


def face_of(building: Building, design: Design) -> Face | None:
    """The wall face the heater hangs on, None if the house has no such face."""
    return next((f for f in building.faces if f.id == design.mount.face_id), None)


def vent_start(face: Face, design: Design) -> Point3:
    """Where the vent leaves the case."""
    return *face.point(design.mount.s_mm), design.mount.bottom_z_mm + design.heater.height_mm


def manifold(face: Face, design: Design) -> Point3:
    """Where the small pipes meet under the case."""
    return *face.point(design.mount.s_mm), design.mount.bottom_z_mm - MANIFOLD_DROP_MM


def _services(design: Design) -> tuple[Finding, ...]:
    needed, drawn = services_of(design), [r.service for r in design.routes if r.pieces]
    faults = [f"the {s} run is missing" for s in Service if s in needed and s not in drawn]
    faults += [f"a {s} run is drawn that the heater does not need" for s in Service if s in drawn and s not in needed]
    faults += [f"the {s} run is drawn more than once" for s in Service if drawn.count(s) > 1]
    return all_of("route.services", "routes", design.heater.id, faults, "every run that the heater needs, once")


def _start(_survey: Survey, building: Building, design: Design, route: Route) -> tuple[Finding, ...]:
    face = face_of(building, design)
    if face is None:
        return ()
    wanted = vent_start(face, design) if route.service is Service.VENT else manifold(face, design)
    begun = route.pieces[0].start
    return (stated("route.start", route.service, face.id, begun == wanted, f"begins at {begun}, heater at {wanted}"),)


def _connection(_survey: Survey, _building: Building, _design: Design, route: Route) -> tuple[Finding, ...]:
    return all_of("route.connect", route.service, route.end_id, connected(route.pieces), "pieces are connected")


def _passage(_survey: Survey, building: Building, design: Design, route: Route) -> tuple[Finding, ...]:
    """Follow a run piece by piece from the room of the heater; stubs at the far end are judged together."""
    margin = design.heater.vent.pipe_radius_mm if route.service is Service.VENT else 0
    first_stub = next((i for i, p in enumerate(route.pieces) if p.surface is Surface.STUB), len(route.pieces))
    face = face_of(building, design)
    places = frozenset({room_place(face.room_id)}) if face else rooms_touched(building, route.pieces[0].start)
    found: list[Finding] = []
    for piece in route.pieces[:first_stub]:
        step = follow(building, places, piece, margin)
        if step.rule_id:
            found.append(stated(step.rule_id, route.service, route.end_id, False, step.fault))
        places = step.places
    found += [
        stated("route.stub", route.service, route.end_id, False, fault)
        for fault in _stub_faults(building, places, route, first_stub)
    ]
    held = "every piece lies on a surface of the house or goes square through it"
    return tuple(found) or (stated("route.surface", route.service, route.end_id, True, held),)


def _stub_faults(building: Building, places: Places, route: Route, first: int) -> list[str]:
    stubs = route.pieces[first:]
    if not stubs:
        return []
    if route.service is Service.VENT:
        return ["a vent has no stub"]
    if any(p.surface is not Surface.STUB for p in stubs):
        return ["a stub lies elsewhere than at the far end"]
    entered = {room_place(r.id) for r in building.rooms for p in stubs if enters(r.outline, r.floor_z, r.ceiling_z, p)}
    if len(entered) > 1 or not entered <= places:
        return [f"the stub goes through {', '.join(sorted(entered - places) or sorted(entered))}"]
    if OUTDOORS not in places and any(_leaves_house(building, p) for p in stubs):
        return ["the stub goes through an outer wall"]
    return []


def _leaves_house(building: Building, piece: Piece) -> bool:
    """Whether a piece passes from the inner to the outer side of a facade where that is wall."""
    a, b = plan(piece.start), plan(piece.end)
    for f in building.facades:
        s, inside, outside = _crossing(f.start, f.end, a, b)
        z0, z1 = sorted((piece.start[2], piece.end[2]))
        if inside and outside and any(s0 <= s <= s1 and z0 < top and z1 > base for s0, s1, base, top in f.spans):
            return True
    return False


def _crossing(start: Point2, end: Point2, a: Point2, b: Point2) -> tuple[float, bool, bool]:
    """Where a -> b meets a line [mm along it], and whether a is strictly left and b strictly right of it."""
    ux, uy = end[0] - start[0], end[1] - start[1]
    left_a = ux * (a[1] - start[1]) - uy * (a[0] - start[0])
    left_b = ux * (b[1] - start[1]) - uy * (b[0] - start[0])
    if not left_a > 0 > left_b:
        return 0.0, left_a > 0, left_b < 0
    t = left_a / (left_a - left_b)
    x, y = a[0] + t * (b[0] - a[0]) - start[0], a[1] + t * (b[1] - a[1]) - start[1]
    return (ux * x + uy * y) / hypot(ux, uy), True, True


def _elbows(_survey: Survey, _building: Building, _design: Design, route: Route) -> tuple[Finding, ...]:
    counted = turns(route.pieces)
    detail = f"{route.elbows} elbows stated, {counted} counted"
    return (stated("route.elbows", route.service, route.end_id, route.elbows == counted, detail),)


def _turned(a: tuple[int, ...], b: tuple[int, ...]) -> bool:
    u, v = [a[i + 3] - a[i] for i in range(3)], [b[i + 3] - b[i] for i in range(3)]
    cross = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
    if sum(x * y for x, y in zip(u, v, strict=True)) <= 0:
        return True
    if _on_axis(u) and _on_axis(v):
        return any(cross)
    return hypot(*cross) > ROUNDING_MM * max(hypot(*u), hypot(*v))


def _on_axis(move: list[int]) -> bool:
    return sum(x != 0 for x in move) == 1


def _end(survey: Survey, building: Building, design: Design, route: Route) -> tuple[Finding, ...]:
    if route.service is Service.POWER and not survey.receptacles:
        detail, missing = "the survey names no outlet, the end of the cable is assumed", "place of an outlet"
        verdict = Verdict.ADVICE
        return (Finding("route.end", verdict, route.service, route.end_id, detail, None, None, GEOMETRY, missing),)
    if route.service is Service.VENT:
        fault = _vent_end_fault(building, design, route)
    else:
        fault = _end_fault(survey, building, route)
    held = f"ends at {route.end_id}"
    return (stated("route.end", route.service, route.end_id, not fault, fault or held, GEOMETRY),)


def _vent_end_fault(building: Building, design: Design, route: Route) -> str:
    last, facade = route.pieces[-1], next((f for f in building.facades if f.id == design.terminal.facade_id), None)
    if facade is None:
        return f"the house has no facade {design.terminal.facade_id}"
    wanted = (*facade.point(design.terminal.s_mm), design.terminal.z_mm)
    if last.end != wanted:
        return f"ends at {last.end}, terminal at {wanted}"
    if last.surface is not Surface.OUTER_WALL:
        return "does not leave through an outer wall"
    if not is_square_to(facade, plan(last.start), plan(last.end)) or not is_on(facade, plan(last.end)):
        return "does not leave its wall square to the facade"
    return ""


def _end_fault(survey: Survey, building: Building, route: Route) -> str:
    lines = _targets(survey, route)
    if not lines:
        return f"the survey has no {route.end_id} for this run to end at"
    at = route.pieces[-1].end
    framed = [(building.frame.to_frame3(a), building.frame.to_frame3(b)) for a, b in lines]
    if not any(_near_line(at, a, b) for a, b in framed):
        return f"ends at {at}, which is not on {route.end_id}"
    return ""


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
