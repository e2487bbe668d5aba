"""Combustion air in documents: the survey's facts come in, a design's provision goes out and back, a line tells it."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from service.air_summary import air_line
from service.building.build import build
from service.design import AirMethod, AirProvision, Design, Part
from service.errors import InvalidRequest
from service.http.design_json import design_json
from service.http.design_schema import load_design
from service.http.quantities import Quantities
from service.http.spec_air import air_provision
from service.settings import Settings
from service.survey.model import Joined, JoinedBy, Survey, UnitSystem
from service.trades import air
from tests.unit.check_house import design, house
from tests.unit.survey_documents import Document, load, places, sample, smallest

IN2_MM2, FT3 = 25.4**2, 0.3048**3
OPENINGS = AirProvision(
    AirMethod.TWO_OPENINGS, ("plant",), tuple(air.opening(20_001.5 + i, f"outdoors, {i}") for i in range(2)), (),
    72.123, 210.987, 0.0, "cited",
)  # fmt: skip
FAN = AirProvision(AirMethod.MECHANICAL, ("plant",), (), ("hall",), None, None, 0.032873, "cited")
GRILLES = AirProvision(AirMethod.GRILLES, ("plant", "hall"), (air.opening(77_419.2),) * 2, ("hall",), 144.0, 140.0)


def q_of(at: Survey) -> Quantities:
    """Quantities of an answer."""
    return Quantities(at.units, build(at).frame, at.prices.currency)


def written(at: Survey, given: Design) -> dict[str, Any]:
    """As the service answers."""
    found: dict[str, Any] = json.loads(json.dumps(design_json(given, build(at), q_of(at))))
    return found


def read(at: Survey, document: dict[str, Any]) -> Design:
    """As a check takes it."""
    return load_design(document, at, build(at), Settings())


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("provision", [None, OPENINGS, FAN, GRILLES])
def test_there_and_back(units: UnitSystem, provision: AirProvision | None) -> None:
    """Whole square millimetres, litres and millilitres a second survive either system."""
    at = house(units=units)
    given = replace(design(at), air=provision, air_openings=provision is OPENINGS)
    assert read(at, written(at, given)) == given


def test_figures_go_out_in_the_units_of_the_survey() -> None:
    """199,000 Btu/h: 49.75 in2 each, 66.3 in metal, 199 in wood (OA1, OA8); 32,097 mm2."""
    made = (air.opening(49.75 * IN2_MM2, "outdoors, high"),) * 2
    provision = replace(OPENINGS, openings=made, counted_m3=round(960 * FT3, 3), asked_m3=round(9950 * FT3, 3))
    for units, free, volume in ((UnitSystem.US, 49.75, 9950), (UnitSystem.SI, 32_097, 281.752)):
        at = house(units=units)
        told = written(at, replace(design(at), air=provision, air_openings=True))["air"]
        assert told["openings"][0]["area_free"] == pytest.approx(free, abs=1e-3)
        assert told["openings"][1]["area_gross_metal"] == pytest.approx(free / 0.75, abs=1)
        assert told["openings"][1]["area_gross_wood"] == pytest.approx(free / 0.25, abs=3)
        assert told["required_volume"] == pytest.approx(volume, abs=0.02)
        assert told["price_keys"] == ["air.openings"]


def test_a_provision_by_hand_needs_method_rooms_and_areas() -> None:
    """Gross sizes follow; 30 in2 of a caller are 30 in2, though no whole number of square millimetres."""
    at = house(units=UnitSystem.US)
    document = written(at, replace(design(at), air=None, air_openings=True))
    document["air"] = {"method": "two_openings", "rooms": ["plant"], "openings": [{"area_free": 30}] * 2}
    found = read(at, document).air
    assert found is not None
    assert [o.free_mm2 for o in found.openings] == [19_355, 19_355]  # 19,354.8 rounded up
    assert found.openings[0].gross_metal_mm2 == 25_807 and found.counted_m3 is None


def test_an_old_design_without_the_member_loads() -> None:
    """It tells no more than whether openings are made."""
    at = house()
    document = written(at, replace(design(at), air_openings=True))
    del document["air"]
    assert (read(at, document).air, read(at, document).air_openings) == (None, True)


def test_air_alone_is_a_part_of_a_design() -> None:
    """The flag then follows from the method."""
    at = house()
    whole = written(at, replace(design(at), air=OPENINGS, air_openings=True))
    found = read(at, {"heater": whole["heater"], "mount": whole["mount"], "air": whole["air"]})
    assert found.air == OPENINGS and found.air_openings and found.has(Part.AIR, Part.MOUNT) and not found.whole


@pytest.mark.parametrize(
    ("member", "value", "fault"),
    [
        ("method", "draught", ("#/air/method", "not_a_choice")),
        ("rooms", None, ("#/air/rooms", "wrong_type")),
        ("price_keys", ["air.mechanical"], ("#/air/price_keys/0", "contradiction")),
        ("openings", [{}], ("#/air/openings/0/area_free", "missing")),
        ("supply_flow", -1, ("#/air/supply_flow", "out_of_range")),
        ("louvre", 1, ("#/air/louvre", "unknown_field")),
    ],
)
def test_faults_are_told_by_their_place(member: str, value: Any, fault: tuple[str, str]) -> None:
    """Every slip at its pointer."""
    at = house()
    document = written(at, replace(design(at), air=OPENINGS, air_openings=True))
    document["air"][member] = value
    with pytest.raises(InvalidRequest) as refused:
        read(at, document)
    assert fault in {(f.pointer, f.code) for f in refused.value.faults}


def test_members_are_those_of_the_specification() -> None:
    """Nothing is answered that is not described, and nothing described is left out."""
    at = house()
    told = written(at, replace(design(at), air=OPENINGS, air_openings=True))["air"]
    described = air_provision()
    assert set(told) == set(described["properties"])
    assert set(told["openings"][0]) == set(described["properties"]["openings"]["items"]["properties"])


@pytest.mark.parametrize(
    ("provision", "words"),
    [
        (None, "own pipe"),
        (OPENINGS, "two openings; 1 of 20,002.0 mm2 free area (louvre: 26,670.0 mm2 in metal, 80,008.0 mm2 in wood)"),
        (FAN, "mechanical; by way of hall; fan for 32.9 L/s; no volume of plant would do"),
        (GRILLES, "transfer grilles; by way of hall; 2 of 77,420.0 mm2 free area"),
    ],
)
def test_one_line_tells_it(provision: AirProvision | None, words: str) -> None:
    """Method, way, sizes, volumes, source."""
    if provision is OPENINGS:
        provision = replace(OPENINGS, openings=OPENINGS.openings[:1])
    at = house()
    told = written(at, replace(design(at), air=provision, air_openings=provision is not None))
    line = air_line(told, {"units": q_of(at).units()} if provision is None or provision.citation else _cited(at, told))
    assert line.startswith("Air       ") and words in line and "\n" not in line


def _cited(at: Survey, told: dict[str, Any]) -> dict[str, Any]:
    told["air"]["citation"] = "cited"
    return {"units": q_of(at).units()}


def with_air(site: Document, room: Document, appliance: Document) -> Survey:
    """The slab house with facts on air; its utility room is joined to the next."""
    document = sample()
    document["site"].update(site)
    next(r for r in document["storeys"][0]["rooms"] if r["id"] == "utility").update(room)
    document["gas"]["appliances"][0].update(appliance)
    return load(document)


def test_facts_on_air_are_read() -> None:
    """Square inches and cubic feet a minute where the survey speaks US units."""
    joined = [{"room": "kitchen", "by": "openings", "top_area": 100, "bottom_area": {"value": 900, "unit": "cm2"}}]
    room = {"joined": joined, "exhaust_flow": 100, "under_roof": True}
    at = with_air({"tight": True, "air_changes": 0.35}, room, {"fan_assisted": True, "vent_diameter": 0.5})
    found = next(r for s in at.storeys for r in s.rooms if r.id == "utility")
    assert found.joined == (Joined("kitchen", JoinedBy.OPENINGS, pytest.approx(64_516), pytest.approx(90_000)),)
    assert (found.exhaust_m3_s, found.under_roof) == (pytest.approx(0.0471947), True)
    assert (at.site.tight, at.site.air_changes_per_h) == (True, 0.35)
    assert (at.gas.appliances[0].fan_assisted, at.gas.appliances[0].vent_diameter_mm) == (True, 152)


def test_old_surveys_know_nothing_of_air_and_say_what_is_made_of_it() -> None:
    """Unknown stays unknown; what follows is among the assumptions, by country."""
    at = load(smallest())
    room = at.storeys[0].rooms[0]
    assert (room.joined, room.exhaust_m3_s, room.under_roof) == ((), None, None)
    assert (at.site.tight, at.site.air_changes_per_h) == (None, None)
    assert any("at least 0.40 an hour" in a for a in at.assumptions)
    canada = load({**smallest(), "site": {"rule_set": "ca-b149"}})
    assert any("taken as tight" in a for a in canada.assumptions)
    assert not any("taken as tight" in a for a in at.assumptions)


@pytest.mark.parametrize(
    ("joined", "other", "fault"),
    [
        ([{"room": "nowhere", "by": "doorless"}], [], ("0/room", "unknown_room")),
        ([{"room": "utility", "by": "doorless"}], [], ("0/room", "unknown_room")),
        ([{"room": "kitchen", "by": "doorless"}] * 2, [], ("1/room", "duplicate")),
        ([{"room": "kitchen", "by": "door"}], [], ("0/by", "not_a_choice")),
        (
            [{"room": "kitchen", "by": "doorless"}],
            [{"room": "utility", "by": "openings"}],
            ("0/room", "contradiction"),
        ),
    ],
)
def test_contradictions_between_rooms(joined: list[Document], other: list[Document], fault: tuple[str, str]) -> None:
    """Each at its place; what both rooms tell alike is fine."""
    document = sample()
    rooms = {r["id"]: (i, r) for i, r in enumerate(document["storeys"][0]["rooms"])}
    (index, utility), (_, kitchen) = rooms["utility"], rooms["kitchen"]
    utility["joined"], kitchen["joined"] = joined, other
    assert (f"#/storeys/0/rooms/{index}/joined/{fault[0]}", fault[1]) in places(document)


def test_both_rooms_may_tell_of_the_same_opening() -> None:
    document = sample()
    for room in document["storeys"][0]["rooms"]:
        if room["id"] in ("utility", "kitchen"):
            other = {"utility": "kitchen", "kitchen": "utility"}[room["id"]]
            room["joined"] = [{"room": other, "by": "openings", "top_area": 120, "bottom_area": 120}]
    assert load(document).storeys[0].rooms
