"""Faults of windows and doors: each lies in a wall, upright, and over no other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from service.errors import Fault
from service.survey.lines import Line, edges_of, room_edges
from service.survey.model import Opening, Point2, Survey

Bounds = tuple[int, Sequence[Line], Line]
"""Height of a room's ceiling [mm], the room's edges, and a diagonal of the box round them."""
WALL_REACH_MM = 450
"""Farthest that an opening's end may be from a room's edge: a thick wall, drawn on its other face [mm]."""
SAME_WALL_MM = 200
"""Farthest apart that two parallel openings still lie in one wall [mm]."""
OVERLAP_MM = 20
"""Overlap that is still taken for a slip of the pen [mm]."""
CEILING_SLACK_MM = 50
"""How far an opening's head may be over the ceiling: screeds, dropped ceilings [mm]."""


def opening_faults(survey: Survey) -> Iterator[Fault]:
    """Faults of all openings."""
    for i, storey in enumerate(survey.storeys):
        rooms = [_bounds(room.ceiling_z_mm, list(edges_of(room))) for room in storey.rooms]
        yield from _wall_faults(f"#/storeys/{i}/openings", storey.openings, storey.ceiling_z_mm, rooms)
    for i, wall in enumerate(survey.site.neighbour_walls):
        edges = [Line(wall.start, wall.end)] if wall.start != wall.end else []
        place = f"#/site/neighbour_walls/{i}/openings"
        yield from _wall_faults(place, wall.openings, wall.top_z_mm, [_bounds(wall.top_z_mm, edges)])


def _bounds(ceiling_z_mm: int, edges: Sequence[Line]) -> Bounds:
    xs, ys = zip(*(p for e in edges for p in (e.start, e.end)), strict=True) if edges else ((0,), (0,))
    return ceiling_z_mm, edges, Line((min(xs), min(ys)), (max(xs), max(ys)))


def unmatched_walls(survey: Survey) -> Iterator[str]:
    """Warnings for walls that follow no edge of a room, so that what they tell is of no use."""
    for storey in survey.storeys:
        edges = list(room_edges(storey))
        for wall in storey.walls:
            if wall.start != wall.end and not _beside(Line(wall.start, wall.end), edges):
                yield f"wall {wall.id} of storey {storey.id} follows no edge of a room"


def _wall_faults(place: str, openings: Sequence[Opening], top_z_mm: int, rooms: Sequence[Bounds]) -> Iterator[Fault]:
    """Faults of the openings of one storey, or of one neighbouring wall, between the edges given."""
    for j, opening in enumerate(openings):
        if opening.head_z_mm <= opening.sill_z_mm:
            yield Fault(f"{place}/{j}/head", "upside_down", "the head is not over the sill")
        if opening.start == opening.end:
            yield Fault(f"{place}/{j}/to", "no_length", "the opening has no width")
        else:
            yield from _placed(f"{place}/{j}", opening, top_z_mm, rooms)
    yield from _overlaps(place, openings)


def _placed(place: str, opening: Opening, top_z_mm: int, rooms: Sequence[Bounds]) -> Iterator[Fault]:
    line = Line(opening.start, opening.end)
    beside = ((ceiling, edges) for ceiling, edges, box in rooms if box.may_reach(line, WALL_REACH_MM))
    reached = [(ceiling, [e for e in edges if e.may_reach(line, WALL_REACH_MM)]) for ceiling, edges in beside]
    edges = [edge for _, near in reached for edge in near]
    ceiling_z_mm = max([top_z_mm, *(ceiling for ceiling, near in reached if _near(opening.start, near))])
    if opening.head_z_mm > ceiling_z_mm + CEILING_SLACK_MM:
        yield Fault(f"{place}/head", "above_ceiling", "the head is over the ceiling")
    if not _near(opening.start, edges) or not _near(opening.end, edges):
        yield Fault(place, "outside_wall", f"an end is more than {WALL_REACH_MM} mm from every wall")
    elif not _follows(line, edges):
        yield Fault(place, "not_along_wall", "no wall there runs the way the opening does")


def _near(point: Point2, edges: Sequence[Line]) -> bool:
    return any(edge.distance_mm(point) <= WALL_REACH_MM for edge in edges)


def _follows(line: Line, edges: Sequence[Line]) -> bool:
    """Whether both ends lie at edges that run the line's way; not always one edge, rooms adjoin."""
    parallel = [edge for edge in edges if edge.is_parallel(line)]
    return _near(line.start, parallel) and _near(line.end, parallel)


def _beside(wall: Line, edges: Sequence[Line]) -> bool:
    """Whether a wall, which may run on past the room's corners, lies at an edge for some of its length."""
    return any(_common_mm(wall, edge, WALL_REACH_MM) > 0 for edge in edges)


def _overlaps(place: str, openings: Sequence[Opening]) -> Iterator[Fault]:
    """Pairs that overlap in plan and in height; one over the other is fine."""
    wide = [(j, o, Line(o.start, o.end)) for j, o in enumerate(openings) if o.start != o.end]
    for (_, a, line), (k, b, other) in combinations(wide, 2):
        height = min(a.head_z_mm, b.head_z_mm) - max(a.sill_z_mm, b.sill_z_mm)
        if height > OVERLAP_MM and _common_mm(line, other, SAME_WALL_MM) > OVERLAP_MM:
            yield Fault(f"{place}/{k}", "openings_overlap", f"openings {a.id!r} and {b.id!r} overlap")


def _common_mm(line: Line, other: Line, reach_mm: float) -> float:
    """Length that two parallel lines no farther apart than ``reach_mm`` run beside one another, else 0 [mm]."""
    if not line.may_reach(other, reach_mm) or not line.is_parallel(other) or line.aside_mm(other.start) > reach_mm:
        return 0.0
    low, high = sorted((line.along_mm(other.start), line.along_mm(other.end)))
    return max(min(high, line.length_mm) - max(low, 0.0), 0.0)
