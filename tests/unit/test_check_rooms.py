"""Runs through walls, floors and shafts of houses with more than one room, and heaters on skew walls."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from service.building.build import build
from service.check.measure import is_square_to
from service.check.mount import mount_findings
from service.check.routes import turns
from service.design import Design, Mount, Piece, Service, Surface, Terminal, Verdict
from service.survey.model import Chase, Receptacle, Room, RoomUse, Survey, UnitSystem, Wall
from tests.unit.check_house import HEATER, OUT, STUB, C, W, broken, design, house, outer_walls, plant, route, run, vent

CROSS, FINISHED, UP, SHAFT = Surface.WALL_CROSSING, Surface.WALL_FINISHED, Surface.FLOOR_CROSSING, Surface.CHASE
Points = list[tuple[int, int, int]]
SKEW_ROOM = (0, 0), (6000, 0), (6000, 4000), (2000, 4000), (0, 2000)


def box(x0: int, x1: int, z0: int = 0, z1: int = 3000, name: str = "plant", use: RoomUse = RoomUse.HALL) -> Room:
    """A room between two x, 4 m deep; finished unless it is the plant room."""
    outline = ((x0, 0), (x1, 0), (x1, 4000), (x0, 4000))
    return Room(name, RoomUse.MECHANICAL if name == "plant" else use, outline, name != "plant", z0, z1)


def two_rooms(gap: int = 100, use: RoomUse = RoomUse.HALL) -> Survey:
    """Plant room and another one beyond a wall; the outlet is in the other."""
    rooms = box(0, 3000), box(3000 + gap, 6000, name="other", use=use)
    return house(rooms=rooms, openings=(), receptacles=(Receptacle("outlet", (4000, 0, 900)),))


def cable(at: Survey, points: Points, surfaces: list[Surface], elbows: int) -> set[str]:
    """What is broken when the cable is drawn so."""
    return broken(at, design(at, changed=(route(Service.POWER, "cable", "outlet", run(points, surfaces), elbows),)))


@pytest.mark.parametrize("gap", [0, 100])
def test_through_a_wall(gap: int) -> None:
    points = [(1500, 0, 900), (3000, 0, 900), (3000 + gap, 0, 900), (4000, 0, 900)]
    assert cable(two_rooms(gap), points, [W, CROSS, FINISHED], 0) == set()
    assert cable(two_rooms(gap), points, [W, CROSS, W], 0) == {"route.label"}


@pytest.mark.parametrize("gap", [0, 100])
def test_no_run_slips_through_a_wall_unpriced(gap: int) -> None:
    assert cable(two_rooms(gap), [(1500, 0, 900), (4000, 0, 900)], [W], 0) == {"route.surface"}
    points = [(1500, 0, 900), (3000, 0, 900), (4000, 0, 900)]
    assert "route.surface" in cable(two_rooms(gap), points, [W, FINISHED], 0)
    assert cable(two_rooms(gap), points, [W, STUB], 0) == {"route.stub"}


def test_crossing_must_be_square_to_the_wall() -> None:
    askew = [(1500, 0, 900), (3000, 0, 900), (3100, 100, 900), (3100, 0, 900), (4000, 0, 900)]
    assert "route.wall_crossing" in cable(two_rooms(), askew, [W, CROSS, FINISHED, FINISHED], 3)


@pytest.mark.parametrize(("use", "rules"), [(RoomUse.HALL, set()), (RoomUse.BATHROOM, {"vent.room"})])
def test_no_open_vent_along_a_bathroom_wall(use: RoomUse, rules: set[str]) -> None:
    at = two_rooms(use=use)
    points = [(1500, 0, 1770), (1500, 0, 2120), (3000, 0, 2120), (3100, 0, 2120), (4000, 0, 2120), (4000, -200, 2120)]
    power = route(Service.POWER, "cable", "outlet", run(
        [(1500, 0, 900), (3000, 0, 900), (3100, 0, 900), (4000, 0, 900)], [W, CROSS, FINISHED]), 0)  # fmt: skip
    drawn = vent(points, [W, W, CROSS, FINISHED, OUT], 2)
    assert broken(at, design(at, changed=(drawn, power), terminal=(4200, 2120))) == rules


def test_vent_on_its_own_side_of_a_shared_plane_is_not_in_the_bathroom() -> None:
    at = house(rooms=(box(0, 3000), box(3000, 6000, name="bath", use=RoomUse.BATHROOM)), openings=())
    plain = replace(at.storeys[0].rooms[1], finished=False)
    storey = replace(at.storeys[0], rooms=(at.storeys[0].rooms[0], plain))
    at = replace(at, storeys=(storey,))
    points = [(1500, 0, 1770), (1500, 0, 2120), (3000, 0, 2120), (3000, 500, 2120)]
    found = broken(at, design(at, changed=(vent(points, [W, W, W], 2),)))
    assert "vent.room" not in found


def two_storeys(**changes: object) -> Survey:
    """Plant room with a living room over it, 300 mm of floor between; the outlet is above."""
    low, high = box(0, 6000), box(0, 6000, 3300, 5800, name="above")
    at = house(rooms=(low,), openings=(), receptacles=(Receptacle("outlet", (1900, 0, 3700)),))
    upper = replace(
        at.storeys[0], id="upper", floor_z_mm=3300, ceiling_z_mm=5800, rooms=(high,), walls=_upper_walls(high)
    )
    return replace(at, storeys=(at.storeys[0], upper), **changes)  # type: ignore[arg-type]


def _upper_walls(room: Room) -> tuple[Wall, ...]:
    return tuple(replace(w, id=f"upper {w.id}") for w in outer_walls((room,)))


RISE: Points = [(1500, 0, 900), (1500, 0, 3000), (1500, 0, 3300), (1500, 0, 3700), (1900, 0, 3700)]


def test_through_a_floor() -> None:
    assert cable(two_storeys(), RISE, [W, UP, FINISHED, FINISHED], 1) == set()
    assert cable(two_storeys(), RISE, [W, W, FINISHED, FINISHED], 1) == {"route.surface"}
    assert cable(two_storeys(), RISE, [W, STUB, STUB, STUB], 1) == {"route.stub"}


def test_through_a_shaft() -> None:
    shaft = Chase("shaft", ((1400, 0), (1600, 0), (1600, 200), (1400, 200)), 0, 5800)
    aside = Chase("shaft", ((2400, 0), (2600, 0), (2600, 200), (2400, 200)), 0, 5800)
    low = replace(shaft, top_z_mm=3200)
    surfaces = [W, SHAFT, FINISHED, FINISHED]
    assert cable(two_storeys(chases=(shaft,)), RISE, surfaces, 1) == set()
    assert "route.surface" in cable(two_storeys(chases=(aside,)), RISE, surfaces, 1)
    assert "route.surface" in cable(two_storeys(chases=(low,)), RISE, surfaces, 1)


def outlet_at(x: int, y: int, z: int) -> Survey:
    """The one-room house with its outlet elsewhere."""
    return house(openings=(), receptacles=(Receptacle("outlet", (x, y, z)),))


def test_stub_from_the_nearest_wall_or_the_ceiling() -> None:
    near = [(1500, 0, 900), (1900, 0, 900), (1900, 1800, 900)]
    assert cable(outlet_at(1900, 1800, 900), near, [W, STUB], 1) == set()
    far = [(1500, 0, 900), (1900, 0, 900), (1900, 1910, 900)]
    assert cable(outlet_at(1900, 1910, 900), far, [W, STUB], 1) == {"route.stub"}
    hanging = [(1500, 0, 900), (1500, 0, 3000), (1500, 1900, 3000), (1900, 1900, 3000), (1900, 1900, 2500)]
    assert cable(outlet_at(1900, 1900, 2500), hanging, [W, C, C, STUB], 3) == set()


def test_out_of_the_house_only_through_the_wall() -> None:
    outside = [(1500, 0, 900), (1900, 0, 900), (1900, -200, 900), (1900, -500, 900)]
    assert cable(outlet_at(1900, -500, 900), outside, [W, OUT, STUB], 1) == set()
    assert cable(outlet_at(1900, -500, 900), [*outside[:2], outside[3]], [W, STUB], 1) == {"route.stub"}


def test_assumed_outlet_is_told_as_such() -> None:
    at = house(receptacles=())
    given = design(at)
    assert broken(at, given) == set()
    assert "route.end" in broken(at, given, Verdict.ADVICE)


@pytest.mark.parametrize(("s", "rules"), [(1414, set()), (200, {"MT2", "AC1"}), (2750, {"MT1", "MT2", "AC1"})])
def test_skew_wall(s: int, rules: set[str]) -> None:
    """A wall at 45 degrees, 2828 long, between walls that bend away at 135 degrees."""
    at = house(rooms=(plant(outline=SKEW_ROOM),), openings=())
    house_ = build(at)
    skew = next(f for f in house_.faces if f.axis is None)
    given = Design(HEATER, Mount(skew.id, s, 1200), design_terminal(), (), False, False, (), 0)
    assert {f.rule_id for f in mount_findings(at, house_, given) if f.verdict is Verdict.FAIL} <= rules
    assert bool(rules) is any(f.verdict is Verdict.FAIL for f in mount_findings(at, house_, given))


def on_wall(*points: tuple[int, int]) -> tuple[Piece, ...]:
    """Level pieces on a wall from point to point."""
    return tuple(Piece((*a, 500), (*b, 500), W) for a, b in pairwise(points))


def test_points_of_a_skew_line_a_millimetre_apart_turn_nothing() -> None:
    """Rounded they lie beside one another; what is longer than rounding turns."""
    assert turns(on_wall((393, 1951), (393, 1950), (392, 1950), (204, 1831))) == 0
    assert turns(on_wall((393, 1951), (393, 1947), (392, 1947), (204, 1828))) > 0
    assert turns(on_wall((393, 1951), (393, 1950), (393, 1951), (204, 1951))) > 0


def test_square_through_a_skew_wall_to_the_rounding_of_points() -> None:
    """Of the wall and the plane before it the points are rounded each by itself; of straight walls nothing is."""
    face = next(f for f in build(house(rooms=(plant(outline=SKEW_ROOM),), openings=())).faces if f.axis is None)
    middle = face.point(1414)
    out = [(middle[0] - 141 + by, middle[1] + 141 + by) for by in (0, 2, 4)]
    assert [is_square_to(face, middle, p) for p in out] == [True, True, False]
    south = next(f for f in build(house()).faces if f.start[1] == f.end[1] == 0)
    assert not is_square_to(south, (1000, 0), (1001, -200))


def design_terminal() -> Terminal:
    """Any terminal."""
    return design(house()).terminal


def test_imperial_survey_needs_no_other_design() -> None:
    at = replace(two_rooms(), units=UnitSystem.US)
    points = [(1500, 0, 900), (3000, 0, 900), (3100, 0, 900), (4000, 0, 900)]
    assert cable(at, points, [W, CROSS, FINISHED], 0) == set()
