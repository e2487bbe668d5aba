"""Elevation of the facade by which burnt gas leaves, or a roof plane from above: zones, terminal, what is nearest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, dist, hypot, pi, sin

from shapely import LineString, Polygon
from shapely import Point as GeometryPoint

from service.building.model import Facade
from service.building.roof_model import RoofPlane
from service.design import Design, Finding, Part, RoofTerminal, Terminal
from service.sheets.layout import EDGE_MM, VIEW
from service.sheets.model import Dimension, Drawing, Item, Label, Layer, Line, Mark, Point, Ring, Symbol
from service.sheets.scales import scale_for
from service.sheets.subject import Subject
from service.sheets.surface import (
    Bounds,
    Numbered,
    closed_parts,
    ground,
    numbered,
    openings,
    things_before,
    wall_of,
    zone_items,
    zone_rows,
)
from service.sheets.view import filled_window
from service.usecases.pictured import Installed
from service.usecases.results import SurfaceRegions

_SAME_MM = 2
"""A distance as measured and one as drawn are the same within this [mm]: both are rounded."""
_MOST_DIMENSIONS, _ENDS_OFF = 5, 9.0
_DETAIL_MM, _FARTHEST_MM, _SPARE_MM = 900.0, 2400.0, 150.0
"""Half of what a detail shows at least, how far off a thing is still dimensioned, and what is shown beyond [mm]."""
EXHAUSTS = "joint.exhausts"
"""What the checker calls how far exhausts of several heaters are from each other."""
CENTRE_NOTE = "Zones are of the terminal's centre: its radius is added to what a rule asks of its edge."
LEVEL_NOTE = "Dimensions run level from the roof's edges to the terminal's centre, not along the slope."
SEEN_NOTE = "Seen from outside; distances run from the left-hand end."
NEAREST_NOTE = "Dimensions at the terminal's edge are those the rules measure, to what is nearest."
ENDS_NOTE = "Dimensions of its centre are from the ends of the wall and the ground that are near."


def elevations(subject: Subject) -> Iterator[Drawing]:
    """For each heater the surface at which its terminal is, whole, and round the terminal at a larger scale."""
    for one, surfaces in subject.views():
        if one is not None and one.design.has(Part.TERMINAL):
            yield from _elevation(subject, one, surfaces)


def _elevation(subject: Subject, one: Installed, surfaces: Sequence[SurfaceRegions]) -> Iterator[Drawing]:
    terminal = one.design.terminal
    surface_id = terminal.roof_id if isinstance(terminal, RoofTerminal) else terminal.facade_id
    regions = next(r for r in surfaces if r.surface_id == surface_id)
    surface: Facade | RoofPlane
    if isinstance(terminal, RoofTerminal):
        surface = subject.building.roof_plane(surface_id)
    else:
        surface = subject.building.facade(surface_id)
    at = _place_of(terminal)
    zones = numbered(wall_of(surface), regions.zones)
    is_roof = isinstance(surface, RoofPlane)
    title = f"Roof plane {surface_id} from above" if is_roof else f"Facade {surface_id} from outside"
    number, whose = subject.number(one), f"the terminal of {one.dwelling}" if one.dwelling else "the terminal"
    name = f"elevation-{number}" if number else "elevation"
    turn = -subject.building.frame.angle_rad if is_roof else None
    notes = (LEVEL_NOTE, CENTRE_NOTE) if is_roof else (SEEN_NOTE, CENTRE_NOTE)
    whole = tuple(_surface_items(subject, one, surface, regions, zones, None, at))
    rows = zone_rows(subject, one.findings, zones)
    yield Drawing(name, f"{title}: where {whose} is", whole, rows, notes, turn)
    nearest = tuple(_nearest(subject, surface, at, one))
    ends = tuple(_to_edges(subject, surface, at) if isinstance(surface, RoofPlane) else _to_ends(subject, surface, at))
    window = filled_window(_round(at, (*nearest, *ends)), VIEW, EDGE_MM, subject.survey.units)
    near = tuple(_surface_items(subject, one, surface, regions, zones, window, at))
    shown = tuple(i.lines[0] for i in near if isinstance(i, Label) and i.layer is Layer.ZONE)
    more = (*((NEAREST_NOTE,) if nearest else ()), *((ENDS_NOTE,) if ends and not is_roof else ()))
    yield Drawing(f"{name}-detail", f"{title}: round {whose}", (*near, *nearest, *ends),
                  tuple(r for r in rows if r.number in shown), (*notes, *more), turn, window)  # fmt: skip


def _surface_items(
    subject: Subject,
    one: Installed,
    surface: Facade | RoofPlane,
    regions: SurfaceRegions,
    zones: tuple[Numbered, ...],
    window: Bounds | None,
    at: Point,
) -> Iterator[Item]:
    yield from closed_parts(surface, regions)
    yield from zone_items(zones, window)
    if isinstance(surface, Facade):
        yield from openings(surface, pane=window)
        yield from things_before(subject, surface)
        yield from ground(surface)
        for other in subject.installed:
            yield from _case(other.design, surface)
        if window is None:
            yield from _placed(subject, one.design, surface, at)
    elif window is None:
        yield from _to_edges(subject, surface, at)
    for other, end in subject.terminals():
        if (end.roof_id if isinstance(end, RoofTerminal) else end.facade_id) == surface.id:
            yield from _terminals(other, end, subject.number(other))


def _terminals(one: Installed, end: Terminal | RoofTerminal, number: str) -> Iterator[Item]:
    design, at = one.design, _place_of(end)
    radius = design.heater.outlet(design.outdoors).radius_mm
    yield Line(_circle(at, radius), Layer.TERMINAL, closed=True)
    yield Mark(at, Symbol.TERMINAL, Layer.TERMINAL)
    name = "flue outlet" if design.outdoors else "terminal"
    yield Label(at, (f"{name} {number} {one.dwelling}".strip(),), Layer.TERMINAL)
    intake, listing = design.intake, design.heater.vent.intake
    if intake is not None and listing is not None:
        centre = (float(intake.s_mm), float(intake.z_mm))
        yield Line(_circle(centre, listing.terminal_radius_mm), Layer.TERMINAL, closed=True)
        yield Label(centre, (f"intake {number}".strip(),), Layer.TERMINAL)


def _place_of(end: Terminal | RoofTerminal) -> Point:
    """Where a terminal is on its own surface [mm]."""
    return (end.x_mm, end.y_mm) if isinstance(end, RoofTerminal) else (end.s_mm, end.z_mm)


def _case(design: Design, facade: Facade) -> Iterator[Item]:
    """The case of a heater outdoors."""
    if design.outdoors and design.has(Part.MOUNT) and design.mount.facade_id == facade.id:
        heater, low = design.heater, design.mount.bottom_z_mm
        left = design.mount.s_mm - heater.line_dx_mm(outdoors=True)
        right, high = left + heater.width_mm, low + heater.height_mm
        yield Line(((left, low), (right, low), (right, high), (left, high)), Layer.HEATER, closed=True)
        yield Label((left, low), (heater.id,), Layer.HEATER)


def _placed(subject: Subject, design: Design, facade: Facade, at: Point) -> Iterator[Item]:
    """How far along the facade the terminal is, and how high above the ground."""
    s, z = at
    x0, _, x1, top = wall_of(facade).bounds
    scale = scale_for(x1 - x0, top - wall_of(facade).bounds[1], (VIEW.wide - 2 * EDGE_MM, VIEW.high - 2 * EDGE_MM),
                      subject.survey.units)  # fmt: skip
    grade = max((g.z for g in facade.grade if g.s0 <= s <= g.s1), default=None)
    yield Dimension((0.0, z), (s, z), subject.say(s), max((top - z) / scale, 0.0) + 6.0)
    yield Mark((0.0, z), Symbol.CORNER, Layer.DIMENSION)
    yield Label((0.0, z), (f"end of {facade.id} {subject.say_point(facade.start)}",), Layer.DIMENSION)
    if grade is not None and isinstance(design.terminal, Terminal):
        beyond = (x1 - s) / scale
        yield Dimension((s, float(grade)), (s, z), subject.say(z - grade), -7.0 if beyond > 14.0 else -beyond - 5.0)


def _to_ends(subject: Subject, facade: Facade, at: Point) -> Iterator[Dimension]:
    """From the terminal's centre to the nearer end of its facade, to its top, and to the ground, as far as they are
    near."""
    s, z = at
    along = min((0.0, float(facade.length_mm)), key=lambda end: abs(end - s))
    top = max((z1 for s0, s1, _, z1 in facade.spans if s0 <= s <= s1), default=None)
    grade = max((g.z for g in facade.grade if g.s0 <= s <= g.s1), default=None)
    side = 1.0 if along < s else -1.0
    if 0 < abs(s - along) <= _FARTHEST_MM:
        yield Dimension((along, z), (s, z), subject.say(abs(s - along)), -side * _ENDS_OFF)
    for level in (top, grade):
        if level is not None and 0 < abs(z - level) <= _FARTHEST_MM:
            off = _ENDS_OFF if level > z else -_ENDS_OFF
            yield Dimension((s, float(level)), (s, z), subject.say(abs(z - level)), side * off)


def _to_edges(subject: Subject, plane: RoofPlane, at: Point) -> Iterator[Dimension]:
    """From the nearer edges of a roof plane, across and up the view, to the terminal's centre."""
    outline = Polygon(plane.outline)
    x0, y0, x1, y1 = outline.bounds
    ways = (((x0 - 1, at[1]), (x1 + 1, at[1])), ((at[0], y0 - 1), (at[0], y1 + 1)))
    for way in ways:
        met = outline.boundary.intersection(LineString(way))
        points = [(p.x, p.y) for p in getattr(met, "geoms", [met]) if isinstance(p, GeometryPoint)]
        edge = min(points, key=lambda p: dist(p, at), default=at)
        if dist(edge, at) > 0:
            yield Dimension(edge, at, subject.say(dist(edge, at)))


def _nearest(subject: Subject, surface: Facade | RoofPlane, at: Point, one: Installed) -> Iterator[Dimension]:
    """Distances as the checker measured them, to openings of the same facade, where a straight line shows them; then
    those to the terminals of others."""
    holes = {h.opening_id: (h.s0, h.s1, h.z0, h.z1) for h in surface.holes} if isinstance(surface, Facade) else {}
    radius = one.design.heater.outlet(one.design.outdoors).radius_mm
    measured = [f for f in one.findings if f.subject == "terminal" and f.actual_mm is not None]
    seen: set[tuple[Point, Point]] = set()
    for finding in sorted(measured, key=lambda f: (f.actual_mm or 0, f.rule_id, f.object_id)):
        if finding.object_id not in holes or len(seen) >= _MOST_DIMENSIONS:
            continue
        line = _as_drawn(at, radius, holes[finding.object_id], finding)
        if line is not None and line not in seen:
            seen.add(line)
            yield Dimension(*line, subject.say(finding.actual_mm or 0))
    yield from _to_others(subject, surface, at, one)


def _to_others(subject: Subject, surface: Facade | RoofPlane, at: Point, one: Installed) -> Iterator[Dimension]:
    """From the terminal's edge to those of other heaters at the same facade or roof plane, as they were measured."""
    measured = {f.actual_mm for f in subject.beside if f.rule_id == EXHAUSTS and f.actual_mm is not None}
    own = one.design.heater.outlet(one.design.outdoors).radius_mm
    for other, end in subject.terminals():
        if other is one or (end.roof_id if isinstance(end, RoofTerminal) else end.facade_id) != surface.id:
            continue
        there, radius = _place_of(end), other.design.heater.outlet(other.design.outdoors).radius_mm
        far = dist(at, there)
        apart = next((mm for mm in measured if abs(mm - (far - own - radius)) <= _SAME_MM), None)
        if apart is not None and far <= _FARTHEST_MM:
            u = ((there[0] - at[0]) / far, (there[1] - at[1]) / far)
            edge = (there[0] - u[0] * radius, there[1] - u[1] * radius)
            yield Dimension((at[0] + u[0] * own, at[1] + u[1] * own), edge, subject.say(apart))


def _as_drawn(
    at: Point, radius: float, hole: tuple[int, int, int, int], finding: Finding
) -> tuple[Point, Point] | None:
    """The line from the terminal's edge along which a finding's distance lies; None if no straight line has it."""
    s0, s1, z0, z1 = hole
    near = (min(max(at[0], s0), s1), min(max(at[1], z0), z1))
    ds, dz = near[0] - at[0], near[1] - at[1]
    ways = ((ds, dz), (ds, 0.0), (0.0, dz))
    for x, y in ways:
        far = hypot(x, y)
        if far and far <= _FARTHEST_MM and abs(far - radius - (finding.actual_mm or 0)) <= _SAME_MM:
            edge = (at[0] + x / far * radius, at[1] + y / far * radius)
            return edge, (at[0] + x, at[1] + y)
    return None


def _round(at: Point, nearest: tuple[Dimension, ...]) -> Bounds:
    ends = [p for d in nearest for p in (d.start, d.end)]
    xs = [at[0] - _DETAIL_MM, at[0] + _DETAIL_MM, *(x + by for x, _ in ends for by in (-_SPARE_MM, _SPARE_MM))]
    ys = [at[1] - _DETAIL_MM, at[1] + _DETAIL_MM, *(y + by for _, y in ends for by in (-_SPARE_MM, _SPARE_MM))]
    return min(xs), min(ys), max(xs), max(ys)


def _circle(at: Point, radius: float) -> Ring:
    return tuple((at[0] + radius * cos(2 * pi * k / 48), at[1] + radius * sin(2 * pi * k / 48)) for k in range(48))
