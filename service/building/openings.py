"""Windows and doors as holes in the faces and facades they pierce."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from service.building.edges import Line, Upright, line_between
from service.building.facades import facade_line
from service.building.model import Facade, Face, Frame, Hole, Stretch
from service.building.outline import overlap
from service.survey.model import Opening, Point2, Storey

PARALLEL = 0.06
"""Sine of the angle up to which an opening lies in a wall."""
SLACK_MM = 100
"""An opening may be drawn this far off the wall that holds it [mm]."""
FACADE_REACH_MM = 600
"""An opening without a room behind belongs to a facade at most this far from it [mm]."""


@dataclass(frozen=True, slots=True)
class Pierced:
    """Faces and facades with their holes, and what did not fit."""

    faces: tuple[Face, ...]
    facades: tuple[Facade, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Placed:
    """One opening in the frame and the ids of what it pierces."""

    opening: Opening
    start: Point2
    end: Point2
    face_ids: frozenset[str]
    facade_ids: frozenset[str]


@dataclass(frozen=True, slots=True)
class _Walls:
    """Faces and facades that may be pierced, with their lines by id; ``upright``: the faces as columns."""

    faces: tuple[Face, ...]
    facades: tuple[Facade, ...]
    lines: dict[str, Line]
    upright: Upright

    def along(self, opening: Opening, start: Point2, end: Point2) -> list[Face]:
        """Faces at an opening's height that run as it does."""
        if start == end:
            return []
        beside = self.upright.beside(opening.sill_z_mm, opening.head_z_mm)
        found = beside & self.upright.parallel(line_between(start, end), PARALLEL)
        return [self.faces[i] for i in np.flatnonzero(found).tolist()]


def pierce(storeys: tuple[Storey, ...], frame: Frame, faces: tuple[Face, ...], facades: tuple[Facade, ...]) -> Pierced:
    """Holes of all openings: on both faces of an inner wall, on the face and the facade of an outer one."""
    lines = {f.id: line_between(f.start, f.end) for f in faces} | {f.id: facade_line(f) for f in facades}
    walls = _Walls(faces, facades, lines, Upright((f.z0, f.z1, lines[f.id]) for f in faces))
    placed = [_place(o, frame, walls) for storey in storeys for o in storey.openings]
    lost = sorted(p.opening.id for p in placed if not p.face_ids and not p.facade_ids)
    through: dict[str, list[_Placed]] = {}
    for p in placed:
        for owner in p.face_ids | p.facade_ids:
            through.setdefault(owner, []).append(p)
    return Pierced(
        tuple(replace(f, holes=_holes(f.length_mm, lines[f.id], through.get(f.id, ()))) for f in faces),
        tuple(replace(f, holes=_holes(None, lines[f.id], through.get(f.id, ()))) for f in facades),
        tuple(f"Opening {i} lies on no wall of any room; no rule could be applied to it." for i in lost),
    )


def _place(opening: Opening, frame: Frame, walls: _Walls) -> _Placed:
    start, end = frame.to_frame(opening.start), frame.to_frame(opening.end)
    along = walls.along(opening, start, end)
    at = {f.id: s for f in along if (s := _stretch_at(f, walls.lines[f.id], start, end)) is not None}
    outer = {s.facade_id for s in at.values() if s.facade_id is not None}
    if not outer and len(at) < 2:
        outer = {f.id for f in _nearest(walls.facades, walls.lines, start, end, opening)}
    return _Placed(opening, start, end, frozenset(at), frozenset(outer))


def _stretch_at(face: Face, line: Line, start: Point2, end: Point2) -> Stretch | None:
    """The stretch of a face along which an opening lies, None when it lies elsewhere."""
    a, b = sorted((line.along(start), line.along(end)))
    width = overlap(a, b, 0, face.length_mm)
    if width < min(SLACK_MM, (b - a) / 2):
        return None
    middle = (max(a, 0) + min(b, face.length_mm)) / 2
    stretch = next(s for s in face.stretches if middle <= s.s1)
    off = (line.out(start) + line.out(end)) / 2
    return stretch if -SLACK_MM <= off <= stretch.thickness_mm + SLACK_MM else None


def _nearest(
    facades: Iterable[Facade], lines: dict[str, Line], start: Point2, end: Point2, opening: Opening
) -> list[Facade]:
    """The facade that holds an opening with no room listed behind it, at most one."""
    if start == end:
        return []
    found = []
    for facade in facades:
        line = lines[facade.id]
        off = abs(line.out(start) + line.out(end)) / 2
        s, z = (line.along(start) + line.along(end)) / 2, (opening.sill_z_mm + opening.head_z_mm) / 2
        inside = any(r[0] <= s <= r[1] and r[2] <= z <= r[3] for r in facade.spans)
        if abs(line_between(start, end).cross(line)) <= PARALLEL and off <= FACADE_REACH_MM and inside:
            found.append((off, facade.id, facade))
    return [min(found)[2]] if found else []


def _holes(length: int | None, line: Line, placed: Iterable[_Placed]) -> tuple[Hole, ...]:
    """Holes of one face (clipped to its length) or facade (whole), sorted by place."""
    holes = [_hole(p, line, length) for p in placed]
    return tuple(sorted(holes, key=lambda h: (h.s0, h.z0, h.s1, h.z1, h.opening_id)))


def _hole(placed: _Placed, line: Line, length: int | None) -> Hole:
    o = placed.opening
    s0, s1 = sorted((round(line.along(placed.start)), round(line.along(placed.end))))
    if length is not None:
        s0, s1 = max(s0, 0), min(s1, length)
    return Hole(o.id, o.kind, o.operable, s0, s1, o.sill_z_mm, o.head_z_mm)
