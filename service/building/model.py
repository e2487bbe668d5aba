"""The house as the later steps see it: one frame, whole millimetres, faces and facades.

The frame turns the survey's plan so that most walls run along its x or y axis. All coordinates
below are in the frame; ``Frame`` carries points to and fro.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import cos, sin

from service.building.roof_model import BuiltRoofOpening, RoofPlane
from service.survey.model import KeepOutKind, OpeningKind, Point2, Point3, RoomUse


@dataclass(frozen=True, slots=True)
class Frame:
    """Rotation from survey axes to the frame: turn by ``-angle_rad`` about the origin."""

    angle_rad: float

    def to_frame(self, p: Point2) -> Point2:
        """Survey plan point [mm] -> frame plan point [mm]."""
        c, s = cos(self.angle_rad), sin(self.angle_rad)
        return round(c * p[0] + s * p[1]), round(-s * p[0] + c * p[1])

    def to_survey(self, p: Point2) -> Point2:
        """Frame plan point [mm] -> survey plan point [mm]."""
        c, s = cos(self.angle_rad), sin(self.angle_rad)
        return round(c * p[0] - s * p[1]), round(s * p[0] + c * p[1])

    def to_frame3(self, p: Point3) -> Point3:
        """As ``to_frame``, keeping z."""
        return (*self.to_frame((p[0], p[1])), p[2])

    def to_survey3(self, p: Point3) -> Point3:
        """As ``to_survey``, keeping z."""
        return (*self.to_survey((p[0], p[1])), p[2])


class Behind(StrEnum):
    """What lies behind a stretch of an inside wall face."""

    OUTDOORS = "outdoors"
    ROOM = "room"
    PARTY = "party"
    EARTH = "earth"


@dataclass(frozen=True, slots=True)
class Hole:
    """Opening in a face or facade: [s0, s1] x [z0, z1], z absolute [mm]."""

    opening_id: str
    kind: OpeningKind
    operable: bool | None
    s0: int
    s1: int
    z0: int
    z1: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """Part [s0, s1] of a face with one thing behind it.

    OUTDOORS/EARTH: ``facade_id`` names the facade, and facade distance = ``facade_s0 + (s - s0)``.
    ROOM: ``face_id`` names the face on the other side (whose plane may coincide with this one).
    EARTH means that the whole height is below grade; a part-buried wall is OUTDOORS.
    """

    s0: int
    s1: int
    behind: Behind
    thickness_mm: int
    facade_id: str | None = None
    facade_s0: int = 0
    face_id: str | None = None


@dataclass(frozen=True, slots=True)
class Face:
    """Inside of one straight wall of one room; the room lies left of start -> end.

    ``axis`` is 0 for a wall along x, 1 along y, None for a skew wall. Standing in the room and
    looking at the wall, s grows from right to left.
    """

    id: str
    room_id: str
    storey: int
    start: Point2
    end: Point2
    axis: int | None
    length_mm: int
    z0: int
    z1: int
    stretches: tuple[Stretch, ...]
    holes: tuple[Hole, ...]

    def point(self, s_mm: int) -> Point2:
        """Plan point at distance ``s_mm`` from ``start`` [mm]."""
        f = s_mm / self.length_mm
        return (
            round(self.start[0] + f * (self.end[0] - self.start[0])),
            round(self.start[1] + f * (self.end[1] - self.start[1])),
        )


@dataclass(frozen=True, slots=True)
class GradeStep:
    """Highest finished ground along [s0, s1] of a facade [mm]."""

    s0: int
    s1: int
    z: int


@dataclass(frozen=True, slots=True)
class Facade:
    """One outer plane of the house: all exterior wall in one line, all storeys.

    Outside lies right of start -> end; seen from outside, s grows from left to right.
    ``grade`` covers [0, length] without gaps. ``spans`` are the parts that are wall:
    (s0, s1, z0, z1).
    """

    id: str
    start: Point2
    end: Point2
    axis: int | None
    length_mm: int
    spans: tuple[tuple[int, int, int, int], ...]
    holes: tuple[Hole, ...]
    grade: tuple[GradeStep, ...]

    def point(self, s_mm: int) -> Point2:
        """Plan point at distance ``s_mm`` from ``start`` [mm]; may lie beyond the ends."""
        f = s_mm / self.length_mm
        return (
            round(self.start[0] + f * (self.end[0] - self.start[0])),
            round(self.start[1] + f * (self.end[1] - self.start[1])),
        )


@dataclass(frozen=True, slots=True)
class BuiltRoom:
    """Room in the frame."""

    id: str
    storey: int
    use: RoomUse
    finished: bool
    outline: tuple[Point2, ...]
    floor_z: int
    ceiling_z: int
    opens_only_into: str | None

    @property
    def area_mm2(self) -> float:
        """Plan area [mm2]."""
        o = self.outline
        return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(o, o[1:] + o[:1], strict=True))) / 2

    @property
    def volume_m3(self) -> float:
        """Room volume [m3]."""
        return self.area_mm2 * (self.ceiling_z - self.floor_z) * 1e-9


@dataclass(frozen=True, slots=True)
class Prism:
    """Vertical prism in the frame: keep-out, chase, deck."""

    id: str
    kind: KeepOutKind | None
    storey: int | None
    outline: tuple[Point2, ...]
    z0: int
    z1: int


@dataclass(frozen=True, slots=True)
class Building:
    """The house in its frame. Tuples are sorted by place, so list order in the survey is nothing. ``others_rooms``:
    those that a dwelling may not use, in the building as it has it."""

    frame: Frame
    rooms: tuple[BuiltRoom, ...]
    faces: tuple[Face, ...]
    facades: tuple[Facade, ...]
    keep_outs: tuple[Prism, ...]
    chases: tuple[Prism, ...]
    warnings: tuple[str, ...]
    assumptions: tuple[str, ...]
    roof: tuple[RoofPlane, ...] = ()
    roof_openings: tuple[BuiltRoofOpening, ...] = ()
    others_rooms: tuple[BuiltRoom, ...] = ()

    def room(self, room_id: str) -> BuiltRoom:
        """Room by id; KeyError when there is none."""
        for r in self.rooms:
            if r.id == room_id:
                return r
        raise KeyError(room_id)

    def face(self, face_id: str) -> Face:
        """Face by id; KeyError when there is none."""
        for f in self.faces:
            if f.id == face_id:
                return f
        raise KeyError(face_id)

    def roof_plane(self, plane_id: str) -> RoofPlane:
        """Roof plane by id; KeyError when there is none."""
        for p in self.roof:
            if p.id == plane_id:
                return p
        raise KeyError(plane_id)

    def facade(self, facade_id: str) -> Facade:
        """Facade by id; KeyError when there is none."""
        for f in self.facades:
            if f.id == facade_id:
                return f
        raise KeyError(facade_id)
