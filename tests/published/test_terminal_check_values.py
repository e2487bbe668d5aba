"""Check values for vent terminals and heater places, each with the source of its figure.

Marks: read (seen in a copy of a code or a text quoting it), memory, common practice. Distances are from the
terminal's edge. Inches become the least whole millimetre that is at least as long.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.clearance.assumed import warnings
from service.rules.mounting import mounting_rules
from service.rules.rulesets import rule_set
from service.survey.equipment import Draft
from service.survey.model import (
    AirInlet,
    Amendment,
    Deck,
    InletKind,
    NeighbourWall,
    Opening,
    OpeningKind,
    Point2,
    Regulator,
    RoomUse,
    UnitSystem,
    Way,
    WayKind,
)
from tests.unit.clearance_site import (
    L_HOUSE,
    RADIUS,
    broken,
    feet,
    heater,
    hole,
    inches,
    inside,
    outside,
    refused,
    spec,
    survey,
)

WINDOW = hole(5_000, 6_000, 2_000, 3_000)
HOUSE = outside(holes={0: (WINDOW,)})
BLANK = outside()
ROOM_AIR = spec(False, 199_000)
RIGHT_OF, LEVEL = WINDOW.s1 + RADIUS, 2_500
PSI = 6894.757


def beside_window(rules: str, direct: bool, btu_h: float, gap: int, units: UnitSystem = UnitSystem.US) -> set[str]:
    """Rules broken by a terminal whose edge is ``gap`` beside a window that opens."""
    return broken(HOUSE, survey(rules, units), spec(direct, btu_h), RIGHT_OF + gap, LEVEL)


@pytest.mark.parametrize(
    ("rules", "btu_h", "gap_in", "rule"),
    [
        ("us-2018", 10_000, 6.0, None),
        ("us-2018", 10_001, 6.0, "US18-DV2"),
        ("us-2018", 50_000, 9.0, None),
        ("us-2018", 120_000, 11.5, "US18-DV3"),
        ("us-2018", 150_000, 12.0, None),
        ("us-2018", 199_000, 12.0, "US18-DV4"),
        ("us-2018", 199_000, 48.0, None),
        ("us-2015", 199_000, 12.0, None),
        ("us-2015", 199_000, 11.9, "US15-DV3"),
        ("us-2021", 199_000, 12.0, "US21-B4"),
        ("us-2021", 150_000, 12.0, None),
    ],
)
def test_direct_vent_bands(rules: str, btu_h: float, gap_in: float, rule: str | None) -> None:
    """Rows 1-7: IFGC 503.8 / NFPA 54 12.9 direct-vent distances by input (memory)."""
    assert beside_window(rules, True, btu_h, inches(gap_in)) == ({rule} if rule else set())


@pytest.mark.parametrize(("gap_in", "lawful"), [(47.9, False), (48, True)])
def test_beside_a_window_without_direct_vent(gap_in: float, lawful: bool) -> None:
    """Row 8: 4 ft beside, IFGC 503.8 item 2 (read in parallel texts)."""
    assert (beside_window("us-2018", False, 199_000, inches(gap_in)) == set()) is lawful


@pytest.mark.parametrize(("below_in", "lawful"), [(48, True), (47.9, False)])
def test_directly_under_a_window(below_in: float, lawful: bool) -> None:
    """Row 9: 4 ft below the sill (read)."""
    z = WINDOW.z0 - inches(below_in) - RADIUS
    assert (broken(HOUSE, survey("us-2018"), ROOM_AIR, 5_500, z) == set()) is lawful


@pytest.mark.parametrize(("above_in", "lawful"), [(12, True), (11.9, False)])
def test_above_a_window(above_in: float, lawful: bool) -> None:
    """Row 10: 1 ft above the head (read)."""
    z = WINDOW.z1 + inches(above_in) + RADIUS
    assert (broken(HOUSE, survey("us-2018"), ROOM_AIR, 5_500, z) == set()) is lawful


def test_below_and_beside_at_once() -> None:
    """Row 11: 36 in below and 36 in beside breaks the rectangle, though 50.9 in away (common practice, derived)."""
    s, z = RIGHT_OF + inches(36), WINDOW.z0 - inches(36) - RADIUS
    assert broken(HOUSE, survey("us-2018"), ROOM_AIR, s, z) == {"US18-ND2"}


def test_fixed_window_has_no_distance_but_must_be_confirmed() -> None:
    """Row 12: no clearance to a window that cannot open (read / common practice)."""
    fixed = outside(holes={0: (hole(5_000, 6_000, 2_000, 3_000, operable=False, opening_id="pane"),)})
    site = survey("us-2018")
    assert broken(fixed, site, ROOM_AIR, RIGHT_OF + inches(2), LEVEL) == set()
    advice = [r for r in rule_set("us-2018").rules if "window_fixed" in r.objects]
    assert [r.force for r in advice] == ["advisory"]
    pane = Opening("pane", OpeningKind.WINDOW, (5_000, 0), (6_000, 0), 2_000, 3_000, operable=False)
    with_pane = replace(site, storeys=(replace(site.storeys[0], openings=(pane,)),))
    assert any("pane" in w and "confirmed" in w for w in warnings(fixed, with_pane))


def test_unknown_window_counts_as_openable() -> None:
    """Row 12, other side: unknown is never a pass."""
    unknown = outside(holes={0: (hole(5_000, 6_000, 2_000, 3_000, operable=None),)})
    assert broken(unknown, survey("us-2018"), ROOM_AIR, RIGHT_OF + inches(2), LEVEL) == {"US18-ND2"}


def inlet(kind: InletKind = InletKind.FORCED) -> AirInlet:
    """An inlet in the first wall, 300 wide, from 2000 to 2300."""
    return AirInlet("inlet", kind, (5_000, 0), 300, 2_000, 2_300)


@pytest.mark.parametrize(
    ("rules", "aside", "above", "rule"),
    [
        ("us-2018", feet(9), feet(2), "US18-ND1"),
        ("us-2018", feet(9), feet(3), None),
        ("us-2018", feet(10, 1), feet(0), None),
        ("us-2021", feet(9), feet(1), "US21-K"),
        ("us-2021", feet(10), feet(1), None),
        ("us-2021", feet(9), feet(3), None),
    ],
)
def test_forced_air_inlet(rules: str, aside: int, above: int, rule: str | None) -> None:
    """Rows 13-15 (read) and 25 (memory): 3 ft above a forced-air inlet within 10 ft."""
    site = survey(rules, air_inlets=(inlet(),))
    found = broken(BLANK, site, ROOM_AIR, 5_150 + aside + RADIUS, 2_300 + above + RADIUS)
    assert found == ({rule} if rule else set())


@pytest.mark.parametrize(("bottom_in", "lawful"), [(11.9, False), (12, True)])
def test_above_grade(bottom_in: float, lawful: bool) -> None:
    """Row 16: bottom of the terminal 12 in above finished ground (read)."""
    z = -3_000 + inches(bottom_in) + RADIUS
    assert (broken(BLANK, survey("us-2018"), ROOM_AIR, 3_000, z) == set()) is lawful


def test_intake_ring_above_grade() -> None:
    """Row 17: the lowest part counts, here the intake around a concentric exhaust 14 in above ground (read)."""
    exhaust = 40
    whole = spec(True, 199_000, radius=exhaust + inches(14) - inches(10))
    z = -3_000 + inches(14) + exhaust
    assert broken(BLANK, survey("us-2018"), whole, 3_000, z) == {"US18-ND5"}


def way(kind: WayKind, near: int = 100) -> Way:
    """A way along the first wall, ``near`` off it, at height 0."""
    return Way("way", kind, ((2_000, -2_000), (8_000, -2_000), (8_000, -near), (2_000, -near)), 0)


@pytest.mark.parametrize(("bottom", "rules"), [(feet(6, 11), {"US18-ND6"}), (feet(7), set())])
def test_beside_a_public_walkway(bottom: int, rules: set[str]) -> None:
    """Row 18: 7 ft above a public walkway (value read, section memory)."""
    site = survey("us-2018", ways=(way(WayKind.PUBLIC_WALKWAY),))
    assert broken(BLANK, site, ROOM_AIR, 5_000, bottom + RADIUS) == rules


def test_never_over_a_public_walkway_when_condensing() -> None:
    """Row 19: Category IV never over a public walkway, here 9 ft up (read)."""
    site = survey("us-2018", ways=(way(WayKind.PUBLIC_WALKWAY),))
    assert broken(BLANK, site, spec(False, 199_000, "IV"), 5_000, feet(9) + RADIUS) == {"US18-ND7"}


def test_dry_vent_over_a_walkway_is_advice_only() -> None:
    """Row 20: Category III without local trouble passes, with advice (read)."""
    site = survey("us-2018", ways=(way(WayKind.PUBLIC_WALKWAY),))
    assert broken(BLANK, site, ROOM_AIR, 5_000, feet(9) + RADIUS) == set()
    spoken = [r for r in rule_set("us-2018").rules if "public_walkway" in r.objects and r.applies_to(False, "III", 5e4)]
    assert [r.force for r in spoken if r.relation == "not_over"] == ["advisory"]


def neighbour(distance: int) -> NeighbourWall:
    """Another house's wall opposite the first wall, with a window that opens from 1000 to 2000."""
    window = Opening("theirs", OpeningKind.WINDOW, (6_000, -distance), (5_000, -distance), 1_000, 2_000, True)
    return NeighbourWall("next door", (12_000, -distance), (0, -distance), -3_000, 5_000, (window,))


@pytest.mark.parametrize(
    ("category", "away", "bottom", "rules"),
    [
        ("IV", feet(8), 1_500, {"US18-ND8"}),
        ("IV", feet(8), 2_000 + feet(2), set()),
        ("IV", feet(10) + RADIUS, 1_500, set()),
        ("III", feet(8), 1_500, set()),
    ],
)
def test_facing_a_neighbours_window(category: str, away: int, bottom: int, rules: set[str]) -> None:
    """Rows 21-22: Category IV 10 ft from an opening it faces, free 2 ft above it (memory)."""
    site = survey("us-2018", neighbour_walls=(neighbour(away),))
    assert broken(BLANK, site, spec(False, 199_000, category), 5_500, bottom + RADIUS) == rules


def regulator(pressure_pa: float | None, at: Point2 = (5_000, 0)) -> Regulator:
    """A regulator with its vent outlet on the first wall at height 0."""
    return Regulator("regulator", (*at, 0), pressure_pa)


@pytest.mark.parametrize(
    ("pressure_pa", "aside_in", "rules"),
    [(1.5 * PSI, 36, set()), (5 * PSI, 36, {"US21-I2"}), (5 * PSI, 120, set()), (None, 36, {"US21-I2"})],
)
def test_beside_a_regulator_vent(pressure_pa: float | None, aside_in: float, rules: set[str]) -> None:
    """Row 23: 3 ft up to 2 psi, 10 ft above it; unknown pressure is taken as above (memory)."""
    site = survey("us-2021", regulators=(regulator(pressure_pa),))
    assert broken(BLANK, site, ROOM_AIR, 5_000 + RADIUS + inches(aside_in), 0) == rules


@pytest.mark.parametrize(("above", "rules"), [(feet(10), {"US21-H"}), (feet(15, 1), set())])
def test_column_above_a_regulator_vent(above: int, rules: set[str]) -> None:
    """Row 24: within 3 ft of the vertical line up to 15 ft above the outlet (memory)."""
    site = survey("us-2021", regulators=(regulator(1.5 * PSI),))
    assert broken(BLANK, site, ROOM_AIR, 5_000 + RADIUS + feet(2), above + RADIUS) == rules


def porch(open_sides: int | None) -> Deck:
    """A porch along the first wall with its underside at 2500."""
    return Deck("porch", ((2_000, -2_000), (8_000, -2_000), (8_000, 0), (2_000, 0)), 2_500, 2_700, open_sides)


@pytest.mark.parametrize(("open_sides", "rules"), [(1, {"US21-M"}), (2, set()), (None, {"US21-M"})])
def test_under_a_porch(open_sides: int | None, rules: set[str]) -> None:
    """Row 26: 13 in under a porch, lawful only if two sides are open (memory)."""
    site = survey("us-2021", decks=(porch(open_sides),))
    assert broken(BLANK, site, ROOM_AIR, 5_000, 2_500 - inches(13) - RADIUS) == rules


@pytest.mark.parametrize(
    ("units", "btu_h", "gap", "rule"),
    [
        (UnitSystem.US, 199_000, inches(35), "CA-g3"),
        (UnitSystem.US, 199_000, inches(36), None),
        (UnitSystem.US, 100_000, inches(12), None),
        (UnitSystem.US, 100_001, inches(12), "CA-g3"),
        (UnitSystem.SI, 199_000, 900, None),
        (UnitSystem.SI, 199_000, 899, "CA-g3"),
        (UnitSystem.US, 199_000, 900, "CA-g3"),
    ],
)
def test_canada_beside_a_window(units: UnitSystem, btu_h: float, gap: int, rule: str | None) -> None:
    """Rows 27-29: CSA B149.1 8.14.8 (g), in each system as printed (read)."""
    for direct in (True, False):
        assert beside_window("ca-b149", direct, btu_h, gap, units) == ({rule} if rule else set())


@pytest.mark.parametrize(("aside", "rules"), [(feet(5, 11), {"CA-c"}), (feet(6), set())])
def test_canada_forced_air_inlet(aside: int, rules: set[str]) -> None:
    """Row 30: CSA B149.1 8.14.8 (c), 6 ft (read)."""
    site = survey("ca-b149", air_inlets=(inlet(),))
    assert broken(BLANK, site, ROOM_AIR, 5_150 + aside + RADIUS, 2_150) == rules


@pytest.mark.parametrize(("units", "exact"), [(UnitSystem.US, 304), (UnitSystem.SI, 300)])
def test_canada_under_a_deck(units: UnitSystem, exact: int) -> None:
    """Row 31: CSA B149.1 8.14.8 (h), more than 1 ft / 300 mm: the distance itself fails (read)."""
    site = survey("ca-b149", units, decks=(porch(2),))
    assert broken(BLANK, site, ROOM_AIR, 5_000, 2_500 - exact - RADIUS) == {"CA-h"}
    assert broken(BLANK, site, ROOM_AIR, 5_000, 2_500 - exact - 1 - RADIUS) == set()


def test_canada_over_a_shared_driveway() -> None:
    """Row 32: CSA B149.1 8.14.8 (a), never, here 10 ft up (read)."""
    site = survey("ca-b149", ways=(way(WayKind.SHARED_DRIVEWAY),))
    assert broken(BLANK, site, ROOM_AIR, 5_000, feet(10) + RADIUS) == {"CA-a"}


@pytest.mark.parametrize(("above", "rules"), [(feet(16), set()), (feet(14), {"CA-d"})])
def test_canada_column_above_a_regulator(above: int, rules: set[str]) -> None:
    """Row 33: CSA B149.1 8.14.8 (d), up to 15 ft above the regulator (read)."""
    site = survey("ca-b149", regulators=(regulator(None),))
    assert broken(BLANK, site, ROOM_AIR, 5_000 + RADIUS + feet(2), above + RADIUS) == rules


def lawful_up_to(outline: tuple[Point2, ...], at: Point2, facade: str, s: int, radius: int) -> int:
    """Greatest distance [mm] from an inlet in another wall that a terminal at ``s`` still keeps."""
    vent = AirInlet("inlet", InletKind.FORCED, at, 0, 2_000, 2_000)
    low, high = 0, 5_000
    while low < high:
        middle = (low + high + 1) // 2
        site = survey("ca-b149", air_inlets=(vent,), amendments=(Amendment("CA-c", middle, "test"),))
        if broken(outside(outline), site, spec(False, 199_000, radius=radius), s, 2_000, facade):
            high = middle - 1
        else:
            low = middle
    return low


def test_string_round_an_outside_corner() -> None:
    """Row 34: 18 in to the corner and 24 in beyond it are 42 in (read, a province's regulator bulletin)."""
    found = lawful_up_to(L_HOUSE, (10_000, 610), "F0", 10_000 - 457 - RADIUS, RADIUS)
    assert found == 457 + 610 == round(42 * 25.4)


def test_straight_across_an_inside_corner() -> None:
    """Row 35: 18 in and 24 in from an inside corner are 30 in apart (read, derived)."""
    assert lawful_up_to(L_HOUSE, (5_000, 4_000 + 610), "F2", 5_000 - 457, 1) + 1 == 762 == inches(30)


BEDROOM_SIZE = ((0, 0), (4_000, 0), (4_000, 3_000), (0, 3_000))


@pytest.mark.parametrize("rules", ["us-2018", "ca-b149"])
def test_direct_vent_in_a_bedroom_closet(rules: str) -> None:
    """Row 42: allowed (read)."""
    closet = inside(BEDROOM_SIZE, RoomUse.CLOSET, only_into=RoomUse.BEDROOM)
    assert refused(closet, survey(rules), heater(Draft.DIRECT), 2_000, 1_000) == set()


@pytest.mark.parametrize(("rules", "rule"), [("us-2018", "RM1"), ("ca-b149", "RM7")])
def test_room_air_in_a_bathroom(rules: str, rule: str) -> None:
    """Row 43: not allowed, nor in a room that opens only into one (read)."""
    case = heater(Draft.ROOM_AIR)
    assert refused(inside(BEDROOM_SIZE, RoomUse.BATHROOM), survey(rules), case, 2_000, 1_000) == {rule}
    off_it = inside(BEDROOM_SIZE, RoomUse.UTILITY, only_into=RoomUse.BATHROOM)
    assert refused(off_it, survey(rules), case, 2_000, 1_000) == {rule}


def test_garage_height() -> None:
    """Row 44: igniter 18 in above a garage floor unless listed vapour ignition resistant (read)."""
    garage, site, case = inside(BEDROOM_SIZE, RoomUse.GARAGE), survey("us-2018"), heater()
    assert refused(garage, site, case, 2_000, inches(17)) == {"GA1"}
    assert refused(garage, site, case, 2_000, inches(18)) == set()
    assert refused(garage, site, heater(vapour_ignition_resistant=True), 2_000, inches(17)) == set()


def test_store_room_off_a_garage() -> None:
    """Row 45: a room that opens only to the garage counts as garage (read)."""
    store = inside(BEDROOM_SIZE, RoomUse.UTILITY, only_into=RoomUse.GARAGE)
    assert "GA2" in refused(store, survey("us-2018"), heater(), 2_000, inches(10))
    assert refused(store, survey("us-2018"), heater(), 2_000, inches(18)) == set()


@pytest.mark.parametrize(
    ("rule", "width", "height", "length"), [("AC3", 22, 30, 240), ("AC7", 36, 22, 240), ("AC8", 22, 30, 240)]
)
def test_passages_are_recorded_as_printed(rule: str, width: int, height: int, length: int) -> None:
    """Rows 46-47: attic and crawl-space passages [in] (read); a survey has none, so such rooms are refused."""
    row = next(r for r in mounting_rules("us") if r.id == rule)
    assert row.width and row.height and row.distance
    assert [float(p.inches) for p in (row.width, row.height, row.distance)] == [width, height, length]
    for use in (RoomUse.ATTIC, RoomUse.CRAWL_SPACE):
        assert refused(inside(BEDROOM_SIZE, use), survey("us-2018"), heater(), 2_000, 1_000) & {"AC3", "AC7"}


@pytest.mark.parametrize(("wide_in", "lawful"), [(28, False), (30, True)])
def test_working_space(wide_in: float, lawful: bool) -> None:
    """Row 48: 30 in x 30 in in front of the case, IRC M1305.1 (read)."""
    alcove = inside(((0, 0), (inches(wide_in), 0), (inches(wide_in), 3_000), (0, 3_000)))
    case = heater()
    middle = inches(wide_in) // 2 + case.width_mm // 2 - case.vent_dx_mm
    found = refused(alcove, survey("us-2018"), case, middle, 1_000)
    assert (found == set()) is lawful
    assert found <= {"AC1"}


def test_snow_lifts_the_terminal() -> None:
    """12 in above the expected snow, not above bare ground (common practice, no source)."""
    site = survey("us-2018", snow_depth_mm=600)
    assert broken(BLANK, site, ROOM_AIR, 3_000, -3_000 + 600 + inches(12) + RADIUS - 1) == {"SNOW"}
    assert broken(BLANK, site, ROOM_AIR, 3_000, -3_000 + 600 + inches(12) + RADIUS) == set()


def test_swing_of_a_door() -> None:
    """12 in clear of a door's swing, IFGC 502.7.1 (read)."""
    door = hole(5_000, 5_900, -2_900, -900, kind=OpeningKind.DOOR, opening_id="door")
    house, s = outside(holes={0: (door,)}), 5_900 + 900 + inches(12) + RADIUS
    plain = survey("us-2018")
    assert "US18-ND9" in broken(house, plain, ROOM_AIR, s - 1, -2_000)
    assert "US18-ND9" not in broken(house, plain, ROOM_AIR, s, -2_000)
