"""The checker on combustion air: each way kept and broken in an invented house of two rooms and a garage."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.building.build import build
from service.check.air import air_findings
from service.design import AirMethod, AirProvision, Design, Finding, Verdict
from service.rules.catalogue import heaters
from service.survey.model import Appliance, Enclosure, Joined, JoinedBy, Room, RoomUse, Survey
from service.trades import air
from tests.unit.check_house import design, house, site

BTU_H, IN2_MM2, FT3 = 1055.05585262 / 3600, 25.4**2, 0.3048**3
HEATER = heaters()["nc-room-120"]
FAN = AirMethod.MECHANICAL
OUTER, BESIDE = (0, 0), (6000, 0)


def box(x: int, width: int) -> tuple[tuple[int, int], ...]:
    """Rooms in a row, 4 m deep."""
    return (x, 0), (x + width, 0), (x + width, 4000), (x, 4000)


def at(*, plant: dict[str, Any] | None = None, hall: dict[str, Any] | None = None, **site_facts: Any) -> Survey:
    """A plant room of 72 m3, a hall of 72 m3 beside it, a garage beyond."""
    rooms = (
        replace(Room("plant", RoomUse.UTILITY, box(0, 6000), False, 0, 3000), **(plant or {})),
        replace(Room("hall", RoomUse.HALL, box(6000, 6000), True, 0, 3000), **(hall or {})),
        Room("garage", RoomUse.GARAGE, box(12_000, 6000), False, 0, 3000),
    )
    return house(rooms=rooms, openings=(), site=site(**site_facts))


def hung(survey: Survey, provision: AirProvision | None, outdoors: bool | None = None) -> Design:
    """A room-air heater of 120,000 Btu/h in the plant room."""
    opens = provision is not None and air.opens_outdoors(provision.method) if outdoors is None else outdoors
    return replace(design(survey, heater=HEATER), air=provision, air_openings=opens)


def told(survey: Survey, provision: AirProvision | None, **more: Any) -> tuple[Finding, ...]:
    """Findings on combustion air."""
    return air_findings(survey, build(survey), hung(survey, provision, **more))


def broken(survey: Survey, provision: AirProvision | None, **more: Any) -> set[str]:
    """Rules failed, or open with a question mark."""
    wrong = {Verdict.FAIL: "", Verdict.UNKNOWN: "?"}
    return {f.rule_id + wrong[f.verdict] for f in told(survey, provision, **more) if f.verdict in wrong}


def made(
    method: AirMethod, in2: float = 0.0, count: int = 0, rooms: tuple[str, ...] = ("plant",), **more: Any
) -> AirProvision:
    """A provision with openings of a free area in square inches."""
    return AirProvision(method, rooms, (air.opening(in2 * IN2_MM2),) * count, **more)


def small(btu_h: float) -> Any:
    """The heater with another input."""
    return replace(HEATER, input_max_w=btu_h * BTU_H)


@pytest.mark.parametrize(
    ("provision", "faults"),
    [
        pytest.param(made(AirMethod.STANDARD), {"air.volume"}, id="2,543 ft3 of 6,000"),
        pytest.param(made(AirMethod.INFILTRATION), {"air.method", "air.volume"}, id="air changes not known"),
        pytest.param(made(AirMethod.TWO_OPENINGS, 30, 2), set(), id="120 over 4"),
        pytest.param(made(AirMethod.TWO_OPENINGS, 29.9, 2), {"air.area"}, id="a tenth too small"),
        pytest.param(made(AirMethod.TWO_OPENINGS, 60, 1), {"air.area"}, id="one where two are asked"),
        pytest.param(made(AirMethod.ONE_OPENING, 40, 1), set(), id="120 over 3"),
        pytest.param(made(AirMethod.ONE_OPENING, 39.9, 1), {"air.area"}, id="one too small"),
        pytest.param(made(AirMethod.HORIZONTAL_DUCTS, 60, 2), set(), id="120 over 2"),
        pytest.param(made(AirMethod.HORIZONTAL_DUCTS, 59, 2), {"air.area"}, id="ducts too small"),
        pytest.param(made(AirMethod.HORIZONTAL_DUCTS, 60, 2, through=("hall",)), set(), id="ducts through the hall"),
        pytest.param(made(AirMethod.HORIZONTAL_DUCTS, 60, 2, through=("garage",)), {"air.way"}, id="not beside"),
        pytest.param(made(AirMethod.VERTICAL_DUCTS, 30, 2), {"air.way?"}, id="roof not told"),
        pytest.param(made(AirMethod.GRILLES, 120, 2, ("plant", "hall"), through=("hall",)), {"air.volume"}, id="5,086"),
        pytest.param(made(AirMethod.GRILLES, 120, 2, through=("garage",)), {"air.way", "air.volume"}, id="garage"),
        pytest.param(made(AirMethod.GRILLES, 120, 2), {"air.way", "air.area", "air.volume"}, id="into no room"),
        pytest.param(made(AirMethod.COMBINED, 23.1, 1), set(), id="40 x (1 - 2,543 / 6,000) = 23.05"),
        pytest.param(made(AirMethod.COMBINED, 23.0, 1), {"air.area"}, id="combined too small"),
        pytest.param(made(AirMethod.COMBINED, 17.3, 2), set(), id="30 x 0.576 = 17.29"),
        pytest.param(made(FAN, supply_m3_s=42 * FT3 / 60), set(), id="0.35 x 120"),
        pytest.param(made(FAN, supply_m3_s=41.9 * FT3 / 60), {"air.supply"}, id="fan too small"),
        pytest.param(made(AirMethod.TWO_OPENINGS, 30, 2, ("hall",)), {"air.rooms"}, id="not the heater's own room"),
        pytest.param(made(AirMethod.TWO_OPENINGS, 30, 2, counted_m3=300.0), {"air.stated"}, id="a false volume"),
    ],
)  # fmt: skip
def test_each_way(provision: AirProvision, faults: set[str]) -> None:
    """72 m3 are 2,543 ft3; 120,000 Btu/h ask for 6,000 (rates and areas read, one opening memory)."""
    assert broken(at(), provision) == faults


def test_flag_for_old_readers_must_agree() -> None:
    """air_openings says whether openings to outdoors are made."""
    assert broken(at(), made(AirMethod.TWO_OPENINGS, 30, 2), outdoors=False) == {"air.stated"}
    assert broken(at(), made(FAN, supply_m3_s=1.0), outdoors=True) == {"air.stated"}


@pytest.mark.parametrize(("under_roof", "faults"), [(True, set()), (False, {"air.way"}), (None, {"air.way?"})])
def test_vertical_ducts_need_the_roof_above(under_roof: bool | None, faults: set[str]) -> None:
    """What lies over the room has to be told."""
    assert broken(at(plant={"under_roof": under_roof}), made(AirMethod.VERTICAL_DUCTS, 30, 2)) == faults


@pytest.mark.parametrize(
    ("joined", "counts"),
    [
        (Joined("hall", JoinedBy.DOORLESS), True),
        (Joined("hall", JoinedBy.OPENINGS, 120 * IN2_MM2, 120 * IN2_MM2), True),
        (Joined("hall", JoinedBy.OPENINGS, 120 * IN2_MM2, 119 * IN2_MM2), False),
        (Joined("hall", JoinedBy.OPENINGS, 500 * IN2_MM2, None), False),
    ],
)
def test_joined_rooms_count_if_the_openings_are_large_enough(joined: Joined, counts: bool) -> None:
    """1 in2 for 1,000 Btu/h each, high and low (read); an area that nobody tells is none. It holds both ways."""
    for survey in (at(plant={"joined": (joined,)}), at(hall={"joined": (replace(joined, room="plant"),)})):
        both = made(AirMethod.TWO_OPENINGS, 30, 2, ("plant", "hall"))
        assert ("air.rooms" in broken(survey, both)) is not counts


@pytest.mark.parametrize("use", [RoomUse.BEDROOM, RoomUse.BATHROOM, RoomUse.GARAGE, RoomUse.UNKNOWN])
def test_some_rooms_never_count(use: RoomUse) -> None:
    """No air from sleeping rooms and baths (IFGC 303.3, memory), nor from a room whose use nobody knows."""
    survey = at(plant={"joined": (Joined("hall", JoinedBy.DOORLESS),)}, hall={"use": use})
    assert "air.rooms" in broken(survey, made(AirMethod.TWO_OPENINGS, 30, 2, ("plant", "hall")))


def furnace(room: str | None, **facts: Any) -> Appliance:
    """80,000 Btu/h."""
    return Appliance("furnace", "furnace", 80_000 * BTU_H, facts.pop("direct_vent", None), room, "meter", **facts)


def burning(survey: Survey, appliance: Appliance) -> Survey:
    """With an appliance."""
    return replace(survey, gas=replace(survey.gas, appliances=(appliance,)))


@pytest.mark.parametrize(
    ("appliance", "in2"),
    [
        (furnace("plant"), 50), (furnace(None), 50), (furnace("hall"), 30), (furnace("plant", direct_vent=True), 30),
    ],
)  # fmt: skip
def test_other_appliances_add_their_need(appliance: Appliance, in2: float) -> None:
    """In the room or nobody knows where: 200 over 4; elsewhere or direct vent: 120 over 4."""
    survey = burning(at(), appliance)
    assert broken(survey, made(AirMethod.TWO_OPENINGS, in2, 2)) == set()
    assert broken(survey, made(AirMethod.TWO_OPENINGS, in2 - 0.1, 2)) == {"air.area"}


def test_appliances_of_rooms_that_share_air_add_theirs_whatever_the_opening() -> None:
    """Through a grille too small to count the hall's volume, its furnace still draws on the plant room."""
    joined = Joined("hall", JoinedBy.OPENINGS, 10 * IN2_MM2, 10 * IN2_MM2)
    survey = burning(at(plant={"joined": (joined,)}), furnace("hall"))
    assert broken(survey, made(AirMethod.TWO_OPENINGS, 49.9, 2)) == {"air.area"}


@pytest.mark.parametrize(
    ("diameter", "in2", "faults"),
    [(None, 70, {"air.area?"}), (150, 66.7, set()), (0, 66.7, set()), (250, 66.7, {"air.area"}), (250, 90, set())],
)
def test_single_opening_and_the_vent_connectors(diameter: int | None, in2: float, faults: set[str]) -> None:
    """200 over 3 is 66.7; 250 mm and the heater's 104 mm together are 89.3 in2; unknown is unknown (memory)."""
    survey = burning(at(), furnace("plant", vent_diameter_mm=diameter))
    assert broken(survey, made(AirMethod.ONE_OPENING, in2, 1)) == faults


def test_single_opening_asks_for_space_around() -> None:
    """1 in beside and 6 in before the appliance (IFGC 304.6.2, memory); the back is told as advice."""
    survey, tight = at(), replace(HEATER, clearances=replace(HEATER.clearances, left_mm=20))
    given = replace(hung(survey, made(AirMethod.ONE_OPENING, 40, 1)), heater=tight)
    found = {f.rule_id: f.verdict for f in air_findings(survey, build(survey), given)}
    assert (found["air.space"], found["air.back"]) == (Verdict.FAIL, Verdict.ADVICE)


@pytest.mark.parametrize(
    ("facts", "method", "btu_h", "faults"),
    [
        ({"air_changes_per_h": 0.35}, AirMethod.STANDARD, 40_000, {"air.method", "air.volume"}),
        ({"air_changes_per_h": 0.35}, AirMethod.INFILTRATION, 59_000, set()),  # 15 / 0.35 x 59 = 2,529
        ({"air_changes_per_h": 0.35}, AirMethod.INFILTRATION, 60_000, {"air.volume"}),  # 2,571
        ({"air_changes_per_h": 0.80}, AirMethod.INFILTRATION, 101_000, set()),  # 25 x 101 = 2,525
        ({"air_changes_per_h": 0.80}, AirMethod.INFILTRATION, 102_000, {"air.volume"}),
        ({"air_changes_per_h": 0.40}, AirMethod.STANDARD, 50_000, set()),
        ({"tight": True}, AirMethod.STANDARD, 10_000, {"air.method", "air.volume"}),
        ({"tight": False}, AirMethod.STANDARD, 50_000, set()),
    ],
)
def test_infiltration_decides_the_method(
    facts: dict[str, Any], method: AirMethod, btu_h: float, faults: set[str]
) -> None:
    """Below 0.40 known air changes the standard method may not be used, and 0.60 are the most to count (read)."""
    survey = at(**facts)
    given = replace(hung(survey, made(method)), heater=small(btu_h))
    found = air_findings(survey, build(survey), given)
    assert {f.rule_id for f in found if f.verdict is Verdict.FAIL} == faults


def test_an_enclosure_takes_all_its_air_from_outdoors() -> None:
    """However large it is."""
    survey = at(plant={"enclosure": Enclosure(True, True, True), "ceiling_z_mm": 12_000})
    assert "air.method" in broken(survey, made(AirMethod.STANDARD))
    assert broken(survey, made(AirMethod.TWO_OPENINGS, 30, 2)) == set()


@pytest.mark.parametrize(
    ("provision", "faults"),
    [
        (made(AirMethod.ONE_OPENING, 11, 1), set()),
        (made(AirMethod.ONE_OPENING, 10.9, 1), {"air.area"}),
        (made(AirMethod.TWO_OPENINGS, 11, 2), set()),
        (made(AirMethod.STANDARD), {"air.method", "air.volume"}),
        (made(AirMethod.HORIZONTAL_DUCTS, 60, 2), {"air.method"}),
        (made(FAN, supply_m3_s=42 * FT3 / 60), set()),
    ],
)
def test_canadian_tables(provision: AirProvision, faults: set[str]) -> None:
    """120,000 Btu/h without draft control: next known cell of Table 8.2 is 150,000, 11 in2 (read)."""
    assert broken(at(rule_set="ca-b149"), provision) == faults


def test_a_draft_hood_in_the_space_asks_for_the_larger_table() -> None:
    """200,000 with draft control: next known cell of Table 8.1 is 300,000, 43 in2 (read)."""
    survey = burning(at(rule_set="ca-b149"), furnace("plant"))
    assert broken(survey, made(AirMethod.ONE_OPENING, 43, 1)) == set()
    assert broken(survey, made(AirMethod.ONE_OPENING, 42, 1)) == {"air.area"}


def test_a_design_that_tells_nothing_of_its_air() -> None:
    """As before: the room's own air, or two openings where there is an outer wall; in Canada an opening always."""
    assert broken(at(), None, outdoors=False) == {"air.volume"}
    assert broken(at(), None, outdoors=True) == set()
    large = at(plant={"ceiling_z_mm": 8000})
    assert broken(large, None, outdoors=False) == set()
    assert broken(at(plant={"ceiling_z_mm": 8000}, rule_set="ca-b149"), None, outdoors=False) == {"air.volume"}


def test_direct_vent_is_exempt() -> None:
    """No finding, no advice (NFPA 54 9.3.1.1, read)."""
    survey = at()
    assert air_findings(survey, build(survey), design(survey)) == ()


def test_advice_names_fans_and_what_is_not_told() -> None:
    """Exhaust of the space is made up for by the fan, and said; the instructions govern."""
    survey = at(plant={"exhaust_m3_s": 0.05, "joined": (Joined("hall", JoinedBy.DOORLESS),)})
    found = {f.rule_id: f for f in told(survey, made(FAN, supply_m3_s=42 * FT3 / 60))}
    assert found["air.supply"].verdict is Verdict.FAIL
    assert "50.0 L/s" in str(found["air.makeup"].detail) and "hall" in str(found["air.makeup"].detail)
    assert {"air.instructions", "air.dampers", "air.places"} <= found.keys()
    assert "govern" in str(found["air.instructions"].detail)
    assert broken(survey, made(FAN, supply_m3_s=42 * FT3 / 60 + 0.05)) == set()


def test_advice_on_places_follows_the_country() -> None:
    """12 in (305 mm) from ceiling and floor (IFGC 304, read); in Canada 6 to 18 in over an enclosure's floor (read)."""
    for rules, words in (("us-2021", "within 305 mm"), ("ca-b149", "between 152 mm and 457 mm")):
        found = {f.rule_id: f for f in told(at(rule_set=rules), made(AirMethod.TWO_OPENINGS, 30, 2))}
        assert words in str(found["air.places"].detail)
