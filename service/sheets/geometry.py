"""House and installation as features in local metres, in the shape of GeoJSON but not geographic.

RFC 7946 has coordinates on the globe only, hence a media type and a statement of our own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, sin
from typing import Any

from service.building.model import Building, Facade
from service.design import Design, Part, RoofTerminal, Terminal
from service.sheets.ground import off_line, strip
from service.sheets.hatching import face_of
from service.sheets.old_pipes import old_pipes
from service.sheets.shared_holes import through
from service.sheets.subject import Subject
from service.sheets.surface import rings_of
from service.usecases.pictured import Installed
from service.usecases.results import SurfaceRegions

MEDIA_TYPE = "application/vnd.heater-siting.geometry+json"
NOTE = (
    "Not geographic: coordinates are metres in the survey's own axes (x, y in plan, y north; z up, the survey's "
    "datum). The document has the shape of GeoJSON (RFC 7946) but must not be read as positions on the globe."
)
DECIMALS = 4
Json = dict[str, Any]
Xyz = tuple[float, float, float]


def geometry(subject: Subject) -> Json:
    """The whole document; every coordinate is in metres."""
    made = _Made(subject.building.frame.angle_rad)
    features = [*_house(subject.building, made), *_facades(subject, made)]
    for one in subject.installed:
        features += _installation(subject.building, one.design, made, _whose(one))
    features += [made.line("shared_hole", (h.start, h.end), service=h.service.value, through=through(h),
                           dwellings=[one.dwelling for one in passing])
                 for h, passing in subject.holes().items()]  # fmt: skip
    features += [made.line("pipe", p.points, of=p.layer.value, size=p.words) for p in old_pipes(subject)]
    return {
        "type": "FeatureCollection",
        "coordinate_system": {"geographic": False, "unit": "m", "axes": ["x", "y (north)", "z (up)"], "note": NOTE},
        "name": subject.survey.name,
        "verdict": subject.verdict,
        "features": features,
    }


class _Made:
    """Features from points of the frame in millimetres."""

    def __init__(self, angle_rad: float) -> None:
        self._turn = cos(angle_rad), sin(angle_rad)

    def point(self, p: Xyz) -> list[float]:
        c, s = self._turn
        return [_m(c * p[0] - s * p[1]), _m(s * p[0] + c * p[1]), _m(p[2])]

    def feature(self, kind: str, shape: str, coordinates: object, **told: object) -> Json:
        return {
            "type": "Feature",
            "geometry": {"type": shape, "coordinates": coordinates},
            "properties": {"kind": kind, **told},
        }

    def polygon(self, kind: str, rings: Sequence[Sequence[Xyz]], **told: object) -> Json:
        closed = [[self.point(p) for p in (*ring, ring[0])] for ring in rings]
        return self.feature(kind, "Polygon", closed, **told)

    def line(self, kind: str, points: Sequence[Xyz], **told: object) -> Json:
        return self.feature(kind, "LineString", [self.point(p) for p in points], **told)

    def spot(self, kind: str, at: Xyz, **told: object) -> Json:
        return self.feature(kind, "Point", self.point(at), **told)


def _m(mm: float) -> float:
    return round(mm / 1000, DECIMALS) + 0.0


def _house(building: Building, made: _Made) -> Iterator[Json]:
    for room in building.rooms:
        ring = [(x, y, room.floor_z) for x, y in room.outline]
        yield made.polygon(
            "room", [ring], id=room.id, use=room.use.value, storey=room.storey, ceiling=_m(room.ceiling_z)
        )
    for thing in building.keep_outs:
        ring = [(x, y, thing.z0) for x, y in thing.outline]
        yield made.polygon("keep_out", [ring], id=thing.id, of=str(thing.kind), top=_m(thing.z1))


def _facades(subject: Subject, made: _Made) -> Iterator[Json]:
    building = subject.building
    for facade in building.facades:
        z = min((g.z for g in facade.grade), default=0)
        yield made.line("facade", [(*facade.start, z), (*facade.end, z)], id=facade.id)
        for hole in facade.holes:
            ring = [_on(facade, s, t) for s, t in _box(hole.s0, hole.s1, hole.z0, hole.z1)]
            yield made.polygon("opening", [ring], id=hole.opening_id, of=hole.kind.value, operable=hole.operable)
    for one, surfaces in subject.views():
        for regions in surfaces:
            if regions.kind == "facade":
                yield from _free(building.facade(regions.surface_id), regions, made, _whose(one))


def _whose(one: Installed | None) -> Json:
    """Names the dwelling, where there are several."""
    return {"dwelling": one.dwelling} if one is not None and one.dwelling else {}


def _free(facade: Facade, regions: SurfaceRegions, made: _Made, whose: Json) -> Iterator[Json]:
    """Where the terminal's centre may be."""
    face = face_of(regions.free_rings)
    for part in getattr(face, "geoms", [face]):
        rings = [[_on(facade, s, z) for s, z in ring] for ring in rings_of(part)]
        if rings:
            yield made.polygon("terminal_may_be", rings, facade=facade.id, applies_to=regions.applies_to, **whose)


def _installation(building: Building, design: Design, made: _Made, whose: Json) -> Iterator[Json]:
    """Everything of one heater; ``whose`` names its dwelling."""
    if design.has(Part.MOUNT):
        yield _case(building, design, made, whose)
    for route in design.routes:
        points = [route.pieces[0].start, *(p.end for p in route.pieces)]
        told = {"option": route.option, "ends_at": route.end_id, "length": _m(route.length_mm), "elbows": route.elbows}
        yield made.line("run", points, service=route.service.value, **told, **whose)
    if design.has(Part.TERMINAL):
        yield made.spot("terminal", _ending(building, design.terminal), outdoors_case=design.outdoors, **whose)
    if design.intake is not None:
        yield made.spot("intake", _ending(building, design.intake), **whose)


def _case(building: Building, design: Design, made: _Made, whose: Json) -> Json:
    """Plan of the case at its underside."""
    heater, mount = design.heater, design.mount
    if mount.facade_id:
        wall, side = building.facade(mount.facade_id), -1.0
        left = mount.s_mm - heater.line_dx_mm(outdoors=True)
        ends = (left, left + heater.width_mm)
        ring = strip(wall.start, wall.end, ends, (0, side * heater.depth_mm))
    else:
        face = building.face(mount.face_id)
        left = mount.s_mm + heater.vent_dx_mm
        ring = strip(face.start, face.end, (left - heater.width_mm, left), (0, heater.depth_mm))
    told = {"id": heater.id, "underside": _m(mount.bottom_z_mm), "height": _m(heater.height_mm)}
    return made.polygon("heater", [[(x, y, mount.bottom_z_mm) for x, y in ring]], **told, **whose)


def _ending(building: Building, place: Terminal | RoofTerminal) -> Xyz:
    if isinstance(place, RoofTerminal):
        return place.x_mm, place.y_mm, place.z_mm
    facade = building.facade(place.facade_id)
    x, y = off_line(facade.start, facade.end, place.s_mm, 0)
    return x, y, place.z_mm


def _on(facade: Facade, s: float, z: float) -> Xyz:
    x, y = off_line(facade.start, facade.end, s, 0)
    return x, y, z


def _box(s0: float, s1: float, z0: float, z1: float) -> tuple[tuple[float, float], ...]:
    return (s0, z0), (s1, z0), (s1, z1), (s0, z1)
