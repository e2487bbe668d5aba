"""Checker and zones, two separate codes, on random houses of three rooms whose facts are given, false or missing."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from random import Random

import pytest

from service.building.build import build
from service.check.mount import mount_findings
from service.clearance.mount import mount_zones
from service.design import Mount, Terminal
from service.rules.mounting import mounting_rules
from service.rules.rulesets import rule_set, rule_set_ids
from service.survey.model import (
    Access,
    Amendment,
    Enclosure,
    GarageKind,
    KeepOut,
    KeepOutKind,
    Opening,
    OpeningKind,
    Passage,
    Preferences,
    Room,
    RoomUse,
    Survey,
    UnitSystem,
)
from tests.property.depth import deep
from tests.unit.check_house import house, site
from tests.unit.test_check_zones import GAS_HEATERS, broken, draft_design, zones_at

HOUSES, POINTS = min(deep(100, 60), 100), 30


def some(r: Random, *values: int) -> int | None:
    """One of the values or their neighbours, or nothing."""
    return r.choice([*values, *values, *(v - 1 for v in values), *(v + 1 for v in values), None])


def enclosure(r: Random) -> Enclosure | None:
    """Mostly complete."""
    return r.choice([None, Enclosure(*(r.choice([True, True, True, False, None]) for _ in range(3)))])


def access(r: Random) -> Access | None:
    """Facts near the limits of the tables; whole ones often enough to let a heater in."""
    if r.random() < 0.3:
        return r.choice([None, Access()])
    if r.random() < 0.5:
        way = Passage(r.choice([3000, 6096, 6097]), 914, r.choice([762, 1829]), 610, r.choice([0, 305]), None)
        return Access(762, 900, way, 762, 762, r.choice([True, None]), True, None)
    way = Passage(
        some(r, 6096), some(r, 559, 914), some(r, 559, 762, 1829), some(r, 610), some(r, 305), some(r, 102)
    )
    flags = (r.choice([True, False, None]) for _ in range(3))
    return Access(some(r, 508, 559, 900), some(r, 762, 900), way, some(r, 762), some(r, 762), *flags)


def door(r: Random, name: str, a: tuple[int, int], b: tuple[int, int], kind: OpeningKind = OpeningKind.DOOR) -> Opening:
    """Down to the floor or not, high or low."""
    return Opening(name, kind, a, b, r.choice([0, 0, 0, 100]), r.choice([1900, 2032, 2100, 2400]), True, True)


def amendments(r: Random, country: str) -> tuple[Amendment, ...]:
    """Local changes of a few rules: off, binding, other distances."""
    rules = [x for x in mounting_rules(country) if not x.id.startswith(("WISH", "MT"))]
    chosen = r.sample(rules, r.choice([0, 0, 1, 4]))
    return tuple(
        Amendment(x.id, r.choice([None, 500, 1000]) if x.distance else None, "local", None, r.random() < 0.7)
        for x in chosen
    )


@cache
def random_house(seed: int) -> Survey:
    """A closet between two rooms, doors in its walls to both, a room behind the first; 100 mm of wall between."""
    r = Random(seed)
    deep, uses = r.choice([700, 900, 1100, 1300, 2500]), list(RoomUse)
    low = r.choice([0, 0, 0, -300])
    heights = [r.choice([1800, 2000, 2400, 2700]) for _ in range(3)]

    def a_room(name: str, x0: int, x1: int, floor: int, height: int, beyond: list[str | None]) -> Room:
        use = r.choice(uses + [RoomUse.CLOSET, RoomUse.ATTIC, RoomUse.CRAWL_SPACE, RoomUse.GARAGE, RoomUse.BEDROOM] * 4)
        outline = ((x0, 0), (x1, 0), (x1, 4000), (x0, 4000))
        return Room(
            name, use, outline, r.random() < 0.5, floor, floor + height, r.choice(beyond), enclosure(r),
            r.choice([None, *GarageKind]), access(r), serviced_through_door=r.random() < 0.6,
        )  # fmt: skip

    first = a_room("first", 0, 3000, low, heights[0], [None, "closet", "last"])
    closet = a_room("closet", 3100, 3100 + deep, 0, heights[1], [None, "first", "first", "last", "last"])
    last = a_room("last", 3200 + deep, 6200 + deep, 0, heights[2], [None, "closet", "first"])
    y0, y1 = r.randint(100, 1500), r.randint(2300, 3900)
    east = 3150 + deep
    openings = (
        door(r, "to first", (3050, y0), (3050, y1)),
        door(r, "to last", (east, r.randint(100, 1500)), (east, r.randint(2300, 3900))),
        door(r, "out", (6200 + deep, 500), (6200 + deep, 3000), r.choice([OpeningKind.DOOR, OpeningKind.GARAGE_DOOR])),
    )
    x, y = r.randint(0, 6000), r.randint(0, 3000)
    keep = KeepOut("keep", KeepOutKind.OTHER, ((x, y), (x + 400, y), (x + 400, y + 300), (x, y + 300)), 0, 1500)
    rules = r.choice(rule_set_ids())
    plot = site(
        rule_set=rules, flood_elevation_mm=r.choice([None, None, 900, 1500]),
        amendments=amendments(r, rule_set(rules).country),
    )  # fmt: skip
    wishes = Preferences(rooms_refused=r.choice([(), (), ("last",)]))
    at = house(rooms=(first, closet, last), openings=openings, on={"keep_outs": (keep,)})
    return replace(at, site=plot, units=r.choice(list(UnitSystem)), preferences=wishes)


@pytest.mark.parametrize("seed", range(HOUSES))
def test_a_place_is_free_of_zones_if_and_only_if_the_checker_passes_it(seed: int) -> None:
    """Rule by rule, for every rule set, with unknown facts and local amendments; limits themselves included."""
    r, at = Random(7000 + seed), random_house(seed)
    home, heater = build(at), replace(r.choice(GAS_HEATERS), vapour_ignition_resistant=r.random() < 0.2)
    zones = mount_zones(home, at, heater)
    for _ in range(POINTS):
        face = r.choice(home.faces)
        edges = [e + d for q in zones[face.id] for e in (q.s0, q.s1) for d in (-1, 0, 1)] or [0]
        levels = [e + d for q in zones[face.id] for e in (q.z0, q.z1) for d in (-1, 0, 1)] or [0]
        s = r.choice([r.randint(0, face.length_mm), r.choice(edges)])
        z = r.choice([r.randint(200, 1900), r.randint(900, 1300), r.choice(levels)])
        if not (0 <= s <= face.length_mm and -500 <= z <= 4000):
            continue
        found = broken(mount_findings(at, home, draft_design(heater, Mount(face.id, s, z), Terminal("", 0, 0))))
        assert found == zones_at(zones[face.id], s, z), (face.id, s, z)


def test_the_random_houses_put_every_rule_to_the_test() -> None:
    """Every rule that can close a place closes some and leaves others; some places are free of all."""
    closing: Counter[str] = Counter()
    free: Counter[str] = Counter()
    for seed in range(40):
        at = random_house(seed)
        home = build(at)
        for heater in GAS_HEATERS[:3]:
            for face, zones in mount_zones(home, at, heater).items():
                closing.update({z.rule_id for z in zones})
                s = home.face(face).length_mm // 2
                levels = range(400, 1500, 20)
                free[home.room(home.face(face).room_id).use] += any(not zones_at(zones, s, z) for z in levels)
    rooms = {"RM1", "RM7", "RM9", "GA1", "GA2", "GA6", "AC1", "CL4", "HR1", "WISH1"}
    ways = {"AC3", "AC4", "AC5", "AC7", "AC7-OPENING", "AC7-SPACE", "AC8", "AC8-OPENING", "AC9", "CL3"}
    assert rooms | ways <= set(closing)
    assert free[RoomUse.ATTIC] and free[RoomUse.CRAWL_SPACE] and free[RoomUse.CLOSET] and free[RoomUse.GARAGE]
