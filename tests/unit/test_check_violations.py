"""The lawful design spoiled in one way at a time: exactly the rule on the place that is broken must be told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from service.design import Design, Verdict
from service.rules.catalogue import heaters
from service.survey.equipment import Heater
from service.survey.model import (
    AirInlet,
    Amendment,
    Deck,
    InletKind,
    Opening,
    OpeningKind,
    Preferences,
    Regulator,
    RoomUse,
    Survey,
    Way,
    WayKind,
)
from tests.unit.check_house import HEATER, OUT, WINDOW, W, box, broken, design, house, keep_out, plant, site, vent

Case = Callable[[], tuple[Survey, Design]]


def beside(x: int, bottom: int = 1180, **changes: Any) -> tuple[Survey, Design]:
    """The vent let out at ``x``, level with the window's head."""
    bend = bottom + HEATER.height_mm + HEATER.vent_rise_mm
    at = house(**changes)
    points = [(1500, 0, bend - 350), (1500, 0, bend), (x, 0, bend), (x, -200, bend)]
    return at, design(at, bottom=bottom, changed=(vent(points, [W, W, OUT], 2),), terminal=(x + 200, bend))


def hung(bottom: int = 1200, x: int = 1500, **listed: int) -> tuple[Survey, Design]:
    """The heater elsewhere or with other listed clearances."""
    heater = replace(HEATER, clearances=replace(HEATER.clearances, **listed))
    at = house()
    return at, design(at, bottom=bottom, x=x, heater=heater)


def with_heater(heater: Heater = HEATER, at: Survey | None = None, **changes: Any) -> tuple[Survey, Design]:
    """The lawful design with the heater's data changed."""
    given = at or house()
    return given, design(given, heater=replace(heater, **changes))


def test_terminal_exactly_at_the_distance_passes_and_one_millimetre_nearer_fails() -> None:
    # 12 in = 305 mm from its edge, radius 70: the centre 375 beside the window at 2200
    assert broken(*beside(1825)) == set()
    assert broken(*beside(1826)) == {"US21-B3"}


@pytest.mark.parametrize(
    ("changes", "rules"),
    [
        ({"grade_z_mm": 2120 - 70 - 305}, set()),
        ({"grade_z_mm": 2120 - 70 - 304}, {"US21-A"}),
        ({"snow_depth_mm": 2120 - 70 - 305 + 150}, set()),
        ({"snow_depth_mm": 2120 - 70 - 304 + 150}, {"SNOW"}),
        ({"regulators": (Regulator("reg", (2000, -200, 2962), 10_000.0),)}, {"US21-I1"}),
        ({"regulators": (Regulator("reg", (2000, -200, 3000), 10_000.0),)}, set()),
        ({"regulators": (Regulator("reg", (2000, -200, 3000), 15_000.0),)}, {"US21-I2"}),
        ({"regulators": (Regulator("reg", (1500, -1185, 1100), 10_000.0),)}, set()),
        ({"regulators": (Regulator("reg", (1500, -1184, 1100), 10_000.0),)}, {"US21-H", "US21-LR"}),
        ({"air_inlets": (AirInlet("fan", InletKind.FORCED, (4718, -200), 200, 1400, 1600),)}, set()),
        ({"air_inlets": (AirInlet("fan", InletKind.FORCED, (4717, -200), 200, 1400, 1600),)}, {"US21-K"}),
        ({"air_inlets": (AirInlet("fan", InletKind.FORCED, (4717, -200), 200, 900, 1135),)}, set()),
        ({"ways": (Way("walk", WayKind.PUBLIC_WALKWAY, box(0, -1500, 6000, -1286), 0),)}, set()),
        ({"ways": (Way("walk", WayKind.PUBLIC_WALKWAY, box(0, -1500, 6000, -1285), 0),)}, {"US21-L", "US21-LN"}),
        ({"ways": (Way("walk", WayKind.PUBLIC_WALKWAY, box(0, -1500, 6000, -1285), -84),)}, {"US21-LN"}),
        ({"decks": (Deck("porch", box(1000, -900, 2000, -200), 2496, 2600, 1),)}, {"US21-M"}),
        ({"decks": (Deck("porch", box(1000, -900, 2000, -200), 2495, 2600, 2),)}, set()),
        ({"decks": (Deck("porch", box(1000, -900, 2000, -200), 2494, 2600, 2),)}, {"US21-M"}),
        ({"decks": (Deck("porch", box(1000, -900, 2000, -200), 2495, 2600, None),)}, {"US21-M"}),
    ],
)
def test_terminal(changes: dict[str, Any], rules: set[str]) -> None:
    """The terminal at 1500 on the south wall (y = -200), 2120 high, radius 70, against one thing outside."""
    assert broken(*_sited(**changes)) == rules


def _sited(**changes: Any) -> tuple[Survey, Design]:
    at = house(site=site(**changes))
    return at, design(at)


def test_unknown_window_is_unknown_where_it_matters_and_passes_where_it_does_not() -> None:
    unknown = replace(WINDOW, operable=None)
    assert broken(*beside(1826, openings=(unknown,)), Verdict.UNKNOWN) == {"US21-B3"}
    assert broken(*beside(1825, openings=(unknown,))) == set()


def test_fixed_window_has_no_distance_but_advice() -> None:
    at, given = beside(1826, openings=(replace(WINDOW, operable=False),))
    assert broken(at, given) == set()
    assert "US21-C" in broken(at, given, Verdict.ADVICE)


def test_local_amendment_changes_the_distance_and_may_drop_the_rule() -> None:
    stricter = site(amendments=(Amendment("US21-B3", 400, "town"),))
    dropped = site(amendments=(Amendment("US21-B3", None, "town"),))
    assert broken(*beside(1825, site=stricter)) == {"US21-B3"}
    assert broken(*beside(1826, site=dropped)) == set()


def test_terminal_needs_wall_all_round() -> None:
    """A fixed pane beside the terminal: no distance, but the disc must not lie over it."""
    pane = replace(WINDOW, operable=False, start=(1569, 0), sill_z_mm=2000, head_z_mm=2400)
    at = house(openings=(pane,))
    assert broken(at, design(at)) == {"WALL"}
    at = house(openings=(replace(pane, start=(1570, 0)),))
    assert broken(at, design(at)) == set()


@pytest.mark.parametrize(
    ("case", "rules"),
    [
        (lambda: hung(top_mm=1231), {"MT2"}),
        (lambda: hung(bottom_mm=1201), {"MT2"}),
        (lambda: hung(right_mm=1326), {"MT2"}),
        (lambda: hung(right_mm=1325), set()),
        (lambda: hung(left_mm=526), {"MT1"}),
        (lambda: hung(left_mm=525), set()),
        (lambda: hung(front_mm=3781), {"MT2"}),
        (lambda: hung(front_mm=3780), set()),
        (lambda: hung(bottom=401), {"MT3"}),
        (lambda: hung(bottom=402), set()),
        (lambda: hung(x=381), set()),
        (lambda: hung(x=380), {"AC1"}),
        (lambda: keep_out(box(1300, 850, 1700, 950), 0, 500), {"AC1"}),
        (lambda: keep_out(box(1300, 982, 1700, 1100), 0, 500), set()),
        (lambda: keep_out(box(1300, 850, 1700, 950), 1770, 2500), set()),
        (lambda: keep_out(box(1200, 60, 1276, 200), 1500, 1600), {"MT2"}),
        (lambda: keep_out(box(1200, 60, 1275, 200), 1500, 1600), set()),
        (lambda: keep_out(box(1400, 100, 1600, 200), 1920, 2000), {"MT4"}),
        (lambda: with_heater(outdoor_listed=True), set()),
    ],
)
def test_mount(case: Case, rules: set[str]) -> None:
    assert broken(*case()) == rules


def test_rooms() -> None:
    bedroom = house(rooms=(plant(use=RoomUse.BEDROOM),))
    room_air = heaters()["co-room-120"]
    assert broken(bedroom, design(bedroom)) == set()  # direct vent, air from outdoors
    given = design(bedroom, heater=room_air, air_openings=True)
    assert "RM1" in broken(bedroom, given)
    assert "RM1" not in broken(house(), design(house(), heater=room_air, air_openings=True))
    unknown = house(rooms=(plant(use=RoomUse.UNKNOWN),))
    assert "RM1" in broken(unknown, design(unknown, heater=room_air, air_openings=True), Verdict.UNKNOWN)
    refused = house(preferences=Preferences(rooms_refused=("plant",)))
    assert broken(refused, design(refused)) == {"WISH1"}
    wanted = house(preferences=Preferences(rooms_wanted=("attic",)))
    assert broken(wanted, design(wanted)) == {"WISH2"}


def test_garage_ignition_height_and_guard() -> None:
    garage = house(rooms=(plant(use=RoomUse.GARAGE),))
    assert broken(garage, design(garage, bottom=458)) == set()
    assert broken(garage, design(garage, bottom=457)) == {"GA1"}
    listed = replace(HEATER, vapour_ignition_resistant=True)
    assert broken(garage, design(garage, bottom=457, heater=listed)) == set()
    unguarded = replace(design(garage), lines=design(house()).lines, total_cents=design(house()).total_cents)
    assert broken(garage, unguarded) == {"price.lines", "price.total"}


def test_room_air() -> None:
    """50 ft3 per 1,000 Btu/h: 120,000 Btu/h ask 6,000 ft3 = 169.9 m3; the room holds 72 m3."""
    heater = heaters()["co-room-120"]
    at = house(openings=())
    assert broken(at, design(at, heater=heater)) == {"air.volume"}
    assert broken(at, design(at, heater=heater, air_openings=True)) == set()
    tall = house(openings=(), rooms=(plant(ceiling_z_mm=7100),), on={"ceiling_z_mm": 7100})
    assert broken(tall, design(tall, heater=heater)) == set()  # 170.4 m3


def test_design_of_another_house() -> None:
    at = house()
    lawful = design(at)
    elsewhere = replace(lawful, mount=replace(lawful.mount, face_id="nowhere"))
    assert "mount.face" in broken(at, elsewhere)
    off = replace(lawful, terminal=replace(lawful.terminal, facade_id="F9"))
    assert broken(at, off) == {"terminal.facade", "route.end"}


def test_door_swing() -> None:
    """A door 900 wide at 2700: its leaf reaches to 1800, 12 in (305) more and the radius of 70: 1425 (IFGC 502.7.1)."""
    door = Opening("door", OpeningKind.DOOR, (2700, 0), (3600, 0), 0, 2200, swings_out=True)
    us18 = site(rule_set="us-2018")
    near, far = house(openings=(door,), site=us18), house(openings=(replace(door, start=(2650, 0)),), site=us18)
    for at, x, rules in ((near, 1425, set()), (near, 1426, {"US18-ND9"}), (far, 1325, set())):
        points = [(1500, 0, 1770), (1500, 0, 2120), (x, 0, 2120), (x, -200, 2120)]
        given = design(at, changed=(vent(points, [W, W, OUT], 2),), terminal=(x + 200, 2120))
        assert broken(at, given) == rules
