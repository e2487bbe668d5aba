"""Combustion air of random rooms: the search buys the cheapest way that the checker passes, and no dearer one."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from service.building.build import build
from service.rules.catalogue import heaters
from service.siting.air_plan import AirPlan
from service.survey.equipment import Draft, Heater
from service.survey.model import Appliance, Enclosure, Joined, JoinedBy, Room, RoomUse, Survey
from service.trades import air
from tests.property.brute_air import cheapest_air, is_lawful
from tests.property.houses import house

ROOM_AIR = sorted((h for h in heaters().values() if h.draft is Draft.ROOM_AIR and h.indoors), key=lambda h: h.id)
IN2_MM2 = 25.4**2
HOUSES = range(1000, 1100)
USES = (
    RoomUse.UTILITY, RoomUse.HALL, RoomUse.KITCHEN, RoomUse.BASEMENT, RoomUse.GARAGE, RoomUse.BEDROOM, RoomUse.UNKNOWN,
)  # fmt: skip


def airy(seed: int) -> tuple[Survey, Heater]:
    """A generated house whose rooms share air, with appliances that burn some of it, and a heater that does."""
    r, at = Random(seed), house(seed)
    names = [room.id for s in at.storeys for room in s.rooms]
    storeys = tuple(replace(s, rooms=tuple(_room(r, room, names) for room in s.rooms)) for s in at.storeys)
    appliances = tuple(_appliance(r, f"appliance {i}", names, at.gas.delivery_node) for i in range(r.choice((0, 1, 2))))
    site = replace(
        at.site, tight=r.choice((None, None, True, False)), air_changes_per_h=r.choice((None, None, 0.2, 0.4, 0.7))
    )
    heater = r.choice(ROOM_AIR)
    small = replace(heater, input_max_w=heater.input_max_w * r.choice((0.1, 0.3, 1.0)))
    return replace(at, storeys=storeys, site=site, gas=replace(at.gas, appliances=appliances)), small


def _room(r: Random, room: Room, names: list[str]) -> Room:
    after = names[names.index(room.id) + 1 :]
    joined = tuple(_joined(r, name) for name in after if r.random() < 0.4)
    higher = room.ceiling_z_mm + r.choice((0, 0, 4000))  # as if a hall reached through
    sealed = Enclosure() if r.random() < 0.1 else None
    exhaust = r.choice((None, 0.0, 0.05))
    tall = higher if room.floor_z_mm > 0 or r.random() < 0.3 else room.ceiling_z_mm
    return replace(
        room, use=r.choice(USES), joined=joined, enclosure=sealed, exhaust_m3_s=exhaust, ceiling_z_mm=tall,
        under_roof=r.choice((None, True, False)),
    )  # fmt: skip


def _joined(r: Random, room: str) -> Joined:
    if r.random() < 0.4:
        return Joined(room, JoinedBy.DOORLESS)
    return Joined(room, JoinedBy.OPENINGS, *(r.choice((None, 60, 100, 150, 250)) for _ in range(2)))


def _appliance(r: Random, name: str, rooms: list[str], node: str) -> Appliance:
    input_w, room = r.choice((3_000.0, 12_000.0, 30_000.0)), r.choice((None, *rooms))
    direct, fan = r.choice((None, True, False)), r.choice((None, True, False))
    wide = r.choice((None, 0, 152))
    return Appliance(name, "furnace", input_w, direct, room, node, fan_assisted=fan, vent_diameter_mm=wide)


def with_areas(at: Survey) -> Survey:
    """Joining areas are drawn in square inches."""
    def mm2(area: float | None) -> float | None:
        return None if area is None else area * IN2_MM2

    def room(x: Room) -> Room:
        joined = tuple(replace(j, top_area_mm2=mm2(j.top_area_mm2), bottom_area_mm2=mm2(j.bottom_area_mm2))
                       for j in x.joined)  # fmt: skip
        return replace(x, joined=joined)

    return replace(at, storeys=tuple(replace(s, rooms=tuple(room(x) for x in s.rooms)) for s in at.storeys))


@pytest.mark.parametrize("seed", HOUSES)
def test_cheapest_lawful_air_of_random_rooms(seed: int) -> None:
    """In each room the search's provision passes the checker as it stands, and costs what the cheapest of all that
    the checker passes costs; where it has none, the checker passes none."""
    drawn, heater = airy(seed)
    at = with_areas(drawn)
    building = build(at)
    plan = AirPlan(at, building)
    for room in building.rooms:
        ours, brute = plan.cheapest(room.id, heater), cheapest_air(at, building, room.id, heater)
        assert (ours is None) == (brute is None), (room.id, brute)
        if ours is not None and brute is not None:
            assert is_lawful(at, building, room.id, heater, ours), (room.id, ours)
            assert plan.cents(ours) == brute[0], (room.id, ours, brute)


def test_every_way_and_its_lack_come_up() -> None:
    """The random rooms are more than 200, and need every way that is on offer, and some have none."""
    found: list[str] = []
    for seed in HOUSES:
        at, heater = airy(seed)
        building = build(with_areas(at))
        plan = AirPlan(with_areas(at), building)
        ways = [plan.cheapest(room.id, heater) for room in building.rooms]
        found += ["none" if w is None else w.method.value for w in ways]
    assert len(found) > 200
    assert {"standard_volume", "known_infiltration", "transfer_grilles", "one_opening", "two_openings"} <= set(found)


@pytest.mark.parametrize("seed", HOUSES[::10])
def test_every_offer_is_lawful_and_none_is_cheaper(seed: int) -> None:
    """Not only the winner: all that is on offer passes the checker."""
    drawn, heater = airy(seed)
    at = with_areas(drawn)
    building = build(at)
    plan = AirPlan(at, building)
    for room in building.rooms:
        offers, best = list(plan.offers(room.id, heater)), plan.cheapest(room.id, heater)
        assert all(is_lawful(at, building, room.id, heater, p) for p in offers)
        assert best is None or plan.cents(best) == min(plan.cents(p) for p in offers)


def test_less_area_than_asked_is_refused() -> None:
    """A square millimetre less than the search makes, and the checker refuses: both ask for the same."""
    refused = 0
    for seed in HOUSES[::5]:
        drawn, heater = airy(seed)
        at = with_areas(drawn)
        building = build(at)
        for room in building.rooms:
            for p in AirPlan(at, building).offers(room.id, heater):
                if p.openings:
                    small = tuple(air.opening(o.free_mm2 - 1.5) for o in p.openings)
                    assert not is_lawful(at, building, room.id, heater, replace(p, openings=small)), p
                    refused += 1
    assert refused > 50
