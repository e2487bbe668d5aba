"""Where a heater may not be because of others that hang already: told as zones, so that a search sees them like rules.

Each side is looked at both ways: what stands in this case's space, and whether this case stands in the other's. So it
is with the ends of vents (``neighbour_ends``).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from service.building.model import Building, Face, Prism
from service.clearance.model import FAR_MM, TerminalSpec, Zone, spec_of
from service.clearance.mount import face_zones
from service.clearance.outdoor_pairs import body_of
from service.clearance.plane import face_plane
from service.clearance.strips import prism_within
from service.design import KEEP_OUT_REACH_MM, Design, Piece, Route, Surface
from service.rules.mounting import SizedMountRule
from service.siting.neighbour_ends import EndsApart, intake_radius_mm
from service.siting.roof import surfaces_of
from service.survey.equipment import Heater
from service.survey.intake_listing import IntakeSide
from service.survey.model import KeepOutKind, Survey

CASE, WORK = "dwelling_cases_apart", "dwelling_working_space"
"""Stand for rules in zones that keep two heaters apart bodily; the checker judges by the rules themselves."""
ON_WALL = (Surface.WALL, Surface.WALL_FINISHED)
LEAVING = (Surface.WALL_CROSSING, Surface.FLOOR_CROSSING, Surface.CHASE)
BySurface = dict[str, list[Zone]]


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Another dwelling's heater as its design has it; of a design that is settled in part the case, the terminals or
    the runs alone."""

    id: str
    design: Design
    has_case: bool = True
    has_ends: bool = True
    has_runs: bool = True


def case_of(building: Building, neighbour: Neighbour) -> Prism:
    """Its case as a thing in the room, or before the wall."""
    heater, mount = neighbour.design.heater, neighbour.design.mount
    if neighbour.design.outdoors:
        return body_of(building, neighbour.id, heater, mount).prism()
    face = building.face(mount.face_id)
    left, right = mount.s_mm + heater.vent_dx_mm, mount.s_mm + heater.vent_dx_mm - heater.width_mm
    z0 = mount.bottom_z_mm
    return box_before(f"case of {neighbour.id}", face, (right, left), (0, heater.depth_mm), (z0, z0 + heater.height_mm))


def box_before(name: str, face: Face, s: tuple[int, int], n: tuple[int, int], z: tuple[int, int]) -> Prism:
    """A box before a face as a thing in the room: distances along it, off it, and heights [mm]."""
    plane = face_plane(face)
    outline = tuple(plane.point(a, b) for a, b in ((s[0], n[0]), (s[1], n[0]), (s[1], n[1]), (s[0], n[1])))
    return Prism(name, KeepOutKind.OTHER, face.storey, outline, *z)


class Apart:
    """Zones that one neighbour's heater makes for another heater, each kind of heater's once."""

    def __init__(self, survey: Survey, building: Building, neighbour: Neighbour, work: SizedMountRule | None) -> None:
        """``work`` is the rule on working space that the neighbour falls under, None if there is none."""
        self._other, self._work = neighbour, work
        self._case = case_of(building, neighbour)
        self._survey = survey
        self._vent = EndsApart(survey, building, neighbour.id, neighbour.design)
        open_walls = tuple(replace(f, holes=()) for f in building.facades)
        self._bare = replace(building, facades=open_walls, keep_outs=(self._case,))
        self._ends: dict[tuple[TerminalSpec, int, IntakeSide | None], BySurface] = {}
        self._outside: dict[str, BySurface] = {}
        self._mounts: dict[tuple[str, str], tuple[Zone, ...]] = {}

    def terminal(self, heater: Heater, side: IntakeSide | None) -> BySurface:
        """Zones of the centre of a heater's exhaust by facade and roof plane."""
        key = (spec_of(heater), intake_radius_mm(heater), side)
        if key not in self._ends:
            found: BySurface = {f.id: [] for f in surfaces_of(self._bare)}
            for zone in self._vent.zones(heater, side) if self._other.has_ends else ():
                found[zone.surface_id].append(zone)
            self._ends[key] = found
        return self._ends[key]

    def outdoors(self, heater: Heater) -> BySurface:
        """Zones of a heater outdoors by facade: all that the neighbour has, case and ends, is in its way there."""
        if heater.id not in self._outside:
            found: BySurface = {f.id: [] for f in self._bare.facades}
            for zone in self._vent.outdoors(heater):
                found[zone.surface_id].append(zone)
            self._outside[heater.id] = found
        return self._outside[heater.id]

    def mount(self, heater: Heater, face: Face, rules: tuple[SizedMountRule, ...]) -> tuple[Zone, ...]:
        """Zones of a heater's case on a face."""
        key = (heater.label, face.id)
        if key not in self._mounts:
            is_inside = self._other.has_case and not self._other.design.outdoors
            case = (*self._of_case(heater, face, rules), *self._in_its_space(heater, face)) if is_inside else ()
            runs = tuple(self._on_its_runs(heater, face)) if self._other.has_runs else ()
            self._mounts[key] = (*case, *runs)
        return self._mounts[key]

    def _of_case(self, heater: Heater, face: Face, rules: tuple[SizedMountRule, ...]) -> Iterator[Zone]:
        """The other's case stands in the space that the heater asks for."""
        zones = face_zones(self._bare, self._survey, heater, face, rules)
        return (z for z in zones if z.object_id == self._case.id)

    def _in_its_space(self, heater: Heater, face: Face) -> Iterator[Zone]:
        """The case would stand in the other's listed space or working space."""
        for prism in self._spaces():
            for a, b in prism_within(face_plane(face), face.length_mm, prism.outline, 0, heater.depth_mm):
                yield _case_zone(face, heater, (a, b), (prism.z0, prism.z1), WORK, self._other.id)

    def _spaces(self) -> Iterator[Prism]:
        heater, mount = self._other.design.heater, self._other.design.mount
        free, face = heater.clearances, self._bare.face(mount.face_id)
        left, right = mount.s_mm + heater.vent_dx_mm, mount.s_mm + heater.vent_dx_mm - heater.width_mm
        z0, z1, deep = mount.bottom_z_mm, mount.bottom_z_mm + heater.height_mm, heater.depth_mm
        around = (right - free.right_mm, left + free.left_mm)
        yield box_before("around", face, around, (0, deep), (z0 - free.bottom_mm, z1 + free.top_mm))
        if free.front_mm:
            yield box_before("in front", face, (right, left), (deep, deep + free.front_mm), (-FAR_MM, z1))
        if self._work is not None:
            start = (right + left - self._work.width_mm) // 2
            across = (start, start + self._work.width_mm)
            yield box_before("work", face, across, (deep, deep + self._work.distance_mm), (-FAR_MM, z1))

    def _on_its_runs(self, heater: Heater, face: Face) -> Iterator[Zone]:
        """The case would hang on the other's pipes."""
        for route in self._other.design.routes:
            for piece in route.pieces if may_lie_on(route, self._other.design, self._bare, face) else ():
                if piece.surface in ON_WALL and (span := _span_on(face, piece)):
                    z0, z1 = sorted((piece.start[2], piece.end[2]))
                    yield _case_zone(face, heater, span, (z0, z1), CASE, f"{route.service} of {self._other.id}")


def may_lie_on(route: Route, design: Design, building: Building, face: Face) -> bool:
    """Whether a run may lie on a face for all that its rooms tell: one that leaves its heater's room by nothing lies on
    walls of that room alone, also where one without thickness is another room's as well."""
    leaves = design.outdoors or any(piece.surface in LEAVING for piece in route.pieces)
    return leaves or building.face(design.mount.face_id).room_id == face.room_id


def _case_zone(face: Face, heater: Heater, s: tuple[int, int], z: tuple[int, int], rule: str, object_id: str) -> Zone:
    """Places of the case (vent port's line, underside) at which it would meet an open box of the face."""
    left, right = heater.vent_dx_mm, heater.width_mm - heater.vent_dx_mm
    return Zone(face.id, s[0] - left, s[1] + right, z[0] - heater.height_mm, z[1], 0, rule, object_id)


def _span_on(face: Face, piece: Piece) -> tuple[int, int] | None:
    """Distances along a face between which a piece lies on it; None if it is elsewhere."""
    placed = [face_plane(face).place((p[0], p[1])) for p in (piece.start, piece.end)]
    if not all(-1 < n < KEEP_OUT_REACH_MM for _, n in placed):
        return None
    along = sorted(round(s) for s, _ in placed)
    return along[0], along[1]
