"""Plan of a storey: the house, the heater with its working space, every run with size and length, dimensions."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from shapely import Polygon

from service.building.edges import ordered_storeys
from service.building.model import Building, Facade, Face
from service.design import Design, Part, RoofTerminal, Route, Service, Terminal
from service.rules.mounting import sized_mounting
from service.rules.rulesets import rule_set
from service.sheets.ground import off_line, room_names, storey_house, strip
from service.sheets.layout import EDGE_MM, VIEW
from service.sheets.model import Area, Dimension, Drawing, Item, KeyRow, Label, Layer, Line, Mark, Point, Symbol
from service.sheets.runs import LAYER_OF, Drawn, Span, drawn_runs
from service.sheets.scales import scale_for
from service.sheets.subject import Subject
from service.sheets.view import bounds_of, filled_window
from service.survey.model import Point2

ASIDE = "Runs that lie over each other are drawn side by side; lengths and heights hold, not their distances."
NORTH_NOTE = "North is the survey's +y."
NEAR_MM, SPARE_MM = 2200.0, 300.0
"""How far from the heater a run is still of its surroundings, and what is shown beyond [mm]."""
Window = tuple[float, float, float, float]


def plans(subject: Subject, apart: bool = True) -> Iterator[Drawing]:
    """A plan of each storey that the design touches, the lowest first, and round the heater; ``apart``: runs that lie
    over each other are drawn side by side."""
    design = subject.design
    if design is None:
        return
    number = 0
    for storey, span in storeys(subject.building):
        if _touches(design, subject.building, storey, span):
            number += 1
            yield from _plan(subject, design, (storey, span), f"plan-{number}", apart)


def storeys(building: Building) -> list[tuple[int, Span]]:
    """Each storey with the heights that belong to it, from below [mm]."""
    floors: dict[int, float] = {}
    for room in building.rooms:
        floors[room.storey] = min(room.floor_z, floors.get(room.storey, inf))
    order = sorted(floors, key=lambda s: (floors[s], s))
    lows = [-inf, *(floors[s] for s in order[1:])]
    return [(s, Span(low, high)) for s, low, high in zip(order, lows, [*lows[1:], inf], strict=True)]


def _touches(design: Design, building: Building, storey: int, span: Span) -> bool:
    hung = design.has(Part.MOUNT) and _mounted_on(design, building, storey, span)
    ends = design.has(Part.TERMINAL) and span.low <= design.terminal.z_mm < span.high
    return hung or ends or any(span.holds(p) for r in design.routes for p in r.pieces)


def _mounted_on(design: Design, building: Building, storey: int, span: Span) -> bool:
    if design.mount.facade_id:
        return span.low <= design.mount.bottom_z_mm < span.high
    return building.face(design.mount.face_id).storey == storey


def _plan(subject: Subject, design: Design, level: tuple[int, Span], name: str, apart: bool) -> Iterator[Drawing]:
    """The whole storey, and the part of it round the heater at a larger scale."""
    (storey, span), building = level, subject.building
    house = (*storey_house(building, storey), *room_names(building, storey))
    fixed = (*_meter(subject, span), *_terminal(subject, design, span))
    hung: tuple[Item, ...] = ()
    if _has_detail(subject, design, level):
        hung = tuple(_heater(subject, design))
    title = f"Plan of storey {ordered_storeys(subject.survey)[storey].id}"
    whole = _with_runs(subject, level, (*house, *hung, *fixed), None, apart)
    floor = float(min(r.floor_z for r in building.rooms if r.storey == storey))
    yield Drawing(name, title, *whole, -building.frame.angle_rad, floor_mm=floor)
    if hung:
        near = _round_the_heater(design, span, bounds_of(hung))
        window = filled_window(near, VIEW, EDGE_MM, subject.survey.units)
        detail = _with_runs(subject, level, (*house, *hung, *fixed), window, apart)
        yield Drawing(f"{name}-detail", f"{title}: round the heater", *detail, -building.frame.angle_rad, window, floor)


def _has_detail(subject: Subject, design: Design, level: tuple[int, Span]) -> bool:
    """Whether the heater hangs on the storey, so that its surroundings are shown at a larger scale."""
    return design.has(Part.MOUNT) and _mounted_on(design, subject.building, *level)


def _with_runs(
    subject: Subject, level: tuple[int, Span], items: tuple[Item, ...], window: Window | None, apart: bool
) -> tuple[tuple[Item, ...], tuple[KeyRow, ...], tuple[str, ...]]:
    """Items, key and notes of a view of a storey with its runs, which are drawn apart as its scale asks."""
    x0, y0, x1, y1 = window or bounds_of(items)
    room, design = (VIEW.wide - 2 * EDGE_MM, VIEW.high - 2 * EDGE_MM), subject.design
    assert design is not None
    scale = scale_for(x1 - x0, y1 - y0, room, subject.survey.units)
    aside = _aside(design, subject.building, ((x0 + x1) / 2, (y0 + y1) / 2)) if apart else (0.0, 0.0)
    runs = list(drawn_runs(design.routes, level[1], aside, scale))
    brief = window is None and _has_detail(subject, design, level)
    drawn = tuple(i for r in runs for i in _run(subject, r, level[1], window, brief))
    notes = (ASIDE, NORTH_NOTE) if any(r.moved != (0.0, 0.0) for r in runs) else (NORTH_NOTE,)
    return (*items, *drawn), tuple(_run_row(subject, r.route) for r in runs), notes


def _round_the_heater(design: Design, span: Span, hung: Window) -> Window:
    """The heater, what must be free before it, and what of the runs is near."""
    x0, y0, x1, y1 = hung
    near = (x0 - NEAR_MM, y0 - NEAR_MM, x1 + NEAR_MM, y1 + NEAR_MM)
    points = [p[:2] for r in design.routes for q in r.pieces if span.holds(q) for p in (q.start, q.end)]
    held = [(x, y) for x, y in points if near[0] <= x <= near[2] and near[1] <= y <= near[3]]
    xs, ys = [x0, x1, *(p[0] for p in held)], [y0, y1, *(p[1] for p in held)]
    return min(xs) - SPARE_MM, min(ys) - SPARE_MM, max(xs) + SPARE_MM, max(ys) + SPARE_MM


def _aside(design: Design, building: Building, middle: Point) -> Point:
    """From where the heater hangs into its room, or into the house."""
    if not design.has(Part.MOUNT):
        return (1.0, 1.0)
    at = _hung(design, building)
    if not design.mount.facade_id:
        room = building.room(building.face(design.mount.face_id).room_id)
        inside = Polygon(room.outline).representative_point()
        middle = (inside.x, inside.y)
    return (1.0 if middle[0] >= at[0] else -1.0, 1.0 if middle[1] >= at[1] else -1.0)


def _hung(design: Design, building: Building) -> Point2:
    mount = design.mount
    return (building.facade(mount.facade_id) if mount.facade_id else building.face(mount.face_id)).point(mount.s_mm)


def _heater(subject: Subject, design: Design) -> Iterator[Item]:
    """Case and working space, and how far its left edge is from the corner it is told by."""
    heater, mount = design.heater, design.mount
    wall: Face | Facade
    if mount.facade_id:
        wall, thick = subject.building.facade(mount.facade_id), 0
        left = mount.s_mm - heater.line_dx_mm(outdoors=True)
        ends, side, corner = (left, left + heater.width_mm), -1.0, wall.start
    else:
        wall = face = subject.building.face(mount.face_id)
        left = mount.s_mm + heater.vent_dx_mm
        ends, side, corner = (left - heater.width_mm, left), 1.0, wall.end
        thick = max((s.thickness_mm for s in face.stretches if s.s0 <= left <= s.s1), default=0)
    line = (wall.start, wall.end)
    deep, wide = _working_space(subject)
    spare = max(wide - heater.width_mm, 0) / 2
    front = side * heater.depth_mm
    if deep:
        space = strip(*line, (ends[0] - spare, ends[1] + spare), (front, front + side * deep))
        yield Line(space, Layer.SPACE, closed=True)
    case = strip(*line, ends, (0, front))
    yield Area((case,), Layer.HEATER, covers=True)
    yield Line((case[0], case[2]), Layer.HEATER)
    yield Line((case[1], case[3]), Layer.HEATER)
    yield Label(_middle(case), (heater.id, f"{subject.say(heater.width_mm)} wide"), Layer.HEATER)
    distance = wall.length_mm - left if corner == wall.end else left
    off = 5.0 if side > 0 else -7.0
    yield Dimension(corner, off_line(*line, left, 0), subject.say(distance), off, float(thick))
    yield Mark(corner, Symbol.CORNER, Layer.DIMENSION)
    yield Label(corner, (f"corner {subject.say_point(corner)}",), Layer.DIMENSION)


def _working_space(subject: Subject) -> tuple[int, int]:
    """Depth and width that must be free before the case, (0, 0) where no rule asks for any [mm]."""
    site = subject.survey.site
    rules = sized_mounting(rule_set(site.rule_set).country, subject.survey.units, site.amendments)
    asked = [(r.distance_mm, r.width_mm) for r in rules if r.rule.relation == "working_space"]
    return max(asked, default=(0, 0))


def _run(subject: Subject, run: Drawn, span: Span, window: Window | None, brief: bool) -> Iterator[Item]:
    """One run; ``brief``: with its letter alone, as the key and a detail tell the rest."""
    layer, route = LAYER_OF[run.route.service], run.route
    yield from (Line(line, layer) for line in run.lines)
    yield from (Mark(at, Symbol.RISER, layer) for at in run.risers)
    end = route.pieces[-1].end
    if route.service is not Service.VENT and span.holds(route.pieces[-1]):
        moved = (end[0] + run.moved[0], end[1] + run.moved[1])
        if moved != (end[0], end[1]):
            yield Line((moved, (end[0], end[1])), Layer.TAP)
        yield Mark((end[0], end[1]), Symbol.TAP, Layer.TAP)
    told = (run_letter(route),) if brief else (run_name(route), subject.say(route.length_mm))
    yield Label(run.middle(window), told, layer, bold=brief)


def run_letter(route: Route) -> str:
    """What the key knows a run by."""
    return route.service.value[0].upper()


def run_name(route: Route) -> str:
    """Service and option, once where they are the same word."""
    service = route.service.value
    return service if route.option == service else f"{service} {route.option}"


def _run_row(subject: Subject, route: Route) -> KeyRow:
    say = subject.say
    told = f"{run_name(route)} to {route.end_id}: {say(route.length_mm)}, elbows {route.elbows}"
    if route.equivalent_mm is not None and route.limit_mm is not None:
        told += f", equivalent {say(route.equivalent_mm)} of at most {say(route.limit_mm)}"
    return KeyRow(run_letter(route), f"{told}{', pumped' if route.pumped else ''}")


def _meter(subject: Subject, span: Span) -> Iterator[Item]:
    gas = subject.survey.gas
    at = next((n.at for n in gas.nodes if n.id == gas.delivery_node), None)
    if at is not None and span.low <= at[2] < span.high:
        point = subject.building.frame.to_frame((at[0], at[1]))
        yield Mark(point, Symbol.METER, Layer.GAS)
        yield Label(point, (f"gas delivery {gas.delivery_node}",), Layer.GAS)


def _terminal(subject: Subject, design: Design, span: Span) -> Iterator[Item]:
    if not design.has(Part.TERMINAL) or not span.low <= design.terminal.z_mm < span.high:
        return
    if isinstance(design.terminal, RoofTerminal):
        at = (design.terminal.x_mm, design.terminal.y_mm)
        yield Mark(at, Symbol.TERMINAL, Layer.TERMINAL)
        yield Label(at, (f"terminal over roof {design.terminal.roof_id}",), Layer.TERMINAL)
        return
    named = [("flue outlet" if design.outdoors else "terminal", design.terminal), ("intake", design.intake)]
    for name, place in named:
        if place is not None:
            yield from _in_facade(subject, name, place)


def _in_facade(subject: Subject, name: str, place: Terminal) -> Iterator[Item]:
    facade = subject.building.facade(place.facade_id)
    at = facade.point(place.s_mm)
    yield Mark(at, Symbol.TERMINAL, Layer.TERMINAL)
    yield Label(at, (name,), Layer.TERMINAL)
    if name != "intake":
        yield Dimension(facade.start, at, subject.say(place.s_mm), -13.0)
        yield Mark(facade.start, Symbol.CORNER, Layer.DIMENSION)
        yield Label(facade.start, (f"end of {facade.id} {subject.say_point(facade.start)}",), Layer.DIMENSION)


def _middle(ring: tuple[Point, ...]) -> Point:
    at = Polygon(ring).centroid
    return at.x, at.y
