"""Where a heater may hang: check values 42 to 48 of the reference, by zones and checker alike.

Sources as told there: summaries of IFGC 303.3 and NFPA 54 10.1.2, a state printing of IFGC 306, texts quoting IRC
M1305 and M1307 (all read); what is marked memory is so in the rule table too.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.design import Verdict
from service.rules.mounting import mounting_rules
from service.survey.equipment import Draft
from service.survey.model import Access, Amendment, Passage, RoomUse
from tests.unit.clearance_site import feet, heater, inches
from tests.unit.place_house import WHOLE_WAY, broken, found, two_rooms, verdicts

ROOM_AIR = heater(Draft.ROOM_AIR)
OUTRIGHT = Amendment("RM1-LOCAL", None, "Waterbury, Connecticut: no gas water heater in closets", enforce=True)


@pytest.mark.parametrize("rules", ["us-2015", "us-2018", "us-2021", "ca-b149"])
def test_42_direct_vent_in_a_bedroom_closet(rules: str) -> None:
    """Allowed in the United States and Canada (read); by one town's ordinance it is not (read)."""
    at = two_rooms(RoomUse.CLOSET, rules=rules, beyond=RoomUse.BEDROOM, opens_only_into="beyond")
    assert broken(found(at)) == set()
    there = replace(at, site=replace(at.site, amendments=(OUTRIGHT,)))
    assert broken(found(there)) == (set() if rules == "ca-b149" else {"RM1-LOCAL"})


@pytest.mark.parametrize(("rules", "rule"), [("us-2018", "RM1"), ("us-2021", "RM1"), ("ca-b149", "RM7")])
def test_43_power_vented_in_a_bathroom_without_enclosure(rules: str, rule: str) -> None:
    """Not allowed (read)."""
    assert verdicts(found(two_rooms(RoomUse.BATHROOM, rules=rules), ROOM_AIR), rule) == {Verdict.FAIL}


@pytest.mark.parametrize(("inch", "verdict"), [(17, Verdict.FAIL), (18, Verdict.PASS)])
def test_44_garage(inch: int, verdict: Verdict) -> None:
    """18 in over the floor unless listed vapour ignition resistant (read)."""
    at = two_rooms(RoomUse.GARAGE)
    assert verdicts(found(at, bottom=inches(inch)), "GA1") == {verdict}
    assert verdicts(found(at, heater(vapour_ignition_resistant=True), bottom=inches(inch)), "GA1") == set()


def test_45_store_room_that_opens_only_to_the_garage() -> None:
    """10 in fails (read); a room between garage and dwelling, with another way out, does not count as garage."""
    store = two_rooms(RoomUse.STORAGE, beyond=RoomUse.GARAGE, opens_only_into="beyond")
    assert verdicts(found(store, bottom=inches(10)), "GA2") == {Verdict.FAIL}
    between = two_rooms(RoomUse.UTILITY, beyond=RoomUse.GARAGE)
    assert verdicts(found(between, bottom=inches(10)), "GA2") == set()


def attic(length: int, height: int) -> Access:
    """Passage of row 46: 22 in wide, solid floor 24 in."""
    way = Passage(length, round(22 * 25.4), height, round(24 * 25.4))
    return replace(WHOLE_WAY, passage=way)


@pytest.mark.parametrize(
    ("length", "height", "lawful"),
    [
        (feet(20), inches(30), True),
        (feet(20, 1), inches(30), False),
        (feet(20, 1), feet(6), True),
        (feet(40), feet(6) - 1, False),
        (feet(20), inches(30) - 1, False),
    ],
)
def test_46_attic_passage(length: int, height: int, lawful: bool) -> None:
    """22 in wide, 30 in high, 20 ft long, floor 24 in passes; an inch longer fails unless 6 ft high (read)."""
    assert broken(found(two_rooms(RoomUse.ATTIC, access=attic(length, height)))) == (set() if lawful else {"AC3"})


def test_47_crawl_passage() -> None:
    """24 in high and 36 in wide: passes IFGC 306.4, fails IRC 2006 M1305.1.4, which asks 30 in (read)."""
    way = Passage(3_000, round(36 * 25.4), round(24 * 25.4), None, 0)
    at = two_rooms(RoomUse.CRAWL_SPACE, access=replace(WHOLE_WAY, passage=way))
    assert verdicts(found(at), "AC7") == {Verdict.PASS}
    assert broken(found(at)) == {"AC8"}
    adopted = replace(at, site=replace(at.site, amendments=(Amendment("AC8", None, "IFGC is the code here"),)))
    assert broken(found(adopted)) == set()
    narrow = replace(WHOLE_WAY, passage=replace(way, width_mm=round(22 * 25.4), height_mm=inches(30)))
    assert broken(found(two_rooms(RoomUse.CRAWL_SPACE, access=narrow))) == {"AC7"}


@pytest.mark.parametrize(("wide", "lawful"), [(28, False), (30, True)])
def test_48_working_space(wide: int, lawful: bool) -> None:
    """30 in deep and 28 in wide fails, IRC M1305.1 (read)."""
    at = two_rooms()
    here = replace(at.storeys[0].rooms[0], outline=((0, 0), (inches(wide), 0), (inches(wide), 3_000), (0, 3_000)))
    at = replace(at, storeys=(replace(at.storeys[0], rooms=(here, at.storeys[0].rooms[1])),))
    middle = inches(wide) // 2 + 200 - 150
    assert broken(found(at, s=middle)) == (set() if lawful else {"AC1"})


PRINTED = [  # reference 4.2 to 4.4, in: read but for AC7-OPENING, AC11, GA5, GA6, CL3 (memory)
    ("GA1", {"distance": 18}, "read"),
    ("GA5", {"distance": 72}, "memory"),
    ("GA6", {"distance": 96, "height": 12}, "memory"),
    ("AC1", {"distance": 30, "width": 30}, "read"),
    ("AC3", {"distance": 240, "width": 22, "height": 30, "floor": 24, "high": 72}, "read"),
    ("AC4", {"distance": 30, "width": 30}, "read"),
    ("AC5", {"width": 20, "height": 30}, "read"),
    ("AC7", {"distance": 240, "width": 36, "height": 22}, "read"),
    ("AC7-OPENING", {"width": 22, "height": 30}, "memory"),
    ("AC7-SPACE", {"distance": 30, "width": 30}, "read"),
    ("AC8", {"distance": 240, "width": 22, "height": 30}, "read"),
    ("AC8-OPENING", {"width": 22, "height": 30}, "read"),
    ("AC9", {"distance": 12, "height": 4}, "read"),
    ("AC11", {"width": 36, "height": 80}, "memory"),
    ("CL3", {"distance": 6}, "memory"),
]


@pytest.mark.parametrize(("rule", "sizes", "mark"), PRINTED, ids=[p[0] for p in PRINTED])
def test_figures_as_printed(rule: str, sizes: dict[str, int], mark: str) -> None:
    """Inches of the code, and the millimetres printed beside them, which are those inches to the nearest one."""
    row = next(r for r in mounting_rules("us") if r.id == rule)
    held = {n: getattr(row, n) for n in ("distance", "width", "height", "floor", "high") if getattr(row, n)}
    assert {n: float(p.inches) for n, p in held.items()} == sizes
    assert all(p.si_mm == round(float(p.inches) * 25.4) for p in held.values())
    assert row.mark == mark
