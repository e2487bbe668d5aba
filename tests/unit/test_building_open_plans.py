"""The building step on three real houses (open licences), against the exterior walls their files state."""

from __future__ import annotations

from math import hypot

import pytest

from service.building.build import build
from service.building.facades import facade_line
from service.building.model import Behind, Building, Facade
from tests.unit import open_plans
from tests.unit.open_plans import OutsideWall

EXTERIOR_MM = 417
"""The one thickness that a file states (duplex.json); the others take our default of 200 mm."""


@pytest.fixture(params=open_plans.NAMES)
def plan(request: pytest.FixtureRequest) -> tuple[str, Building]:
    """An open plan by name, built."""
    return request.param, build(open_plans.survey(request.param))


def facade_of(b: Building, wall: OutsideWall) -> list[Facade]:
    """Facades along a wall that the file states: same side, within half a metre, beside its middle."""
    a, e = b.frame.to_frame(wall.start), b.frame.to_frame(wall.end)
    middle = ((a[0] + e[0]) / 2, (a[1] + e[1]) / 2)
    found = []
    for f in b.facades:
        line = facade_line(f)
        along = ((e[0] - a[0]) * line.ux + (e[1] - a[1]) * line.uy) / wall.length
        if along > 0.999 and abs(line.out(middle)) <= 450 and 0 < line.along(middle) < f.length_mm:
            found.append(f)
    return found


def test_every_exterior_opening_lands_on_one_facade_and_no_other_does(plan: tuple[str, Building]) -> None:
    """The openings on facades are those of the file's exterior walls, once each."""
    name, b = plan
    stated = sorted(o for w in open_plans.outside_walls(name) for o in w.opening_ids)
    assert sorted(h.opening_id for f in b.facades for h in f.holes) == stated


def test_every_opening_of_the_file_pierces_a_face(plan: tuple[str, Building]) -> None:
    """None is lost, and those of exterior walls lie in a stretch that stands outdoors or in the earth."""
    name, b = plan
    in_faces = {h.opening_id for f in b.faces for h in f.holes}
    assert in_faces == {o.id for s in open_plans.survey(name).storeys for o in s.openings}
    assert not [w for w in b.warnings if "lies on no wall" in w]


def test_outward_normals_agree_with_the_file(plan: tuple[str, Building]) -> None:
    """Each stated exterior wall has a facade whose outside is where the file says it is."""
    name, b = plan
    for wall in open_plans.outside_walls(name):
        facades = facade_of(b, wall)
        assert facades, wall.id
        for f in facades:
            ends = b.frame.to_survey(f.start), b.frame.to_survey(f.end)
            ux, uy = ((ends[1][k] - ends[0][k]) / f.length_mm for k in (0, 1))
            assert uy * wall.normal[0] - ux * wall.normal[1] > 0.999


def test_facades_are_as_long_as_the_stated_exterior_walls(plan: tuple[str, Building]) -> None:
    """Per storey, outer wall is as long as stated; two wall thicknesses a wall are allowed for corners.

    The files draw walls at the outer face (duplex) or where the outlines are (the other two).
    """
    name, b = plan
    stated = sum(w.length for w in open_plans.outside_walls(name))
    walls = len(open_plans.outside_walls(name))
    inside = sum(s.s1 - s.s0 for f in b.faces for s in f.stretches if s.behind in (Behind.OUTDOORS, Behind.EARTH))
    if name == "duplex":
        # less the corners, the ends of party walls, and two two-storey rooms counted once
        assert inside < stated < inside + walls * 2 * EXTERIOR_MM + 12_000
    else:
        assert inside == pytest.approx(stated, abs=60 * walls)


@pytest.mark.parametrize(
    ("name", "lengths"), [("duplex", [8802, 17_802, 8802, 17_802]), ("lb_single_family", [9068, 15_998, 9068, 15_998])]
)
def test_simple_outsides_are_the_stated_rectangle(name: str, lengths: list[int]) -> None:
    """Duplex: walls stated at the outer face. Single family: at the outline, 200 mm inside the facade."""
    b = build(open_plans.survey(name))
    extra = 0 if name == "duplex" else 400
    assert [f.length_mm - extra for f in b.facades] == pytest.approx(lengths, abs=3)


def test_facades_of_one_volume_form_a_ring(plan: tuple[str, Building]) -> None:
    """Every facade ends where another one starts, or against the plane of another one."""
    _, b = plan
    for f in b.facades:
        touching = [
            g
            for g in b.facades
            if g is not f
            and abs(facade_line(g).out(f.end)) <= 1
            and -1 <= facade_line(g).along(f.end) <= g.length_mm + 1
        ]
        assert touching, f.id


def test_rooms_keep_their_area(plan: tuple[str, Building]) -> None:
    """Squaring and welding move walls by millimetres only."""
    name, b = plan
    outlines = {r.id: r.outline for s in open_plans.survey(name).storeys for r in s.rooms}
    for r in b.rooms:
        o = outlines[r.id]
        area = abs(sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(o, o[1:] + o[:1], strict=True))) / 2
        around = sum(hypot(q[0] - p[0], q[1] - p[1]) for p, q in zip(o, o[1:] + o[:1], strict=True))
        assert r.area_mm2 == pytest.approx(area, abs=2 * around)


def test_below_grade_walls_of_the_walk_out_house_are_earth() -> None:
    """The file marks one wall below grade: with ground at -0.15 m that room's outer walls are earth."""
    b = build(open_plans.survey("zneth"))
    behind = {s.behind for f in b.faces if "003" in f.room_id for s in f.stretches}
    assert behind == {Behind.EARTH, Behind.ROOM}


def test_the_turned_house_is_brought_square() -> None:
    """All its walls lie in two directions 29.95 degrees off the axes (atan of 4.527 / 7.857)."""
    b = build(open_plans.survey("lb_single_family"))
    assert abs(b.frame.angle_rad) == pytest.approx(0.5228, abs=5e-4)
    assert {f.axis for f in b.faces} == {0, 1}
