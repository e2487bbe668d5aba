"""Zones of the case against boxes laid into the room with shapely, and each rule for itself."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from shapely import Polygon, box
from shapely.affinity import affine_transform

from service.building.model import Building, Face, Prism
from service.clearance.mount import mount_zones
from service.design import MANIFOLD_DROP_MM
from service.survey.equipment import Draft, Heater
from service.survey.model import Amendment, KeepOutKind, Preferences, RoomUse
from tests.unit.clearance_site import heater, hole, inches, inside, refused, survey

# A room with a bay to the north: the corner at (2500, 3000) is an outside one as seen from the room.
ROOM = ((0, 0), (5_000, 0), (5_000, 3_000), (2_500, 3_000), (2_500, 4_500), (0, 4_500))
KEEP_OUTS = (
    Prism("cupboard", KeepOutKind.CUPBOARD, 0, ((3_800, 0), (4_600, 0), (4_600, 400), (3_800, 400)), 0, 900),
    Prism("beam", KeepOutKind.BEAM, 0, ((0, 1_400), (5_000, 1_400), (5_000, 1_600), (0, 1_600)), 2_300, 2_600),
    Prism("duct", KeepOutKind.DUCT, 0, ((0, 4_100), (300, 4_100), (300, 4_500), (0, 4_500)), 1_500, 2_600),
    Prism("attic duct", KeepOutKind.DUCT, 1, ((0, 0), (5_000, 0), (5_000, 3_000), (0, 3_000)), 4_000, 4_300),
)
HOLES = {0: (hole(1_000, 2_000, 900, 2_100),), 1: (hole(1_200, 1_800, 0, 2_050, opening_id="door"),)}
CASE = heater(fuels=("natural_gas",))
SITE = survey("us-2018")
PLAIN = ((0, 0), (6_000, 0), (6_000, 4_000), (0, 4_000))


def laid(face: Face, s0: float, s1: float, n0: float, n1: float) -> Polygon:
    """Rectangle at s along a face and n into the room, in plan."""
    (x0, y0), (x1, y1) = face.start, face.end
    ux, uy = (x1 - x0) / face.length_mm, (y1 - y0) / face.length_mm
    return affine_transform(box(s0, n0, s1, n1), [ux, -uy, uy, ux, x0, y0])


def is_free(building: Building, case: Heater, face: Face, s: int, z: int) -> bool:
    """Whether the case may hang there, judged by rectangles in plan and heights."""
    room, free = building.rooms[0], case.clearances
    plan = Polygon(room.outline)
    low, high, top = s + 150 - 400, s + 150, z + case.height_mm
    body = laid(face, low - free.right_mm, high + free.left_mm, 10, case.depth_mm)
    middle = (low + high) / 2
    work = laid(face, middle - 381, middle + 381, case.depth_mm, case.depth_mm + 762)
    front = laid(face, low, high, case.depth_mm, case.depth_mm + free.front_mm)
    on_face = low >= 0 and high <= face.length_mm
    walls = all(p.difference(plan).area < 1e-6 for p in (body, work, front))
    floor = z >= max(free.bottom_mm, MANIFOLD_DROP_MM + inches(4))
    ceiling = top + max(free.top_mm, case.vent_rise_mm) <= room.ceiling_z
    return on_face and walls and floor and ceiling and _clear_of_things(building, case, face, s, z)


def _clear_of_things(building: Building, case: Heater, face: Face, s: int, z: int) -> bool:
    free, low, high, top = case.clearances, s - 250, s + 150, z + case.height_mm
    body = laid(face, low - free.right_mm, high + free.left_mm, 0, case.depth_mm)
    line = laid(face, s - 0.01, s + 0.01, 0, case.depth_mm)
    middle = (low + high) / 2
    ahead = laid(face, middle - 381, middle + 381, case.depth_mm, case.depth_mm + 762)
    z0, z1 = z - MANIFOLD_DROP_MM, top + case.vent_rise_mm
    for h in face.holes:
        if h.s0 < high + free.left_mm and h.s1 > low - free.right_mm and h.z0 < top and h.z1 > z:
            return False
        if h.s0 < s < h.s1 and h.z0 < z1 and h.z1 > z0:
            return False
    for k in building.keep_outs[:3]:
        shape = Polygon(k.outline)
        if shape.intersection(body).area > 1 and k.z0 < top + free.top_mm and k.z1 > z - free.bottom_mm:
            return False
        if shape.intersection(ahead).area > 1 and k.z0 < top:
            return False
        if shape.intersection(line).area > 1 and k.z0 < z1 and k.z1 > z0:
            return False
    return True


@pytest.mark.parametrize("face", range(6))
def test_zones_equal_laying_boxes_into_the_room(face: int) -> None:
    """For random places on every wall the case is free exactly if its boxes are."""
    building = inside(ROOM, holes=HOLES, keep_outs=KEEP_OUTS)
    zones, dice = mount_zones(building, SITE, CASE)[f"W{face}"], random.Random(face)
    length, free = building.faces[face].length_mm, 0
    for _ in range(400):
        s, z = dice.randrange(-100, length + 100), dice.randrange(200, 3_200)
        found = not any(q.covers(s, z) for q in zones)
        assert found == is_free(building, CASE, building.faces[face], s, z), (s, z)
        free += found
    assert free or face == 4


def test_side_clearances_lie_on_their_own_side() -> None:
    """s runs right to left: at the right-hand end the right clearance counts, at the left-hand end the left one."""
    case = heater()
    free = replace(case.clearances, left_mm=500, right_mm=300)
    case = replace(case, clearances=free)
    room = inside(PLAIN)
    assert refused(room, SITE, case, 300 + 250 - 1, 1_000) == {"MT2"}
    assert refused(room, SITE, case, 300 + 250, 1_000) == set()
    assert refused(room, SITE, case, 6_000 - 500 - 150, 1_000) == set()
    assert refused(room, SITE, case, 6_000 - 500 - 150 + 1, 1_000) == {"MT2"}


def test_no_side_clearance_where_the_room_goes_on() -> None:
    """At a corner that stands out into the room the case may hang flush, if the space before it is free."""
    room, case = inside(ROOM), heater()
    wall = room.faces[2]
    assert wall.end == (2_500, 3_000)
    assert refused(room, SITE, case, wall.length_mm - 150, 1_000, "W2") == set()
    assert refused(room, SITE, case, wall.length_mm - 149, 1_000, "W2") == {"MT1"}


@pytest.mark.parametrize(("width", "lawful"), [(762, True), (761, False)])
def test_working_space_is_exact(width: int, lawful: bool) -> None:
    """30 in x 30 in fits a room of 762 mm with the case in the middle, and not a millimetre less."""
    room = inside(((0, 0), (width, 0), (width, 3_000), (0, 3_000)))
    free = [s for s in range(width) if not refused(room, SITE, heater(), s, 1_000)]
    assert free == ([762 // 2 + 50] if lawful else [])


@pytest.mark.parametrize(("deep", "lawful"), [(250 + 762, True), (250 + 761, False)])
def test_working_space_ends_at_the_opposite_wall(deep: int, lawful: bool) -> None:
    """From the case's front, 250 mm off the wall, 30 in."""
    room = inside(((0, 0), (5_000, 0), (5_000, deep), (0, deep)))
    assert (refused(room, SITE, heater(), 2_000, 1_000) == set()) is lawful


def test_vent_and_manifold_need_height() -> None:
    """The vent's rise ends under the ceiling; the manifold has 4 in to the floor (common practice)."""
    case = heater()
    top = 4_000 - case.height_mm - case.vent_rise_mm
    assert case.vent_rise_mm > case.clearances.top_mm
    room = inside(PLAIN)
    assert refused(room, SITE, case, 2_000, top) == set()
    assert refused(room, SITE, case, 2_000, top + 1) == {"MT4"}
    lowest = MANIFOLD_DROP_MM + inches(4)
    assert refused(room, SITE, case, 2_000, lowest) == set()
    assert refused(room, SITE, case, 2_000, lowest - 1) == {"MT3"}


@pytest.mark.parametrize(
    ("use", "draft", "rules"),
    [
        (RoomUse.BEDROOM, Draft.ROOM_AIR, {"RM1"}),
        (RoomUse.BEDROOM, Draft.DIRECT, set()),
        (RoomUse.STORAGE, Draft.ROOM_AIR, {"RM1"}),
        (RoomUse.UNKNOWN, Draft.ROOM_AIR, {"RM1"}),
        (RoomUse.UNKNOWN, Draft.DIRECT, set()),
        (RoomUse.STAIR, Draft.DIRECT, {"RM9"}),
        (RoomUse.KITCHEN, Draft.ROOM_AIR, set()),
    ],
)
def test_rooms(use: RoomUse, draft: Draft, rules: set[str]) -> None:
    """IFGC 303.3 (memory) with the direct-vent exception (read)."""
    assert refused(inside(PLAIN, use), SITE, heater(draft), 2_000, 1_000) == rules


def test_a_low_room_has_no_headroom() -> None:
    """6 ft from floor to ceiling (common practice, no source)."""
    assert "HR1" in refused(inside(PLAIN, height=inches(72) - 1), SITE, heater(), 2_000, 500)
    assert "HR1" not in refused(inside(PLAIN, height=inches(72)), SITE, heater(), 2_000, 500)


def test_wishes_of_the_customer() -> None:
    """Rooms refused and rooms wanted close whole walls."""
    room, case = inside(PLAIN), heater()
    assert refused(room, replace(SITE, preferences=Preferences(rooms_refused=("room",))), case, 2_000, 1_000) == {
        "WISH1"
    }
    assert refused(room, replace(SITE, preferences=Preferences(rooms_wanted=("other",))), case, 2_000, 1_000) == {
        "WISH2"
    }
    assert refused(room, replace(SITE, preferences=Preferences(rooms_wanted=("room",))), case, 2_000, 1_000) == set()


def test_amendments_reach_mounting_rules() -> None:
    """A local rule may ask more working space or lift a rule."""
    garage, case = inside(PLAIN, RoomUse.GARAGE), heater()
    lifted = survey("us-2018", amendments=(Amendment("GA1", None, "local"),))
    assert refused(garage, SITE, case, 2_000, 402) == {"GA1"}
    assert refused(garage, lifted, case, 2_000, 402) == set()
    wider = survey("us-2018", amendments=(Amendment("AC1", 3_800, "local"),))
    assert refused(garage, wider, case, 2_000, 1_000) == {"AC1"}
