"""Inside wall faces with their stretches tied to the facades."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from service.building.edges import Edge, Line
from service.building.facades import PLANE_MM, facade_line
from service.building.model import Behind, Facade, Face, Stretch
from service.building.outline import overlap
from service.building.parts import CellsByEdge
from service.building.walls import Cell
from service.phrases import mm, phrase, text
from service.survey.model import UnitSystem

Planes = Sequence[tuple[Facade, Line]]
"""Facades with their lines."""
IN_CORNER = " along, lies within another wall's corner: taken as closed."


def build_faces(edges: tuple[Edge, ...], cells: CellsByEdge, facades: tuple[Facade, ...]) -> tuple[Face, ...]:
    """One face an edge, without holes yet, in the order of the edges."""
    planes = [(f, facade_line(f)) for f in facades]
    return tuple(_face(e, tuple(s for c in cells[e.id] for s in _stretches(e, c, planes))) for e in edges)


def unreached(edges: tuple[Edge, ...], cells: CellsByEdge, faces: tuple[Face, ...], units: UnitSystem) -> list[str]:
    """Outer wall that ended on no facade and was closed, as warnings."""
    return [
        text(phrase(f"Outer wall {e.id}, ", mm(c.s0), " to ", mm(c.s1), IN_CORNER), units)
        for e, face in zip(edges, faces, strict=True)
        for c in cells[e.id]
        if c.behind is Behind.OUTDOORS and any(s.s0 == c.s0 and s.behind is Behind.PARTY for s in face.stretches)
    ]


def _face(edge: Edge, stretches: tuple[Stretch, ...]) -> Face:
    return Face(
        id=edge.id,
        room_id=edge.room.id,
        storey=edge.room.storey,
        start=edge.start,
        end=edge.end,
        axis=edge.axis,
        length_mm=edge.length_mm,
        z0=edge.z0,
        z1=edge.z1,
        stretches=stretches,
        holes=(),
    )


def _stretches(edge: Edge, cell: Cell, planes: Planes) -> list[Stretch]:
    if cell.behind is not Behind.OUTDOORS:
        return [Stretch(cell.s0, cell.s1, cell.behind, cell.thickness_mm, face_id=cell.face_id)]
    found = _facade_beyond(edge, cell, planes)
    if found is None:
        return [Stretch(cell.s0, cell.s1, Behind.PARTY, cell.thickness_mm)]
    facade, line = found
    at = round(line.along(edge.line.at(cell.s0)))
    whole = Stretch(cell.s0, cell.s1, Behind.OUTDOORS, cell.thickness_mm, facade.id, at)
    return _joined(list(_by_ground(whole, facade, edge.z1)))


def _facade_beyond(edge: Edge, cell: Cell, planes: Planes) -> tuple[Facade, Line] | None:
    best: tuple[float, tuple[Facade, Line]] | None = None
    for facade, line in planes:
        off = line.out(edge.line.at((cell.s0 + cell.s1) / 2, cell.thickness_mm))
        if line.dot(edge.line) < 0.999 or abs(off) > PLANE_MM + 2:
            continue
        shift = line.along(edge.line.origin)
        common = overlap(cell.s0 + shift, cell.s1 + shift, 0, facade.length_mm)
        if common > 0 and (best is None or common > best[0]):
            best = common, (facade, line)
    return best[1] if best else None


def _by_ground(stretch: Stretch, facade: Facade, ceiling_z: int) -> Iterator[Stretch]:
    """The stretch cut at the facade's grade steps; EARTH where the ground reaches the ceiling."""
    for step in facade.grade:
        first, last = step.s0 == 0, step.s1 == facade.length_mm
        s0 = stretch.s0 if first else max(stretch.s0, step.s0 - stretch.facade_s0 + stretch.s0)
        s1 = stretch.s1 if last else min(stretch.s1, step.s1 - stretch.facade_s0 + stretch.s0)
        if s0 < s1:
            behind = Behind.EARTH if step.z >= ceiling_z else Behind.OUTDOORS
            yield replace(stretch, s0=s0, s1=s1, behind=behind, facade_s0=stretch.facade_s0 + s0 - stretch.s0)


def _joined(parts: list[Stretch]) -> list[Stretch]:
    out: list[Stretch] = []
    for part in parts:
        if out and out[-1].behind is part.behind:
            out[-1] = replace(out[-1], s1=part.s1)
        else:
            out.append(part)
    return out
