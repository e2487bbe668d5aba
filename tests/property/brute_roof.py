"""Ways up through the roof on the brute force's grid, from the definition of the model: straight up from a ceiling.

The opening is as high over the roof, at the upper side of a disc of the terminal's radius, as the table by pitch,
practice and the snow ask. Nothing higher than the ceiling may stand within the pipe's radius, measured squarely.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from service.building.model import Building, BuiltRoom
from service.building.roof_model import RoofPlane
from service.design import Piece, Surface
from service.rules.rulesets import rule_set
from service.rules.tables import table
from service.survey.equipment import Heater
from service.survey.model import Survey
from tests.property.brute_ends import End
from tests.property.brute_surfaces import Grid, bounds

FOOT_MM = 304.8


def ends_over(survey: Survey, building: Building, heater: Heater, grid: Grid) -> Iterator[End]:
    """Ends over every plane of the roof from every ceiling below it, named by plane, x, y and height."""
    for plane in building.roof:
        rise = _rise(survey, plane, heater.vent.terminal_radius_mm)
        for i, room in enumerate(building.rooms):
            told = survey.room(room.id)
            if told is not None and told.under_roof is not False:
                yield from _from(building, heater, plane, rise, (i, room), grid)


def _from(
    building: Building, heater: Heater, plane: RoofPlane, rise: int, below: tuple[int, BuiltRoom], grid: Grid
) -> Iterator[End]:
    (i, room), r = below, heater.vent.pipe_radius_mm
    x0, x1, y0, y1 = bounds(room)
    xs, ys = zip(*plane.outline, strict=True)
    for x in grid.between(0, max(x0, min(xs)), min(x1, max(xs))):
        for y in grid.between(1, max(y0, min(ys)), min(y1, max(ys))):
            level, z = plane.height_mm(x, y), room.ceiling_z
            if level >= z and not _barred(building, room, x, y, r):
                up = Piece((x, y, z), (x, y, level + rise), Surface.ROOF)
                yield End(f"{plane.id}|{x}|{y}|{level + rise}", (i, x, y, z), (up,), plane.id)


def _barred(building: Building, room: BuiltRoom, x: int, y: int, r: int) -> bool:
    """Whether something that reaches higher than a room's ceiling is within a pipe's radius."""
    outlines = [other.outline for other in building.rooms if other.ceiling_z > room.ceiling_z]
    outlines += [k.outline for k in building.keep_outs if k.z1 > room.ceiling_z]
    boxes = [tuple(zip(*outline, strict=True)) for outline in outlines]
    return any(min(a) - r < x < max(a) + r and min(b) - r < y < max(b) + r for a, b in boxes)


def _rise(survey: Survey, plane: RoofPlane, radius: int) -> int:
    rows = table("roof_height").rows
    by_pitch = next(r.printed("height") for r in rows if plane.pitch_in_12 <= r.printed("pitch_upto"))
    site, asked = survey.site, [ceil(by_pitch * FOOT_MM - 1e-6), ceil(FOOT_MM)]
    if site.snow_depth_mm:
        sized = rule_set(site.rule_set).sized(survey.units, site.amendments, site.measuring)
        asked.append(site.snow_depth_mm + next(s.distance_mm for s in sized if s.rule.id == "SNOW"))
    return max(asked) + ceil(radius * plane.pitch_in_12 / 12 - 1e-6)
