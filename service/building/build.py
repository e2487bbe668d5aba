"""From a survey to the house: one frame, wall faces, facades, grade, holes."""

from __future__ import annotations

from service.building.edges import Edge, build_edges, build_rooms, ordered_storeys
from service.building.facades import named, outer_planes
from service.building.faces import build_faces, unreached
from service.building.facts import wall_facts
from service.building.frame import dominant_frame, square
from service.building.grade import with_grade
from service.building.model import Building, Frame, Prism
from service.building.openings import pierce
from service.building.outline import Outlines
from service.building.parts import CellsByEdge, outer_parts
from service.building.roof import roof_openings, roof_planes
from service.building.walls import EXTERIOR_THICKNESS_MM, SHORT_MM, cells_of, facing
from service.phrases import mm, phrase, text
from service.progress import step
from service.survey.model import Storey, Survey, UnitSystem

VOID = " along, lies neither a listed room nor the outdoors: taken as closed."


def build(survey: Survey) -> Building:
    """The house of a survey in its own frame [mm], the same for every order of the survey's lists.

    Storey numbers count from the lowest floor up. Nothing is repaired silently: walls that were
    squared, voids that were closed and openings that fit nowhere are in ``warnings``.
    """
    step("building the house")
    frame = dominant_frame(survey)
    storeys = ordered_storeys(survey)
    rooms, moved = build_rooms(survey, frame)
    edges = build_edges(rooms, storeys)
    facts = wall_facts(storeys, frame)
    outlines = Outlines(rooms, storeys)
    cells = {
        e.id: cells_of(e, others, facts[e.room.storey], outlines)
        for e, others in zip(edges, facing(edges), strict=True)
    }
    planes = outer_planes(outer_parts(edges, cells), outlines)
    facades = tuple(with_grade(f, survey.site, frame) for f in named(planes))
    faces = build_faces(edges, cells, facades)
    pierced = pierce(storeys, frame, faces, facades)
    keep_outs = _keep_outs(storeys, frame)
    told = (*_voids(edges, cells, survey.units), *unreached(edges, cells, faces, survey.units))
    roof = roof_planes(survey, frame, rooms, pierced.facades, keep_outs)
    return Building(
        frame=frame,
        rooms=rooms,
        faces=pierced.faces,
        facades=pierced.facades,
        keep_outs=keep_outs,
        chases=_chases(survey, frame),
        warnings=(*moved, *told, *pierced.warnings),
        assumptions=_assumed(edges, cells, survey.units),
        roof=roof,
        roof_openings=roof_openings(survey.roof, frame, roof),
    )


def _keep_outs(storeys: tuple[Storey, ...], frame: Frame) -> tuple[Prism, ...]:
    found = [
        Prism(k.id, k.kind, number, square(k.outline, frame)[0], k.base_z_mm, k.top_z_mm)
        for number, storey in enumerate(storeys)
        for k in storey.keep_outs
    ]
    return tuple(sorted(found, key=lambda p: (p.storey or 0, p.outline[0][::-1], p.outline, p.z0, p.z1, p.id)))


def _chases(survey: Survey, frame: Frame) -> tuple[Prism, ...]:
    found = [Prism(c.id, None, None, square(c.outline, frame)[0], c.base_z_mm, c.top_z_mm) for c in survey.chases]
    return tuple(sorted(found, key=lambda p: (p.outline[0][::-1], p.outline, p.z0, p.z1, p.id)))


def _voids(edges: tuple[Edge, ...], cells: CellsByEdge, units: UnitSystem) -> list[str]:
    return [
        text(phrase(f"Behind wall {e.id}, ", mm(c.s0), " to ", mm(c.s1), VOID), units)
        for e in edges
        for c in cells[e.id]
        if c.void and c.s1 - c.s0 >= SHORT_MM
    ]


def _assumed(edges: tuple[Edge, ...], cells: CellsByEdge, units: UnitSystem) -> tuple[str, ...]:
    count = sum(any(c.assumed for c in cells[e.id]) for e in edges)
    if not count:
        return ()
    told = phrase(f"Thickness of {count} exterior wall faces not given: taken as ", mm(EXTERIOR_THICKNESS_MM), ".")
    return (text(told, units),)
