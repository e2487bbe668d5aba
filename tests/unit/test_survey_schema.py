"""The JSON form of a survey: what is taken, how it is read, what is refused, and where."""

from __future__ import annotations

import json
from dataclasses import fields
from math import isclose
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.building.build import build
from service.clearance.assumed import assumptions
from service.errors import InvalidRequest, LimitExceeded
from service.http.schemas import load_survey
from service.settings import Settings
from service.survey.equipment import Heater, Per, PortService
from service.survey.model import OpeningKind, RoomUse, UnitSystem
from tests.unit.survey_documents import OWN_HEATER, changed, faults, load, places, sample, smallest


def test_sample_is_read_in_si() -> None:
    """The slab house: feet to whole millimetres, openings over their floor, gas pressure in pascals."""
    survey = load(sample())
    storey = survey.storeys[0]
    assert (storey.floor_z_mm, storey.ceiling_z_mm) == (0, 2438)  # 8 ft = 2438.4 mm
    assert storey.rooms[0].outline == ((0, 0), (6096, 0), (6096, 7315), (0, 7315))
    assert storey.rooms[0].floor_z_mm == -102  # -4 in = -101.6 mm
    door = storey.openings[0]
    assert (door.kind, door.sill_z_mm, door.head_z_mm) == (OpeningKind.GARAGE_DOOR, -102, 2032)
    assert isclose(survey.gas.pressure_pa, 7 * 249.08891, rel_tol=1e-9)
    assert isclose(survey.gas.appliances[0].input_w, 60_000 * 0.29307107, rel_tol=1e-7)
    assert isclose(survey.site.regulators[0].inlet_pressure_pa or 0, 1.5 * 6894.757, rel_tol=1e-6)
    assert isclose(survey.site.winter_design_temperature_c, (18 - 32) / 1.8)
    assert isclose(survey.site.altitude_m, 620 * 0.3048)
    assert isclose(survey.water.hardness_mg_l or 0, 9 * 17.11806, rel_tol=1e-6)


def test_every_sample_plan_is_sound() -> None:
    """Each plan that ships passes the intake."""
    for path in sorted((Path(__file__).parents[2] / "sample_plans").glob("*.json")):
        assert load(json.loads(path.read_bytes())).name


def test_compulsory_is_enough_and_each_default_is_told() -> None:
    """The smallest survey loads; every default taken is a sentence."""
    survey = load(smallest())
    assert survey.site.rule_set == "us-2021"
    assert survey.site.fuel == "natural_gas"
    assert survey.site.snow_depth_mm == 0
    assert survey.storeys[0].rooms[0].use is RoomUse.UNKNOWN
    assert survey.storeys[0].rooms[0].finished
    assert survey.prices.id == "demo"
    assert len(survey.heaters) >= 8
    assert all("natural_gas" in h.fuels for h in survey.heaters)
    assert [r.at for r in survey.site.regulators] == [(0, 1000, 500)]
    text = " ".join(survey.assumptions)
    for words in (
        "Rule set", "Fuel", "Heating value", "Specific gravity", "Altitude", "Snow", "Winter", "ground", "regulator",
        "Floor", "Ceiling", "Finish", "Gas pressure", "drop", "Meter capacity", "Heaters", "Price book",
        "alternatives", "water pressure", "hardness", "chases", "drains", "receptacles",
    ):  # fmt: skip
        assert words in text, words
    assert survey.warnings == (
        "Not surveyed, taken as absent: have it confirmed on site: site.lot_lines, site.neighbour_walls, site.ways, "
        "site.decks, site.air_inlets.",
    )


def test_unknown_facts_stay_unknown() -> None:
    """What was not given is not guessed, but told once to be taken as the worst case - if it leads outdoors."""
    document = smallest()
    document["storeys"][0]["rooms"].append({"outline": [[6, 0], [9, 0], [9, 4], [6, 4]]})
    document["storeys"][0]["openings"] = [
        {"id": "pane", "kind": "window", "from": [2, 0], "to": [3, 0]},
        {"id": "front", "kind": "door", "from": [4, 0], "to": [5, 0]},
        {"id": "archway", "kind": "door", "from": [6, 1], "to": [6, 2]},
    ]
    survey = load(document)
    opening = survey.storeys[0].openings[0]
    assert opening.operable is None
    assert (opening.sill_z_mm, opening.head_z_mm) == (0, survey.storeys[0].ceiling_z_mm)
    told = [*survey.assumptions, *assumptions(build(survey), survey)]
    assert [a.partition(": ")[2] for a in told if a.startswith("pane:")] == [
        "window taken as openable, for it is not known to be fixed"
    ]
    assert [a.partition(": ")[2] for a in told if a.startswith("front:")] == [
        "door taken to swing outwards, for it is not known"
    ]
    assert all(sum(word in a for a in told) == 1 for word in ("openable", "outwards", "regulator taken", "its use"))
    assert not any("archway" in a and "swing" in a for a in told)


@pytest.mark.parametrize(
    "width",
    [{"value": 24, "unit": "in"}, {"value": 2, "unit": "ft"}, {"ft": 2, "in": 0}, {"ft": 1, "in": 12 - 1e-9}, 2],
)
def test_one_length_in_many_forms(width: object) -> None:
    """24 in, 2 ft and 609.6 mm are one length."""
    document = sample()
    document["storeys"][0]["walls"][0]["thickness"] = width
    assert load(document).storeys[0].walls[0].thickness_mm == 610


def test_feet_and_inches_below_zero() -> None:
    """Minus 1 ft 6 in is one and a half feet down."""
    document = sample()
    document["site"]["grade"] = {"ft": -1, "in": 6}
    assert load(document).site.grade_z_mm == -457


def in_metres(value: Any) -> Any:
    """Every length of a document in feet as an object in metres, found by the names of its fields."""
    return {"value": value * 0.3048, "unit": "m"}


def test_the_same_house_in_other_units_is_the_same_house() -> None:
    """Outlines and openings written in metres give the same millimetres."""
    document = sample()
    for room in document["storeys"][0]["rooms"]:
        room["outline"] = [[in_metres(x), in_metres(y)] for x, y in room["outline"]]
    for opening in document["storeys"][0]["openings"]:
        for end in ("from", "to"):
            opening[end] = [in_metres(x) for x in opening[end]]
    assert load(document).storeys == load(sample()).storeys


def test_own_heater_is_read() -> None:
    """An own entry stands beside ids of the catalogue, in the survey's units."""
    document = sample()
    document["heaters"] = [OWN_HEATER, "nc-direct-120"]
    own, listed = load(document).heaters
    assert isinstance(own, Heater)
    assert (own.width_mm, own.clearances.front_mm, own.vent.max_equivalent_mm) == (356, 610, 9144)
    assert own.vent.max_elbows is None
    assert own.electrical_w == 90
    assert [p.service for p in own.ports if p.on_top] == [PortService.VENT]
    assert isclose(own.pressure_loss[1][0], 4 * 6.30902e-5, rel_tol=1e-6)
    assert listed.id == "nc-direct-120"


def test_catalogue_heaters_pass_the_port_check_when_named() -> None:
    """Every heater of the catalogue that burns the fuel can be named."""
    ids = [h.id for h in load(sample()).heaters]
    document = sample()
    document["heaters"] = ids
    assert [h.id for h in load(document).heaters] == ids


def test_prices_over_the_book() -> None:
    """An own price replaces the book's; what goes by length goes by the survey's unit."""
    document = sample()
    document["prices"] = {"book": "demo", "items": {"gas.3/4.pipe": 1500, "gas.3/4.elbow": 7}}
    us = load(document).prices
    assert (us["gas.3/4.pipe"].cents, us["gas.3/4.pipe"].per) == (1500, Per.FOOT)
    assert (us["gas.3/4.elbow"].cents, us["gas.3/4.elbow"].per) == (7, Per.EACH)
    metric = smallest()
    metric["prices"] = document["prices"]
    assert load(metric).prices["gas.3/4.pipe"].per is Per.METRE


def test_prices_that_price_nothing_or_are_lacking() -> None:
    """A key that nothing is priced by, and an own vent system without prices, are faults."""
    document = sample()
    document["prices"] = {"items": {"gas.pipe.gold": 1}}
    assert places(document) == {("#/prices/items/gas.pipe.gold", "unknown_price")}
    document = sample()
    document["heaters"] = [changed(OWN_HEATER, lambda h: h["vent"].update(system="own"))]
    assert {code for _, code in places(document)} == {"missing_price"}
    document["prices"] = {"items": {"vent.own.pipe": 900, "vent.own.elbow": 90, "vent.own.terminal": 9}}
    assert load(document).prices["vent.own.pipe"].per is Per.FOOT


def test_all_schema_faults_at_once_each_with_its_pointer() -> None:
    """Wrong types, missing and unknown fields, wrong choices and units in one answer."""
    document = sample()
    del document["name"]
    document["units"] = "imperial"
    document["colour/of~door"] = 1
    document["site"]["fuel"] = "coal"
    document["site"]["snow_depth"] = "6"
    document["site"]["rule_set"] = "us-1066"
    document["storeys"][0]["rooms"][2]["outline"][1] = [1, "2"]
    document["storeys"][0]["rooms"][3]["finished"] = 1
    document["storeys"][0]["openings"][4]["to"] = [1, 2, 3]
    document["gas"]["pressure"] = {"value": 7, "unit": "9**9**9"}
    document["gas"]["nodes"] = {}
    document["heaters"] = ["nothing", 7, {"id": "x"}]
    document["prices"] = {"book": "gold", "items": {"a/b": 1.5}}
    found = places(document)
    expected = {
        ("#/name", "missing"),
        ("#/units", "not_a_choice"),
        ("#/colour~1of~0door", "unknown_field"),
        ("#/site/fuel", "not_a_choice"),
        ("#/site/snow_depth", "wrong_type"),
        ("#/site/rule_set", "unknown_rule_set"),
        ("#/storeys/0/rooms/2/outline/1/1", "wrong_type"),
        ("#/storeys/0/rooms/3/finished", "wrong_type"),
        ("#/storeys/0/openings/4/to", "wrong_type"),
        ("#/gas/pressure", "unknown_unit"),
        ("#/gas/nodes", "wrong_type"),
        ("#/heaters/0", "unknown_heater"),
        ("#/heaters/1", "wrong_type"),
        ("#/heaters/2/vent", "missing"),
        ("#/prices/book", "unknown_price_book"),
        ("#/prices/items/a~1b", "out_of_range"),
    }
    assert expected <= found
    assert all(code in {code for _, code in expected} for _, code in found)


@pytest.mark.parametrize("value", [None, True, "6", "1e3", [], {}, {"value": 6}, {"value": 6, "unit": "in", "x": 1},
                                   {"value": "6", "unit": "in"}, {"value": 6, "unit": ["in"]}, {"ft": 1},
                                   {"ft": 1, "in": 12}, float("nan"), float("inf"), -1])  # fmt: skip
def test_what_is_no_snow_depth(value: object) -> None:
    """Only finite JSON numbers and the two object forms are lengths; snow is never below zero."""
    document = sample()
    document["site"]["snow_depth"] = value
    assert {p.rpartition("/")[0] or p for p, _ in places(document)} <= {"#/site", "#/site/snow_depth"}


@pytest.mark.parametrize("document", [None, 7, "x", [], True])
def test_a_document_that_is_no_object(document: object) -> None:
    """One fault at the root."""
    with pytest.raises(InvalidRequest) as caught:
        load_survey(document, Settings())
    assert [(f.pointer, f.code) for f in caught.value.faults] == [("#", "wrong_type")]


def test_faults_come_in_one_order() -> None:
    """Unknown fields are kept in no set's order: the same document, the same answer."""
    document = sample() | {f"x{i}": i for i in range(20)}
    pointers = [f.pointer for f in faults(document)]
    assert pointers == sorted(pointers)


def _room(i: int) -> dict[str, Any]:
    return {"outline": [[i * 5, 0], [i * 5 + 5, 0], [i * 5 + 5, 5]]}


TOO_MUCH: dict[str, Any] = {
    "storeys": lambda d, n: d.update(storeys=[{"rooms": [], "openings": []}] * n),
    "rooms": lambda d, n: d["storeys"][0].update(rooms=[_room(i) for i in range(n)]),
    "outline_points": lambda d, n: d["storeys"][0]["rooms"][0].update(outline=[[0, i] for i in range(n)]),
    "openings": lambda d, n: d["storeys"][0].update(openings=[{}] * n),
    "keep_outs": lambda d, n: d["storeys"][0].update(keep_outs=[{}] * n),
    "heaters": lambda d, n: d.update(heaters=["x"] * n),
    "gas_nodes": lambda d, n: d["gas"].update(nodes=[{}] * n),
    "gas_segments": lambda d, n: d["gas"].update(segments=[{}] * n),
    "pressure_options": lambda d, n: d["gas"].update(pressure_options=[{}] * n),
    "water_points": lambda d, n: d["water"]["hot"][0].update(points=[[0, 0, i] for i in range(n - 2)]),
    "list_items": lambda d, n: d.update(drains=[{}] * n),
    "price_items": lambda d, n: d.update(prices={"items": {str(i): 1 for i in range(n)}}),
    "roof_planes": lambda d, n: d.update(roof={"planes": [{}] * n}),
    "what_about": lambda d, n: d.update(what_about=[{"terminal": {"at": [0, 0]}}] * n),
    "dwellings": lambda d, n: d.update(dwellings=[{}] * n),
    "string_length": lambda d, n: d.update(name="x" * n),
    "alternatives": lambda d, n: d.update(preferences={"alternatives": n}),
    "solver_seconds": lambda d, n: d.update(preferences={"solver_seconds": n}),
    "coordinate_bound_m": lambda d, n: d["gas"]["nodes"][0].update(at=[0, -n, 0]),
}
ELSEWHERE = {
    "body_bytes", "depth", "concurrent_solves", "body_seconds", "header_seconds", "solver_mib", "verify_seconds",
}  # fmt: skip
"""Held by the transport, the strict reader, the gate and the verifier."""


def test_every_limit_has_a_case() -> None:
    """A limit added to the settings must be tested here or be held elsewhere."""
    assert set(TOO_MUCH) | ELSEWHERE == {f.name for f in fields(Settings)}


@pytest.mark.parametrize("name", list(TOO_MUCH))
def test_one_past_a_limit(name: str) -> None:
    """One more than allowed raises LimitExceeded; just as many does not."""
    limit = getattr(Settings(), name)
    with pytest.raises(LimitExceeded) as caught:
        load(changed(smallest(), lambda d: TOO_MUCH[name](d, limit + 1)))
    assert (caught.value.name, caught.value.limit) == (name, limit)
    try:
        load(changed(smallest(), lambda d: TOO_MUCH[name](d, limit)))
    except InvalidRequest as refused:
        assert refused.faults


def test_limits_sum_over_the_document() -> None:
    """Rooms on two storeys count together, and so do a neighbour's openings with the house's."""
    settings = Settings(rooms=1, openings=1)
    two = changed(smallest(), lambda d: d["storeys"].append(d["storeys"][0]))
    with pytest.raises(LimitExceeded, match="rooms"):
        load(two, settings)
    hole = {"kind": "window", "from": [2, 0], "to": [3, 0]}
    wall = {"start": [0, -5], "end": [6, -5], "openings": [hole]}
    both = changed(smallest(), lambda d: d["storeys"][0].update(openings=[hole]))
    both["site"] = {"neighbour_walls": [wall]}
    with pytest.raises(LimitExceeded, match="openings"):
        load(both, settings)


def test_settings_from_the_environment() -> None:
    """Our prefix only; unknown names, words and values out of bounds stop the start."""
    assert Settings.from_environment({"SITING_ROOMS": "5", "SITING_SOLVER_SECONDS": "2.5", "HOME": "x"}) == Settings(
        rooms=5, solver_seconds=2.5
    )
    for bad in ({"SITING_ROMS": "5"}, {"SITING_ROOMS": "many"}, {"SITING_ROOMS": "0"}, {"SITING_ROOMS": "99999"}):
        with pytest.raises(ValueError, match=r"SITING_|invalid literal"):
            Settings.from_environment(bad)
    assert all(f.metadata["description"] and f.metadata["unit"] in f.metadata["description"] for f in fields(Settings))


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5) | st.just(10**400),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)


def _places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(p for key, item in inner for p in _places(item, (*path, key)))]


@given(st.sampled_from(_places(sample())[1:]), ANYTHING)
def test_nonsense_anywhere_is_refused_or_read(path: tuple[Any, ...], nonsense: object) -> None:
    """Whatever stands at whatever place: a survey, or a refusal that says where - never another exception."""
    document: Any = sample()
    holder = document
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = nonsense
    try:
        survey = load_survey(document, Settings())
    except InvalidRequest as refused:
        assert all(f.pointer.startswith("#") and f.code and f.detail for f in refused.faults)
    except LimitExceeded as refused:
        assert refused.given > refused.limit
    else:
        assert survey.units in UnitSystem
