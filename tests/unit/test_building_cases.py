"""The building step on houses whose faces and facades were worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import Polygon

from service.building.build import build
from service.building.model import Behind, Building, Facade
from service.survey.model import GradeLine, Survey, Wall, WallKind
from tests.unit.building_houses import (
    BAY,
    L_SHAPE,
    box,
    house,
    party,
    room,
    storey,
    two_storey_house,
    window,
)


def kinds(building: Building, face_id: str) -> list[tuple[int, int, Behind]]:
    """Stretches of a face in short."""
    return [(s.s0, s.s1, s.behind) for s in building.face(face_id).stretches]


def assert_ring(facades: tuple[Facade, ...]) -> None:
    """Each facade ends where the next starts, to a millimetre of rounding."""
    for one, following in zip(facades, facades[1:] + facades[:1], strict=True):
        assert one.end == pytest.approx(following.start, abs=1)


def test_a_single_room_has_four_faces_and_a_closed_ring_of_four_facades() -> None:
    """A 4 x 3 m room with walls of the default 200 mm is 4.4 x 3.4 m outside."""
    b = build(house(storey(room("cell", box(0, 0, 4000, 3000)))))
    assert [f.id for f in b.faces] == [f"ground/cell/{n}" for n in (1, 2, 3, 4)]
    assert [(f.start, f.end, f.length_mm) for f in b.facades] == [
        ((-200, -200), (4200, -200), 4400),
        ((4200, -200), (4200, 3200), 3400),
        ((4200, 3200), (-200, 3200), 4400),
        ((-200, 3200), (-200, -200), 3400),
    ]
    south = b.face("ground/cell/1").stretches[0]
    assert (south.behind, south.thickness_mm, south.facade_id, south.facade_s0) == (Behind.OUTDOORS, 200, "F1", 200)
    assert b.facades[0].spans == ((0, 4400, 0, 2500),)
    assert b.assumptions == ("Thickness of 4 exterior wall faces not given: taken as 200 mm.",)
    assert b.warnings == ()
    assert b.frame.angle_rad == 0.0


def test_a_window_pierces_its_face_and_its_facade() -> None:
    """Distances on the facade count from the outer corner, one wall thickness further out."""
    b = build(house(storey(room("cell", box(0, 0, 4000, 3000)), openings=(window("w", (1000, -100), (2000, -100)),))))
    assert [(h.s0, h.s1, h.z0, h.z1) for h in b.face("ground/cell/1").holes] == [(1000, 2000, 900, 2100)]
    assert [(h.s0, h.s1) for h in b.facade("F1").holes] == [(1200, 2200)]
    assert sum(len(f.holes) for f in b.faces) == sum(len(f.holes) for f in b.facades) == 1


@pytest.mark.parametrize(("gap", "thickness"), [(100, 100), (0, 100), (300, 300), (-10, 100)])
def test_rooms_side_by_side_share_a_wall(gap: int, thickness: int) -> None:
    """Outlines at the inner faces give the thickness; outlines on the centre line take the default."""
    b = build(house(storey(room("a", box(0, 0, 3000, 3000)), room("b", box(3000 + gap, 0, 6000, 3000)))))
    east = b.face("ground/a/2").stretches
    assert [(s.behind, s.thickness_mm, s.face_id) for s in east] == [(Behind.ROOM, thickness, "ground/b/4")]
    assert b.face("ground/b/4").stretches[0].face_id == "ground/a/2"
    assert [f.length_mm for f in b.facades] == [6400, 3400, 6400, 3400]
    assert b.facades[0].spans == ((0, 6400, 0, 2500),)


def test_an_inner_door_pierces_both_faces_and_no_facade() -> None:
    """A door drawn on the wall's centre line is found from both rooms."""
    rooms = room("a", box(0, 0, 3000, 3000)), room("b", box(3100, 0, 6000, 3000))
    b = build(house(storey(*rooms, openings=(window("d", (3050, 1000), (3050, 1900), 0, 2000),))))
    assert {f.id: (h.s0, h.s1) for f in b.faces for h in f.holes} == {
        "ground/a/2": (1000, 1900),
        "ground/b/4": (1100, 2000),
    }
    assert not any(f.holes for f in b.facades)


def test_a_reflex_corner_is_cut_to_the_outer_planes() -> None:
    """Both walls of the L's notch end where their outer planes meet: 200 mm before the inner corner."""
    b = build(house(storey(room("l", L_SHAPE))))
    assert_ring(b.facades)
    assert [(f.start, f.end) for f in b.facades[2:4]] == [((6200, 3200), (3200, 3200)), ((3200, 3200), (3200, 6200))]
    assert sum(f.length_mm for f in b.facades) == 24_000 + 8 * 200


def test_a_reflex_corner_between_two_rooms_is_cut_too() -> None:
    """The L made of two rooms has the outside of the L made of one, and no leftover stands outdoors."""
    b = build(house(storey(room("a", box(0, 0, 3000, 6000)), room("b", box(3100, 0, 6000, 3000)))))
    assert_ring(b.facades)
    assert sum(f.length_mm for f in b.facades) == 24_000 + 8 * 200
    assert kinds(b, "ground/a/2") == [(0, 3000, Behind.ROOM), (3000, 6000, Behind.OUTDOORS)]


def test_a_bay_has_skew_faces_and_a_closed_ring() -> None:
    """The ring is the outline moved out by 200 mm with mitred corners (length by Shapely's buffer)."""
    b = build(house(storey(room("bay", BAY))))
    assert [f.axis for f in b.faces].count(None) == 2
    assert [f.length_mm for f in b.faces if f.axis is None] == [1414, 1414]
    assert len(b.facades) == 8
    assert_ring(b.facades)
    outside = Polygon(BAY).buffer(200, join_style="mitre", mitre_limit=10).length
    assert sum(f.length_mm for f in b.facades) == pytest.approx(outside, abs=4)


def test_a_row_house_has_two_facades() -> None:
    """Party walls make no facade, and facades end at them."""
    walls = party("west", (-120, 0), (-120, 9000)), party("east", (5120, 0), (5120, 9000))
    b = build(house(storey(room("row", box(0, 0, 5000, 9000)), walls=walls)))
    assert [(f.start, f.end) for f in b.facades] == [((0, -200), (5000, -200)), ((5000, 9200), (0, 9200))]
    assert [(s.behind, s.thickness_mm) for s in b.face("ground/row/2").stretches] == [(Behind.PARTY, 240)]


def basement(*grades: GradeLine) -> Survey:
    """A basement under ground that is level unless said otherwise."""
    s = house(storey(room("cellar", box(0, 0, 8000, 6000), -2600, -200), name="below"), grade=-100)
    return replace(s, site=replace(s.site, grades=grades))


def test_a_basement_below_grade_is_earth_on_all_sides() -> None:
    """The ceiling is below the ground, so no face stands outdoors."""
    b = build(basement())
    assert {s.behind for f in b.faces for s in f.stretches} == {Behind.EARTH}
    assert all(s.facade_id for f in b.faces for s in f.stretches)


def test_a_walk_out_basement_steps_with_its_grade() -> None:
    """South is open; along the sloping east side each step takes the higher ground of its ends."""
    b = build(
        basement(
            GradeLine((0, -1000), (8000, -1000), -2600, -2600),
            GradeLine((9000, 0), (9000, 6000), -2600, -100),
        )
    )
    south, east, north, _ = b.facades
    assert [(g.s0, g.s1, g.z) for g in south.grade] == [(0, 8400, -2600)]
    assert [(g.s0, g.s1, g.z) for g in north.grade] == [(0, 8400, -100)]
    assert east.grade[0].s0 == 0 and east.grade[-1].s1 == east.length_mm == 6400
    for g in east.grade:
        assert g.s1 - g.s0 <= 500
        assert g.z >= min(-2600 + 2500 * (g.s1 - 200) / 6000, -100)
    assert kinds(b, "below/cellar/1") == [(0, 8000, Behind.OUTDOORS)]
    # 6400 / 13 = 492 mm a step: the last one, from 5907 on the facade, is the first at or above -200
    assert kinds(b, "below/cellar/2") == [(0, 5707, Behind.OUTDOORS), (5707, 6000, Behind.EARTH)]
    assert kinds(b, "below/cellar/3") == [(0, 8000, Behind.EARTH)]


def test_split_levels_sills_below_zero_and_stacked_windows_survive() -> None:
    """Heights are kept as surveyed."""
    rooms = room("high", box(0, 0, 3000, 3000), 0, 2500), room("low", box(3100, 0, 6000, 3000), -700, 2500)
    windows = (
        window("cellar light", (4000, 0), (5000, 0), -600, -100),
        window("above", (4000, 0), (5000, 0), 900, 2000),
    )
    b = build(house(storey(*rooms, openings=windows), grade=-800))
    assert b.facades[0].spans == ((0, 3300, 0, 2500), (3300, 6400, -700, 2500))
    assert [(h.opening_id, h.z0, h.z1) for h in b.facades[0].holes] == [
        ("cellar light", -600, -100),
        ("above", 900, 2000),
    ]
    assert {f.z0 for f in b.faces if f.room_id == "low"} == {-700}


def ring_of_rooms() -> list[tuple[str, tuple[int, int, int, int]]]:
    """Four rooms round a gap of 1 x 1 m."""
    return [
        ("s", (0, 0, 4000, 1500)),
        ("e", (2500, 1600, 4000, 4000)),
        ("n", (0, 2600, 2400, 4000)),
        ("w", (0, 1600, 1400, 2500)),
    ]


def test_an_unlisted_shaft_is_closed_and_reported() -> None:
    """What is enclosed by rooms is not the outdoors unless the surveyor says so."""
    b = build(house(storey(*(room(i, box(*c)) for i, c in ring_of_rooms()))))
    assert len(b.facades) == 4
    assert kinds(b, "ground/w/2") == [(0, 900, Behind.PARTY)]
    assert any("ground/w/2" in w for w in b.warnings)


def test_a_courtyard_that_the_surveyor_calls_exterior_is_outdoors() -> None:
    """The same gap with an exterior wall named on its west side has a facade there."""
    wall = Wall("court", (1500, 1600), (1500, 2500), WallKind.EXTERIOR, 200)
    b = build(house(storey(*(room(i, box(*c)) for i, c in ring_of_rooms()), walls=(wall,))))
    assert kinds(b, "ground/w/2") == [(0, 900, Behind.OUTDOORS)]
    assert len(b.facades) == 5


def test_two_storeys_in_one_plane_are_one_facade_with_the_floor_between() -> None:
    """The floor structure between the storeys counts as wall."""
    low, high = room("a", box(0, 0, 4000, 3000)), room("b", box(0, 0, 4000, 3000), 2800, 5300)
    b = build(house(storey(low), storey(high, name="upper")))
    assert [f.spans for f in b.facades] == [((0, f.length_mm, 0, 5300),) for f in b.facades]
    assert len(b.facades) == 4


def test_a_wall_above_a_lower_wing_starts_at_the_common_plane() -> None:
    """The upper east wall begins and ends on the outer planes that house and garage share."""
    b = build(two_storey_house())
    upper = next(f for f in b.facades if f.id == b.face("upper/bedroom/2").stretches[0].facade_id)
    assert (upper.start, upper.end) == ((5200, -200), (5200, 7200))
    assert [h.opening_id for h in upper.holes] == ["bedroom window"]
    south = b.facade(b.face("ground/garage/1").stretches[0].facade_id or "")
    assert (south.start, south.end) == ((-200, -200), (8500, -200))
    # the bay's outer planes x - y = 4000 + 200 * sqrt(2) and x + y = 1000 - 200 * sqrt(2) meet y = -200
    # at x = 4083 and x = 917: there the ground floor's wall stops, the bedroom's above it goes on
    assert south.spans == (
        (0, 1117, 0, 5300),
        (1117, 4283, 2800, 5300),
        (4283, 5300, 0, 5300),
        (5300, 5400, -100, 5300),
        (5400, 8700, -100, 2500),
    )


def test_a_two_storey_room_beside_a_lower_one_has_outer_wall_above_its_roof() -> None:
    """Below, the room's wall is an inner one; above the neighbour's ceiling it stands outdoors."""
    rooms = room("hall", box(0, 0, 4000, 4000), 0, 5300), room("garage", box(4100, 0, 7000, 4000))
    loft = storey(room("loft", box(0, 4100, 4000, 8000), 2800, 5300), name="upper")
    glass = window("high window", (4000, 1000), (4000, 2000), 3500, 4500)
    b = build(house(replace(storey(*rooms, openings=(glass,)), ceiling_z_mm=2500), loft))
    assert kinds(b, "ground/hall/2") == [(0, 4000, Behind.ROOM)]
    above = next(f for f in b.facades if f.start[0] == f.end[0] == 4200)
    assert above.spans == ((0, 4200, 2500, 5300), (4200, 8400, 2800, 5300))
    assert [h.opening_id for h in above.holes] == ["high window"]


def test_walls_nearly_square_are_squared_and_reported() -> None:
    """8 mm in 4 m is 0.11 degrees: taken as parallel, and said."""
    b = build(house(storey(room("cell", ((0, 0), (4000, 8), (4000, 3000), (0, 3000))))))
    assert {f.axis for f in b.faces} == {0, 1}
    assert b.room("cell").outline == box(0, 4, 4000, 3000)
    assert any("moving a corner by 4 mm" in w for w in b.warnings)


def test_corners_in_a_straight_wall_are_dropped() -> None:
    """Three edges in a line are one face."""
    b = build(house(storey(room("cell", ((0, 0), (1000, 0), (2500, 0), (4000, 0), (4000, 3000), (0, 3000))))))
    assert [f.length_mm for f in b.faces] == [4000, 3000, 4000, 3000]


def test_a_short_jog_is_no_outer_wall() -> None:
    """A 100 mm jog is closed; the walls on both sides keep their facades."""
    jog = ((0, 0), (2000, 0), (2000, 100), (4000, 100), (4000, 3000), (0, 3000))
    b = build(house(storey(room("cell", jog))))
    assert kinds(b, "ground/cell/2") == [(0, 100, Behind.PARTY)]
    assert len(b.facades) == 5


def test_an_opening_on_no_wall_is_reported() -> None:
    """Nothing is dropped silently."""
    b = build(
        house(storey(room("cell", box(0, 0, 4000, 3000)), openings=(window("lost", (1000, 1500), (2000, 1500)),)))
    )
    assert any("lost" in w for w in b.warnings)
    assert not any(f.holes for f in b.faces)


def test_wall_ends_that_do_not_touch_still_speak_of_the_whole_wall() -> None:
    """A wall drawn 100 mm short of both corners gives its thickness to the whole face."""
    wall = Wall("w", (100, -300), (3900, -300), WallKind.EXTERIOR, 300)
    b = build(house(storey(room("cell", box(0, 0, 4000, 3000)), walls=(wall,))))
    assert [(s.s0, s.s1, s.thickness_mm) for s in b.face("ground/cell/1").stretches] == [(0, 4000, 300)]
    assert_ring(b.facades)
