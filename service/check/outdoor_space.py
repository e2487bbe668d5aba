"""What lies behind, beside, below and in front of a case outdoors, taken from the survey anew."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from shapely import box, unary_union

from service.building.model import Behind, Prism
from service.check.leaves import swept
from service.check.measure import along_mm, interval_gap, point_segment_gap2
from service.check.outside import Box, Outside
from service.rules.mounting import WALL_SLACK_MM
from service.rules.rulesets import INLET_REACH_MM
from service.survey.model import AirInlet, OpeningKind, Point2, WayKind

PUBLIC = (WayKind.PUBLIC_WALKWAY, WayKind.PUBLIC_DRIVEWAY, WayKind.SHARED_DRIVEWAY)


def on_spans(case: Outside) -> bool:
    """Whether the whole case lies before wall."""
    wall = unary_union([box(s0, z0, s1, z1) for s0, s1, z0, z1 in case.facade.spans])
    return bool(wall.covers(box(case.s0, case.z0, case.s1, case.z1)))


def behind(case: Outside, s: tuple[int, int], z: tuple[int, int]) -> Iterator[str]:
    """Openings and air inlets of the facade within a box of it."""
    things = [(f"opening {h.opening_id}", h.s0, h.s1, h.z0, h.z1) for h in case.facade.holes]
    things += [t for i in case.survey.site.air_inlets for t in _inlet(case, i)]
    return (name for name, s0, s1, z0, z1 in things if s0 < s[1] and s1 > s[0] and z0 < z[1] and z1 > z[0])


def _inlet(case: Outside, inlet: AirInlet) -> Iterator[tuple[str, int, int, int, int]]:
    """The inlet where it lies in the case's own facade."""
    (at,) = case.framed(inlet.at)
    gaps = [(point_segment_gap2(at, f.start, f.end), f.id) for f in case.building.facades]
    if min(gaps) == (point_segment_gap2(at, case.facade.start, case.facade.end), case.facade.id) and (
        min(gaps)[0] <= INLET_REACH_MM**2
    ):
        s, low = along_mm(case.facade, at), inlet.width_mm // 2
        yield f"air inlet {inlet.id}", s - low, s + inlet.width_mm - low, inlet.bottom_z_mm, inlet.top_z_mm


def around(case: Outside) -> list[str]:
    """What stands in the case's side and top clearances."""
    free, depth = case.listing.clearances, case.design.heater.depth_mm
    s0, s1, top = case.s0 - free.left_mm, case.s1 + free.right_mm, case.z1 + free.top_mm
    return _standing(case, (s0, s1, WALL_SLACK_MM, depth), (s0, s1, 0, depth), (case.z0, top))


def ahead(case: Outside) -> list[str]:
    """What stands in the case's front clearance."""
    depth = case.design.heater.depth_mm
    front = case.s0, case.s1, depth, depth + case.listing.clearances.front_mm
    return _standing(case, front, front, (case.z0, case.z1))


def _standing(case: Outside, for_walls: Box, for_decks: Box, z: tuple[int, int]) -> list[str]:
    found = [name for name, z0, z1 in case.walls(for_walls) if z0 < z[1] and z1 > z[0]]
    found += [d.id for d in case.decks(for_decks) if d.underside_z_mm < z[1] and d.top_z_mm > z[0]]
    found += [k.id for k in _cases(case, for_decks) if k.z0 < z[1] and k.z1 > z[0]]
    return [f"{name} stands in it" for name in found]


def _cases(case: Outside, where: Box) -> Iterator[Prism]:
    """Cases of other heaters outdoors, which stand in no storey, in a box before the facade."""
    return (k for k in case.building.keep_outs if k.storey is None and case.overlaps(k.outline, where))


def level_mm(case: Outside) -> int:
    """Highest ground below the case, decks included that do not begin above its underside [mm]."""
    grades = [g.z for g in case.facade.grade if g.s0 < case.s1 and g.s1 > case.s0]
    decks = [d.top_z_mm for d in case.decks(case.footprint) if not d.is_eave and d.underside_z_mm < case.z0]
    return max([*grades, *decks], default=max(g.z for g in case.facade.grade))


def to_edges_mm(case: Outside, s: int, z: int) -> int:
    """From a place of the facade to the nearest edge of the room's face behind it, -1 where there is none [mm]."""
    free = [-1]
    for face in case.building.faces:
        for t in face.stretches:
            at = s - t.facade_s0 + t.s0
            if t.behind is Behind.OUTDOORS and t.facade_id == case.facade.id and t.s0 <= at <= t.s1:
                free.append(min(at, face.length_mm - at, z - face.z0, face.z1 - z))
    return max(free)


def gap2(case: Outside, at: Point2, z: int) -> Fraction:
    """Squared distance of a point from the case [mm2]."""
    s, n = case.place(at)
    gaps = (
        interval_gap(s, s, case.s0, case.s1), interval_gap(n, n, 0, case.design.heater.depth_mm),
        interval_gap(z, z, case.z0, case.z1),
    )  # fmt: skip
    return Fraction(sum(g * g for g in gaps))


def ways(case: Outside) -> tuple[list[str], list[str]]:
    """Public ways and shared driveways that the case reaches over, and private ways that it does."""
    below = [w for w in case.survey.site.ways if w.surface_z_mm < case.z1]
    below = [w for w in below if case.overlaps(case.framed(*w.outline), case.footprint)]
    over = [f"the case reaches over {w.kind} {w.id}" for w in below if w.kind in PUBLIC]
    return over, [w.id for w in below if w.kind not in PUBLIC]


def swings_into(case: Outside) -> Iterator[tuple[str, bool]]:
    """Doors whose leaf swings through the case, and whether that is known."""
    swings = {o.id: o.swings_out for storey in case.survey.storeys for o in storey.openings}
    for facade in case.building.facades:
        for h in facade.holes:
            out = swings.get(h.opening_id)
            turns = h.kind is OpeningKind.DOOR and out is not False or h.kind is OpeningKind.GARAGE_DOOR and out is True
            level = h.z0 < case.z1 and h.z1 > case.z0
            if turns and level and case.overlaps(swept(facade, h.s0, h.s1), case.footprint):
                yield h.opening_id, out is True


def lot_lines(case: Outside, where: Box) -> Iterator[str]:
    """Lot lines through a box; one along the facade itself counts."""
    s0, s1, near, far = where
    near = -WALL_SLACK_MM if near == 0 else near
    lines = ((x.id, case.framed(x.start, x.end)) for x in case.survey.site.lot_lines)
    return (name for name, (a, b) in lines if case.enters(a, b, (s0, s1, near, far)))


def in_working_space(case: Outside, deep: int, wide: int) -> list[str]:
    """What stands in the space in front of the case, as wide as told and centred on it, from the ground to its top."""
    spare = wide - (case.s1 - case.s0)
    half = -(-abs(spare) // 2) if spare > 0 else -(abs(spare) // 2)
    depth = case.design.heater.depth_mm
    space = case.s0 - half, case.s1 + half, depth, depth + deep
    found = [name for name, z0, _ in case.walls(space) if z0 < case.z1]
    found += [d.id for d in case.decks(space) if d.underside_z_mm < case.z1 and d.top_z_mm > case.z0]
    found += [f"lot line {x}" for x in lot_lines(case, space)]
    found += [k.id for k in _cases(case, space) if k.z0 < case.z1]
    return [f"{name} stands in it" for name in found]
