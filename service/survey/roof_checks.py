"""Contradictions of a roof: with itself and with the rooms that it covers."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import LineString, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from service.errors import Fault
from service.survey.lines import Line
from service.survey.model import Point2, Survey
from service.survey.roof import Roof, RoofPlane

HAIRLINE_MM = 20
"""Depth up to which an overlap of planes is a slip of the pen [mm]."""
EAVE_REACH_MM = 100
"""Farthest that the eave line may be from the outline that rises from it [mm]."""


def roof_outlines(roof: Roof | None) -> Iterator[tuple[str, tuple[Point2, ...]]]:
    """Every outline of a roof with its place in the document."""
    if roof is None:
        return
    yield from ((f"#/roof/planes/{i}/outline", p.outline) for i, p in enumerate(roof.planes))
    yield from ((f"#/roof/openings/{i}/outline", o.outline) for i, o in enumerate(roof.openings))
    yield from ((f"#/roof/obstructions/{i}/outline", o.outline) for i, o in enumerate(roof.obstructions))


def roof_faults(survey: Survey) -> Iterator[Fault]:
    """Faults of a roof whose outlines are sound by themselves."""
    roof = survey.roof
    if roof is None:
        return
    for i, plane in enumerate(roof.planes):
        yield from _eave_faults(f"#/roof/planes/{i}/eave", plane)
    shapes = [Polygon(p.outline) for p in roof.planes]
    for i, j in _meeting(shapes):
        if not _deep(shapes[i].intersection(shapes[j])).is_empty:
            ids = f"{roof.planes[i].id!r} and {roof.planes[j].id!r}"
            yield Fault(f"#/roof/planes/{j}", "planes_overlap", f"roof planes {ids} overlap in plan")
    yield from _ceiling_faults(survey, roof)
    yield from _opening_faults(roof, shapes)


def roof_warnings(survey: Survey) -> Iterator[str]:
    """Planes that dip below a ceiling in part, and topmost rooms that no plane covers."""
    roof = survey.roof
    if roof is None or not roof.planes:
        return
    for _, plane, room_id, low, _, ceiling in _covered(survey, roof):
        if low < ceiling:
            yield f"roof plane {plane.id} lies below the ceiling of room {room_id} in part: no vent goes up there"


def level_mm(plane: RoofPlane, p: tuple[float, float]) -> float:
    """Height of a plane at a plan point [mm]. ZeroDivisionError for an eave line without length."""
    if plane.eave is None:
        return float(plane.eave_z_mm)
    line = Line(*plane.eave)
    (ax, ay), (bx, by) = plane.eave
    off = abs((p[0] - ax) * (by - ay) - (p[1] - ay) * (bx - ax)) / line.length_mm
    return plane.eave_z_mm + off * plane.pitch_in_12 / 12


def _eave_faults(place: str, plane: RoofPlane) -> Iterator[Fault]:
    if plane.eave is None:
        return
    line = Line(*plane.eave)
    if line.start == line.end:
        yield Fault(f"{place}/end", "no_length", "start and end are the same point")
        return
    left = [_left_mm(line, p) for p in plane.outline]
    if min(left) < -HAIRLINE_MM and max(left) > HAIRLINE_MM:
        yield Fault(place, "eave_inside", "the plane lies on both sides of the eave line that it rises from")
    if Polygon(plane.outline).distance(LineString([line.start, line.end])) > EAVE_REACH_MM:
        yield Fault(place, "eave_outside", f"the eave line is more than {EAVE_REACH_MM} mm from the plane's outline")


def _left_mm(line: Line, p: Point2) -> float:
    (ax, ay), (bx, by) = line.start, line.end
    return ((bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax)) / line.length_mm


def _deep(common: BaseGeometry) -> BaseGeometry:
    return common.buffer(-HAIRLINE_MM / 2, join_style="mitre")


def _ceiling_faults(survey: Survey, roof: Roof) -> Iterator[Fault]:
    for i, _, room_id, _, high, ceiling in _covered(survey, roof):
        if high < ceiling:
            sentence = f"the plane lies below the ceiling of room {room_id!r}, which it covers"
            yield Fault(f"#/roof/planes/{i}/height", "below_ceiling", sentence)


def _covered(survey: Survey, roof: Roof) -> Iterator[tuple[int, RoofPlane, str, float, float, int]]:
    """Planes with the topmost rooms below them: least and greatest height over the room, and its ceiling [mm]."""
    rooms = [r for s in survey.storeys for r in s.rooms]
    shapes = [Polygon(r.outline) for r in rooms]
    tree = STRtree(shapes)
    for i, plane in enumerate(roof.planes):
        if plane.eave is not None and plane.eave[0] == plane.eave[1]:
            continue
        outline = Polygon(plane.outline)
        for k in _met(tree, outline):
            room, common = rooms[k], _deep(shapes[k].intersection(outline))
            for j in _met(tree, common):
                common = common.difference(shapes[j]) if rooms[j].floor_z_mm >= room.ceiling_z_mm else common
            heights = [level_mm(plane, (x, y)) for part in _parts(common) for x, y in part.exterior.coords]
            if heights:
                yield i, plane, room.id, min(heights), max(heights), room.ceiling_z_mm


def _met(tree: STRtree, shape: BaseGeometry) -> list[int]:
    """Places in a tree's list of the outlines that meet a shape, in order."""
    return [] if shape.is_empty else sorted(int(k) for k in tree.query(shape, predicate="intersects"))


def _meeting(shapes: list[Polygon]) -> Iterator[tuple[int, int]]:
    """Pairs of outlines that meet, by their places in the list."""
    tree = STRtree(shapes)
    return ((i, j) for i, shape in enumerate(shapes) for j in _met(tree, shape) if i < j)


def _opening_faults(roof: Roof, shapes: list[Polygon]) -> Iterator[Fault]:
    """Openings that lie in no plane, where planes are given."""
    tree = STRtree(shapes)
    for i, opening in enumerate(roof.openings):
        hole = Polygon(opening.outline)
        if shapes and not any(_deep(shapes[k].intersection(hole)).area > 0 for k in _met(tree, hole)):
            yield Fault(f"#/roof/openings/{i}/outline", "outside_roof", "the opening lies in none of the roof's planes")


def _parts(shape: BaseGeometry) -> Iterator[Polygon]:
    for part in getattr(shape, "geoms", [shape]):
        if isinstance(part, Polygon) and not part.is_empty:
            yield part
