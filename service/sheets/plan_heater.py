"""A heater in plan: its case, the working space before it, and how far it is from the corner it is told by."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Polygon

from service.building.model import Building, Facade, Face
from service.design import Design, Part
from service.rules.mounting import sized_mounting
from service.rules.rulesets import rule_set
from service.sheets.ground import off_line, strip
from service.sheets.model import Area, Dimension, Item, Label, Layer, Line, Mark, Point, Symbol
from service.sheets.runs import Span
from service.sheets.subject import Subject
from service.survey.model import Point2
from service.usecases.pictured import Installed


def mounted_on(design: Design, building: Building, storey: int, span: Span) -> bool:
    """Whether it hangs on a storey."""
    if not design.has(Part.MOUNT):
        return False
    if design.mount.facade_id:
        return span.low <= design.mount.bottom_z_mm < span.high
    return building.face(design.mount.face_id).storey == storey


def aside(design: Design, building: Building, middle: Point) -> Point:
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


def heater_items(subject: Subject, one: Installed) -> Iterator[Item]:
    """Everything of one heater."""
    design = one.design
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
    yield from _space(subject, design, line, ends, side)
    case = strip(*line, ends, (0, side * heater.depth_mm))
    yield Area((case,), Layer.HEATER, covers=True)
    yield Line((case[0], case[2]), Layer.HEATER)
    yield Line((case[1], case[3]), Layer.HEATER)
    names = (f"{subject.number(one)} {one.dwelling}",) if one.dwelling else ()
    yield Label(_middle(case), (*names, heater.id, f"{subject.say(heater.width_mm)} wide"), Layer.HEATER)
    distance = wall.length_mm - left if corner == wall.end else left
    off = 5.0 if side > 0 else -7.0
    yield Dimension(corner, off_line(*line, left, 0), subject.say(distance), off, float(thick))
    yield Mark(corner, Symbol.CORNER, Layer.DIMENSION)
    yield Label(corner, (f"corner {subject.say_point(corner)}",), Layer.DIMENSION)


def _space(
    subject: Subject, design: Design, line: tuple[Point2, Point2], ends: tuple[int, int], side: float
) -> Iterator[Line]:
    """Working space before the case, where a rule asks for any."""
    deep, wide = _working_space(subject)
    heater = design.heater
    spare, front = max(wide - heater.width_mm, 0) / 2, side * heater.depth_mm
    if deep:
        space = strip(*line, (ends[0] - spare, ends[1] + spare), (front, front + side * deep))
        yield Line(space, Layer.SPACE, closed=True)


def _working_space(subject: Subject) -> tuple[int, int]:
    """Depth and width that must be free before the case, (0, 0) where no rule asks for any [mm]."""
    site = subject.survey.site
    rules = sized_mounting(rule_set(site.rule_set).country, subject.survey.units, site.amendments)
    asked = [(r.distance_mm, r.width_mm) for r in rules if r.rule.relation == "working_space"]
    return max(asked, default=(0, 0))


def _middle(ring: tuple[Point, ...]) -> Point:
    at = Polygon(ring).centroid
    return at.x, at.y
