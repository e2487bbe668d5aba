"""Properties of the building step: turning the plan or reordering its lists changes nothing that matters."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from service.building.build import build
from service.building.facades import facade_line
from service.building.model import Building
from service.building.spans import joined
from service.survey.model import Survey
from tests.unit import open_plans
from tests.unit.building_houses import (
    L_SHAPE,
    box,
    grid_house,
    house,
    room,
    shuffled,
    storey,
    turned,
    two_storey_house,
)

HOUSES = ("two_storey", "l_shape", *open_plans.NAMES)


def a_house(name: str) -> Survey:
    """One of the invented houses or open plans by name."""
    if name == "two_storey":
        return two_storey_house()
    if name == "l_shape":
        return house(storey(room("l", L_SHAPE), room("m", box(3100, 3100, 6000, 6000))))
    return open_plans.survey(name)


def measures(b: Building) -> dict[str, Sequence[object]]:
    """Everything that does not depend on where the plan's axes point."""
    pierced = [*(f.holes for f in b.faces), *(f.holes for f in b.facades)]
    return {
        "faces": sorted((f.room_id, f.length_mm) for f in b.faces),
        "behind": sorted(
            (f.room_id, s.behind.value, s.s1 - s.s0, s.thickness_mm) for f in b.faces for s in f.stretches
        ),
        "facades": sorted((f.length_mm, sum((r[1] - r[0]) * (r[3] - r[2]) for r in f.spans)) for f in b.facades),
        "areas": sorted((r.id, r.area_mm2) for r in b.rooms),
        "holes": sorted((h.opening_id, h.s1 - h.s0, h.z0) for holes in pierced for h in holes),
    }


@pytest.mark.parametrize("name", [n for n in HOUSES if n != "lb_single_family"])
@pytest.mark.parametrize("degrees", [90, 180, 270])
def test_a_quarter_turn_keeps_every_measure(name: str, degrees: int) -> None:
    """Integers stay untouched, so lengths and areas are equal to the millimetre."""
    survey = a_house(name)
    assert measures(build(turned(survey, degrees))) == measures(build(survey))


@pytest.mark.parametrize("name", HOUSES)
def test_the_order_of_the_survey_is_nothing(name: str) -> None:
    """Reversed lists and outlines begun elsewhere give the same house, ids and all."""
    survey = a_house(name)
    assert build(shuffled(survey)) == build(survey)


@pytest.mark.parametrize("name", ["two_storey", "l_shape", "duplex", "zneth"])
@pytest.mark.parametrize("degrees", [17.3, -38.9])
def test_an_odd_turn_keeps_lengths_and_neighbours(name: str, degrees: float) -> None:
    """Rounding to millimetres on a turned plan costs at most 2 mm, and no wall changes its kind."""
    straight, askew = build(a_house(name)), build(turned(a_house(name), degrees))
    for a, b in zip(measures(straight)["areas"], measures(askew)["areas"], strict=True):
        assert isinstance(a, tuple) and isinstance(b, tuple)
        assert b[1] == pytest.approx(a[1], rel=2e-3)
    assert kinds(askew) == kinds(straight)
    lengths = [sorted(f.length_mm for f in b.facades) for b in (straight, askew)]
    assert lengths[1] == pytest.approx(lengths[0], abs=2)
    assert sorted(f.length_mm for f in askew.faces) == pytest.approx(sorted(f.length_mm for f in straight.faces), abs=2)


def kinds(b: Building) -> Counter[tuple[str, str]]:
    """How often each kind of thing lies behind the walls of each room."""
    return Counter((f.room_id, s.behind.value) for f in b.faces for s in f.stretches)


@pytest.mark.parametrize("name", HOUSES)
def test_stretches_cover_each_face_and_grade_each_facade(name: str) -> None:
    """No gap and no overlap; the faces of a room close its outline."""
    b = build(a_house(name))
    for face in b.faces:
        assert [s.s0 for s in face.stretches] == [0, *(s.s1 for s in face.stretches[:-1])]
        assert face.stretches[-1].s1 == face.length_mm
    for facade in b.facades:
        assert [g.s0 for g in facade.grade] == [0, *(g.s1 for g in facade.grade[:-1])]
        assert facade.grade[-1].s1 == facade.length_mm
    for r in b.rooms:
        own = [f for f in b.faces if f.room_id == r.id and f.storey == r.storey]
        around = sum(
            hypot(q[0] - p[0], q[1] - p[1]) for p, q in zip(r.outline, r.outline[1:] + r.outline[:1], strict=True)
        )
        assert sum(f.length_mm for f in own) == pytest.approx(around, abs=len(own) / 2)


@pytest.mark.parametrize("name", HOUSES)
def test_a_stretch_lies_one_thickness_behind_its_facade(name: str) -> None:
    """``facade_s0`` and the thickness lead from the face to the point of the facade beside it."""
    b = build(a_house(name))
    for face in b.faces:
        for s in face.stretches:
            if s.facade_id is None:
                continue
            inner, outer = face.point(s.s0), b.facade(s.facade_id).point(s.facade_s0)
            away = hypot(inner[0] - outer[0], inner[1] - outer[1])
            assert s.thickness_mm - 2 <= away <= s.thickness_mm + 62


@pytest.mark.parametrize("seed", range(40))
def test_generated_houses_keep_all_properties(seed: int) -> None:
    """Quarter turn, reordering, odd turn; and no facade has a room of the same height right before it."""
    survey = grid_house(seed)
    b = build(survey)
    assert build(shuffled(survey)) == b
    assert measures(build(turned(survey, 90))) == measures(b)
    askew = build(turned(survey, 23.7))
    assert kinds(askew) == kinds(b)
    assert sorted(f.length_mm for f in askew.facades) == pytest.approx(sorted(f.length_mm for f in b.facades), abs=3)
    for f in b.facades:
        for s0, s1, z0, z1 in f.spans:
            before = Point(facade_line(f).at((s0 + s1) / 2, 30))
            rooms = [r for r in b.rooms if min(r.ceiling_z, z1) - max(r.floor_z, z0) > 300]
            assert not any(Polygon(r.outline).contains(before) for r in rooms)


@given(
    st.lists(
        st.tuples(st.integers(0, 9), st.integers(1, 5), st.integers(0, 9), st.integers(1, 5)), min_size=1, max_size=6
    )
)
@settings(max_examples=60, deadline=None)
def test_joined_rectangles_are_disjoint_and_cover_the_given(sizes: list[tuple[int, int, int, int]]) -> None:
    """The union covers each rectangle once (counted cell by cell on the metre grid)."""
    rects = [(s * 1000, (s + ds) * 1000, z * 1000, (z + dz) * 1000) for s, ds, z, dz in sizes]

    def cells(rs: list[tuple[int, int, int, int]]) -> list[tuple[int, int]]:
        return [(s, z) for a, b, c, d in rs for s in range(a // 1000, b // 1000) for z in range(c // 1000, d // 1000)]

    out = cells(list(joined(rects)))
    assert len(out) == len(set(out))
    assert set(out) == set(cells(rects))
