"""Arcs of straight walls, ceilings and crossings, made in one pass, against a plain walk over every sheet."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pytest
from shapely import Point, Polygon
from shapely import box as rectangle

from service.building.build import build
from service.design import Surface
from service.routing.columns import Box, Boxes, cuts_of
from service.routing.house_grids import NO_SHEET, SURFACES
from service.routing.lattice import Lattice, build_lattice
from service.routing.sheets import CeilingSheet, Sheets, WallSheet
from service.siting.ground import first_planes, ground_of
from tests.property.houses import house

Place = tuple[int, int, int, int]
"""Room, x, y, z [mm]."""
Arc = tuple[Place, Place, int, int, Surface, int]
SEEDS = range(7400, 7406)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_house_has_every_arc_that_a_walk_over_its_sheets_finds(seed: int) -> None:
    """And no other; ends, axis, length, surface and sheet are those of the walk."""
    sheets, lines, lattice = _lattice(seed, None)
    assert sorted(_told(lattice)) == sorted(_walked(sheets, lines))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_part_of_a_house_has_the_arcs_of_its_boxes(seed: int) -> None:
    """Of each sheet at least what lies in its box, and nothing of the sheets that are not in the part."""
    whole = _lattice(seed, None)[2]
    region = {n: b for n, b in _boxes(whole).items() if n % 3}
    part = set(_told(_lattice(seed, region)[2]))
    boxes = zip(_told(whole), whole.box.T.tolist(), strict=True)
    inside = {arc for arc, at in boxes if arc[4] is not Surface.WALL_CROSSING and _lies_in(at, region.get(arc[5]))}
    assert inside
    assert inside <= part <= set(_told(whole))
    assert {a[5] for a in part} <= {*region, NO_SHEET}


@pytest.mark.parametrize("seed", SEEDS)
def test_arcs_know_their_nodes_and_their_places(seed: int) -> None:
    """Along the wall and height, or x and y under a ceiling, from the lower to the higher."""
    sheets, _, lattice = _lattice(seed, None)
    named = lattice.nodes[np.array(lattice.ends)]
    assert np.array_equal(named, [lattice.arcs.a, lattice.arcs.b])
    for (a, b, _, _, surface, sheet), box in zip(_told(lattice), lattice.box.T.tolist(), strict=True):
        if sheet != NO_SHEET and surface is not Surface.WALL_CROSSING:
            c, d = (sheets.walls[sheet].axis, 2) if sheet >= 0 else (0, 1)
            assert box == [*sorted((a[1 + c], b[1 + c])), *sorted((a[1 + d], b[1 + d]))]


def _lattice(seed: int, region: Boxes | None) -> tuple[Sheets, list[list[int]], Lattice]:
    survey = house(seed)
    ground = ground_of(survey, build(survey))
    planes = first_planes(ground, ground.needs)
    cuts = cuts_of(ground.sheets, planes, planes.coordinates(2), outdoors=False)
    return ground.sheets, [c.tolist() for c in cuts.coordinates], build_lattice(ground.sheets, cuts, (), False, region)


def _told(lattice: Lattice) -> list[Arc]:
    arcs = lattice.arcs
    ends = [list(zip(*(c.tolist() for c in lattice.keys.unpack(e)), strict=True)) for e in (arcs.a, arcs.b)]
    others = (arcs.axis.tolist(), arcs.length.tolist(), [SURFACES[i] for i in arcs.surface], arcs.sheet.tolist())
    return list(zip(*ends, *others, strict=True))


def _walked(sheets: Sheets, lines: list[list[int]]) -> Iterator[Arc]:
    for w in sheets.walls:
        yield from _wall(w, lines)
    for c in sheets.ceilings:
        yield from _ceiling(c, lines)
    for k in sheets.wall_crossings:
        low, high = sorted((k.a, k.b), key=lambda w: (w.plane, w.index))
        for at in lines[low.axis]:
            for z in lines[2]:
                if k.c0 <= at <= k.c1 and k.z0 <= z <= k.z1:
                    ends = [(w.room, *w.point(at), z) for w in (low, high)]
                    yield from _across(ends, low.normal_axis, high.plane - low.plane, Surface.WALL_CROSSING, k.a.index)
    for f in sheets.floor_crossings:
        below, outline = f.below, Polygon(f.below.room.outline)
        for at in _along(f.above, lines):
            if outline.intersects(Point(f.above.point(at))):
                levels = ((below.room_index, below.room.ceiling_z), (f.above.room, f.above.face.z0))
                ends = [(room, *f.above.point(at), z) for room, z in levels]
                yield from _across(ends, 2, ends[1][3] - ends[0][3], Surface.FLOOR_CROSSING, NO_SHEET)


def _along(w: WallSheet, lines: list[list[int]]) -> list[int]:
    return [v for v in lines[w.axis] if w.span[0] <= v <= w.span[1]]


def _wall(w: WallSheet, lines: list[list[int]]) -> Iterator[Arc]:
    zs = [z for z in lines[2] if w.face.z0 <= z <= w.face.z1]
    for a, b in pairwise(_along(w, lines)):
        yield from (((w.room, *w.point(a), z), (w.room, *w.point(b), z), w.axis, b - a, w.surface, w.index) for z in zs)
    for a, b in pairwise(zs):
        points = [w.point(v) for v in _along(w, lines)]
        yield from (((w.room, *p, a), (w.room, *p, b), 2, b - a, w.surface, w.index) for p in points)


def _ceiling(c: CeilingSheet, lines: list[list[int]]) -> Iterator[Arc]:
    """A line between two nodes is there if a cell beside it is in the room."""
    outline, z, sheet = Polygon(c.room.outline), c.room.ceiling_z, -1 - c.room_index
    cells = [rectangle(x0, y0, x1, y1) for x0, x1 in pairwise(lines[0]) for y0, y1 in pairwise(lines[1])]
    found = set()
    for cell in (cell for cell in cells if outline.covers(cell)):
        x0, y0, x1, y1 = (int(v) for v in cell.bounds)
        found |= {(x0, y0, x1, y0), (x0, y1, x1, y1), (x0, y0, x0, y1), (x1, y0, x1, y1)}
    for x0, y0, x1, y1 in found:
        ends = (c.room_index, x0, y0, z), (c.room_index, x1, y1, z)
        yield *ends, 0 if y0 == y1 else 1, x1 - x0 + y1 - y0, c.surface, sheet


def _across(ends: list[Place], axis: int, length: int, surface: Surface, sheet: int) -> Iterator[Arc]:
    """Without length it passes whatever the direction."""
    yield from ((ends[0], ends[1], k, length, surface, sheet) for k in ((axis,) if length else (0, 1, 2)))


def _boxes(lattice: Lattice) -> Boxes:
    """About half of each sheet: from a quarter to three quarters of it."""
    found = {}
    for n in sorted({*lattice.arcs.sheet.tolist()} - {NO_SHEET}):
        here = lattice.box[:, lattice.arcs.sheet == n]
        (a, b), (c, d) = ((int(here[i].min()), int(here[i + 1].max())) for i in (0, 2))
        found[n] = (3 * a + b) // 4, (a + 3 * b) // 4, (3 * c + d) // 4, (c + 3 * d) // 4
    return found


def _lies_in(at: list[int], box: Box | None) -> bool:
    return box is not None and box[0] <= at[0] and at[1] <= box[1] and box[2] <= at[2] and at[3] <= box[3]
