"""Faults of outlines, by themselves and against one another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.validation import explain_validity

from service.errors import Fault
from service.survey.model import Point2, Survey
from service.survey.roof_checks import roof_outlines

HAIRLINE_MM = 20
"""Depth up to which an overlap of rooms is a slip of the pen, told and let pass [mm]."""
HEIGHT_SLACK_MM = 50
"""Common height up to which one storey is still over the other [mm]."""


@dataclass(frozen=True, slots=True)
class _Shape:
    """Room with its place in the document."""

    place: str
    id: str
    storey: int
    polygon: Polygon
    z0: int
    z1: int


Overlap = tuple[_Shape, _Shape, BaseGeometry]


def outline_faults(survey: Survey) -> Iterator[Fault]:
    """Outlines without area, and outlines that cross themselves."""
    for place, outline in _outlines(survey):
        if len(set(outline)) < 3:
            yield Fault(place, "degenerate_outline", "an outline needs three different points")
            continue
        polygon = Polygon(outline)
        if not polygon.is_valid:
            yield Fault(place, "self_crossing", f"the outline crosses itself ({explain_validity(polygon)}, in mm)")
        elif polygon.area == 0:
            yield Fault(place, "degenerate_outline", "the outline has no area")


def overlap_faults(survey: Survey, found: Iterable[Overlap]) -> Iterator[Fault]:
    """Rooms that stand in one another, on one storey or on two that overlap in height; ``found``: all ``overlaps``."""
    for a, b, depth in found:
        if depth.is_empty:
            continue
        if a.storey == b.storey:
            yield Fault(b.place, "rooms_overlap", f"rooms {a.id!r} and {b.id!r} overlap")
        elif _storeys_overlap(survey, a, b):
            yield Fault(b.place, "storeys_overlap", f"rooms {a.id!r} and {b.id!r} overlap in plan and in height")


def overlap_warnings(survey: Survey, found: Iterable[Overlap]) -> Iterator[str]:
    """Rooms that overlap by no more than a slip of the pen, and rooms that reach into another storey's."""
    for a, b, depth in found:
        if a.storey == b.storey and depth.is_empty:
            yield f"rooms {a.id} and {b.id} overlap by up to {HAIRLINE_MM} mm"
        elif a.storey != b.storey and not depth.is_empty and not _storeys_overlap(survey, a, b):
            yield f"rooms {a.id} and {b.id} of two storeys overlap in height, as stairwells do"


def _storeys_overlap(survey: Survey, a: _Shape, b: _Shape) -> bool:
    """Whether the storeys themselves overlap; a stairwell that passes through both is no fault of theirs."""
    p, q = survey.storeys[a.storey], survey.storeys[b.storey]
    common_mm = min(p.ceiling_z_mm, q.ceiling_z_mm) - max(p.floor_z_mm, q.floor_z_mm)
    return common_mm > HEIGHT_SLACK_MM


def _outlines(survey: Survey) -> Iterator[tuple[str, tuple[Point2, ...]]]:
    for i, storey in enumerate(survey.storeys):
        for j, room in enumerate(storey.rooms):
            yield f"#/storeys/{i}/rooms/{j}/outline", room.outline
        for j, keep_out in enumerate(storey.keep_outs):
            yield f"#/storeys/{i}/keep_outs/{j}/outline", keep_out.outline
    for i, chase in enumerate(survey.chases):
        yield f"#/chases/{i}/outline", chase.outline
    for i, way in enumerate(survey.site.ways):
        yield f"#/site/ways/{i}/outline", way.outline
    for i, deck in enumerate(survey.site.decks):
        yield f"#/site/decks/{i}/outline", deck.outline
    yield from roof_outlines(survey.roof)


def overlaps(survey: Survey) -> Iterator[Overlap]:
    """Pairs of rooms at one height whose areas meet, with what is left of the common area beyond a hairline."""
    shapes = [
        _Shape(f"#/storeys/{i}/rooms/{j}", room.id, i, Polygon(room.outline), room.floor_z_mm, room.ceiling_z_mm)
        for i, storey in enumerate(survey.storeys)
        for j, room in enumerate(storey.rooms)
    ]
    for a, b in combinations(shapes, 2):
        if min(a.z1, b.z1) - max(a.z0, b.z0) > HEIGHT_SLACK_MM and _boxes_meet(a.polygon, b.polygon):
            common = a.polygon.intersection(b.polygon)
            if common.area > 0:
                yield a, b, common.buffer(-HAIRLINE_MM / 2, join_style="mitre")


def _boxes_meet(a: Polygon, b: Polygon) -> bool:
    ax0, ay0, ax1, ay1 = a.bounds
    bx0, by0, bx1, by1 = b.bounds
    return bool(ax0 < bx1 and bx0 < ax1 and ay0 < by1 and by0 < ay1)
