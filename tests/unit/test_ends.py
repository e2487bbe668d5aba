"""Where runs meet existing pipe: stubs hold no part that is a run, and what is told of them fits what is drawn."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from service.building.build import build
from service.building.model import Building
from service.check.measure import point_segment_gap2
from service.check.place import face_holds, plan, room_place
from service.check.routes import elbows_of
from service.check.surfaces import on_wall
from service.design import Piece, Route, Service, Surface
from service.http.schemas import load_survey
from service.routing.anchors import anchors_on
from service.routing.ends import Anchor
from service.routing.obstacles import obstacles_of
from service.routing.sheets import sheets_of
from service.settings import Settings
from service.siting.ground import Ground, first_planes, ground_of
from service.survey.model import KeepOut, KeepOutKind, Point3, WaterLine
from tests.scenarios.scenarios import NAMES, document
from tests.unit.check_house import STUB, house, plant, run

FLOOR, WALL, OUT = Surface.FLOOR_CROSSING, Surface.WALL, Surface.OUTER_WALL


def anchors(ground: Ground, service: Service) -> tuple[Anchor, ...]:
    """All anchors of a service on the first planes of a house."""
    planes, ends = first_planes(ground), ground.ends[service]
    cuts = planes.coordinates(0), planes.coordinates(1), planes.coordinates(2)
    return anchors_on(cuts, ground.sheets, ends.anchors, ends.lines)


@pytest.mark.parametrize("below_mm", [1, 40, 300])
def test_a_riser_from_below_the_floor_is_met_on_the_level(below_mm: int) -> None:
    """122 mm before a wall: everywhere but at its own foot, the stub is those 122 mm and nothing else."""
    at, gap = house(), 122
    riser = WaterLine("cold", ((gap, 2000, -below_mm), (gap, 2000, 1200)), "3/4", "copper")
    ground = ground_of(replace(at, water=replace(at.water, cold=(riser,))), build(at))
    found = anchors(ground, Service.COLD)
    stubs = [a.tail for a in found if a.real[2] >= 0]
    assert len(stubs) > 3
    assert {sum(p.length_mm for p in tail) for tail in stubs} == {gap}
    foot = [a for a in found if a.real[2] < 0]
    assert {sum(p.length_mm for p in a.tail) for a in foot} == {gap + below_mm}


def test_a_riser_is_met_at_the_ceiling_as_right_below_it() -> None:
    """60 mm before a wall: at its very end, under the ceiling, too, a stub from the wall will do, or a run."""
    at, gap, top = house(), 60, 3000
    riser = WaterLine("cold", ((gap, 2000, 500), (gap, 2000, top)), "3/4", "copper")
    ground = ground_of(replace(at, water=replace(at.water, cold=(riser,))), build(at))
    found = [a for a in anchors(ground, Service.COLD) if a.real == (gap, 2000, top)]
    assert {sum(p.length_mm for p in a.tail) for a in found} == {0, gap}
    assert {a.point[0] for a in found if a.tail} == {0}


CUT = (700, 0), (6000, 0), (6000, 4000), (0, 4000), (0, 700)
"""Outline of a room with a skew wall between its west and its south wall."""


def test_a_level_pipe_is_met_from_the_wall_beside_it_though_that_ends_at_a_skew_one() -> None:
    """40 mm before the west wall and on past its end: wherever that wall is beside it, from there."""
    at = house(rooms=(plant(outline=CUT),), openings=())
    pipe = WaterLine("cold", ((40, 2425, 900), (40, 246, 900)), "3/4", "copper")
    ground = ground_of(replace(at, water=replace(at.water, cold=(pipe,))), build(at))
    stubs = [a.tail for a in anchors(ground, Service.COLD) if 700 <= a.real[1] <= 2425]
    assert len(stubs) > 1
    assert {sum(p.length_mm for p in tail) for tail in stubs} == {40}


@pytest.mark.parametrize("x", range(460, 500))
def test_points_beside_a_thing_before_a_skew_wall_are_beside_it_as_drawn(x: int) -> None:
    """What is open to runs there, the checker does not see behind the thing: its points are rounded."""
    thing = KeepOut("thing", KeepOutKind.CUPBOARD, ((x, 0), (x + 300, 0), (x + 300, 400), (x, 400)), 0, 900)
    at = house(rooms=(plant(outline=CUT),), openings=())
    house_ = build(replace(at, storeys=(replace(at.storeys[0], keep_outs=(thing,)),)))
    sheets = sheets_of(house_)
    wall = next(w for w in sheets.walls if w.is_skew)
    near = next(o for o in obstacles_of(house_, sheets) if o.sheet == wall.index)
    for s in (near.c0, near.c1):
        piece = Piece((*wall.point(s), 100), (*wall.point(s), 800), WALL)
        assert on_wall(house_, frozenset({room_place(wall.face.room_id)}), piece, 0).rule_id == ""


def on_a_face(building: Building, room: int, piece: Piece) -> bool:
    """Whether a piece lies on a wall along an axis of the room, as the checker sees walls."""
    faces = (f for f in building.faces if f.room_id == building.rooms[room].id and f.axis is not None)
    return any(face_holds(f, piece.start) and face_holds(f, piece.end) for f in faces)


@pytest.mark.parametrize("name", NAMES)
def test_no_stub_begins_along_a_surface(name: str) -> None:
    """What lies on a wall is a run, which passes no opening and nothing that stands there."""
    survey = load_survey(document(name), Settings())
    building = build(survey)
    ground = ground_of(survey, building)
    for service in ground.ends:
        for a in anchors(ground, service):
            first = a.tail[0] if a.tail else None
            assert first is None or first.surface is not STUB or not on_a_face(building, a.room, first), (service, a)


def test_a_pipe_end_at_a_far_wall_is_met_on_that_wall() -> None:
    """A level pipe across the room hangs from the ceiling; where it ends, at the wall, the way down is on the wall."""
    at, low = house(), 2700
    across = WaterLine("cold", ((2000, 2000, low), (6000, 2000, low)), "3/4", "copper")
    ground = ground_of(replace(at, water=replace(at.water, cold=(across,))), build(at))
    found = anchors(ground, Service.COLD)
    assert all(not a.tail for a in found if a.real == (6000, 2000, low))
    between = [a for a in found if a.real[0] < 6000]
    assert between and all(a.tail[0].start == (*plan(a.real), 3000) for a in between)


def drawn(points: list[Point3], surfaces: list[Surface], stated: int) -> int:
    """Elbows that the checker takes for a run."""
    return elbows_of(Route(Service.COLD, "3/4", "cold", run(points, surfaces), stated))


def test_back_out_of_a_hole_is_one_pipe() -> None:
    """Up through a floor and down again to a pipe within it, or in through a wall and out: no elbow need be there, one
    may; along a wall it is a turn."""
    floor: list[Point3] = [(0, 0, 2000), (0, 0, 3000), (0, 0, 3300), (0, 0, 3100), (0, 90, 3100)]
    assert [drawn(floor, [WALL, FLOOR, STUB, STUB], n) for n in (0, 1, 2, 3)] == [1, 1, 2, 2]
    wall: list[Point3] = [(0, 0, 900), (200, 3, 900), (0, 0, 900), (-50, 0, 900)]
    assert [drawn(wall, [OUT, OUT, STUB], n) for n in (0, 1, 2)] == [0, 1, 2]
    back: list[Point3] = [(0, 0, 900), (0, 0, 3000), (0, 0, 2000)]
    assert [drawn(back, [WALL, STUB], n) for n in (0, 1, 2)] == [1, 1, 1]


@pytest.mark.parametrize(("out_mm", "is_met"), [(-350, True), (-200, True), (-199, False), (-60, False)])
def test_what_lies_beyond_an_outer_wall_is_met_from_before_it(out_mm: int, is_met: bool) -> None:
    """A wall 200 thick: what lies within it is reached through the room alone. The stub is as long as the pipe is off
    the facade."""
    at = house()
    line = WaterLine("cold", ((1500, out_mm, 300), (1500, out_mm, 900)), "3/4", "copper")
    building = build(at)
    ground = ground_of(replace(at, water=replace(at.water, cold=(line,))), building)
    planes, ends = first_planes(ground), ground.ends[Service.COLD]
    cuts = planes.coordinates(0), planes.coordinates(1), planes.coordinates(2)
    found = anchors_on(cuts, ground.sheets, ends.anchors, ends.lines, outdoors=True)
    before = [a for a in found if a.room >= len(building.rooms)]
    assert bool(before) == is_met
    facade = next(f for f in building.facades if f.start[1] == f.end[1] == -200)
    for a in before:
        off2 = point_segment_gap2(plan(a.real), facade.start, facade.end)
        assert sum(p.length_mm for p in a.tail) ** 2 == off2 and a.point[1] == -200
        assert np.sign(a.real[1] - a.point[1]) <= 0
