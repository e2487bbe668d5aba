"""A gas system alone, or with a house around it: what is taken, assumed, refused, and where."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace
from math import isclose
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import InvalidRequest, LimitExceeded
from service.http.schemas import load_gas
from service.rules.tables import UNITS
from service.settings import Settings
from service.survey.gas_request import GasRequest
from service.survey.model import GasCharacter, UnitSystem
from tests.unit.gas_intake_documents import EVERY_NEW_FIELD, Document, segments, system
from tests.unit.survey_documents import changed, load, sample

BTU_H, IN_WC = UNITS["Btu/h"], UNITS["in w.c."]
NATURAL = GasCharacter("natural_gas", 1000 * UNITS["Btu/ft3"], 0.6)
PROPANE = GasCharacter("propane", 2488 * UNITS["Btu/ft3"], 1.5)


def read(document: object, settings: Settings | None = None) -> GasRequest:
    """Through the intake of gas systems."""
    return load_gas(document, settings or Settings())


def refused(document: object) -> set[tuple[str, str]]:
    """Pointer and code of each fault of a gas system."""
    with pytest.raises(InvalidRequest) as caught:
        read(document)
    return {(fault.pointer, fault.code) for fault in caught.value.faults}


def test_a_gas_system_needs_no_house() -> None:
    """Nodes are names, the planned heater is one appliance more, the defaults are those of a survey and told."""
    request = read(system())
    assert (request.name, request.units) == ("two branches", UnitSystem.US)
    assert request.character == NATURAL
    assert request.gas.nodes == ()
    assert [(s.id, s.size, s.length_mm) for s in request.gas.segments] == [
        ("trunk", "3/4", 6096), ("to-range", "3/4", 9144), ("to-heater", None, 3658),
    ]  # fmt: skip
    heater = request.gas.appliances[-1]
    assert (heater.id, heater.kind, heater.node) == ("heater", "tankless heater", "wall")
    assert isclose(heater.input_w, 199_000 * BTU_H)
    assert isclose(heater.inlet_min_pa or 0, 5.5 * IN_WC)
    assert request.prices.id == "demo"
    told = " ".join(request.assumptions)
    for words in ("Fuel", "Heating value", "gravity", "Altitude", "Gas pressure", "drop", "Price book", "Method",
                  "gas_appliances", "to be sized: to-heater", "whole millimetres"):  # fmt: skip
        assert words in told, words
    assert "Room of gas appliance" not in told
    assert request.warnings == ()


def test_the_planned_heater_is_not_in_what_the_meter_carries_today() -> None:
    """A meter of unknown size is taken as full before the heater comes."""
    document = system()
    del document["gas"]["meter_capacity"]
    assert isclose(read(document).gas.meter_capacity_w, 65_000 * BTU_H)


def test_propane_alone() -> None:
    """Its pressure, heating value and gravity are those of propane (IFGC 2018, read; 11 in w.c. common practice)."""
    request = read({**system(), "fuel": "propane", "altitude": 5000})
    assert isclose(request.gas.pressure_pa, 11 * IN_WC)
    assert replace(request.character, altitude_m=0.0) == PROPANE
    assert isclose(request.character.altitude_m, 1524)


def test_a_whole_survey_gives_its_gas() -> None:
    """The same supply, gas, prices and notes as the survey has."""
    survey, request = load(sample()), read(sample())
    assert request == GasRequest(
        survey.name, survey.units, survey.gas, survey.site.gas, survey.prices, survey.assumptions, survey.warnings
    )
    assert refused({"storeys": 3})


def nodes(*points: tuple[str, list[float]]) -> list[Document]:
    """Nodes with their places."""
    return [{"id": name, "at": at} for name, at in points]


AT: tuple[tuple[str, list[float]], ...] = (
    ("meter", [0, 0, 0]),
    ("tee", [20, 0, 0]),
    ("range", [20, 18, 24]),
    ("wall", [20, 0, 12]),
)
ALONE: dict[str, tuple[Callable[[Document], Any], set[tuple[str, str]]]] = {
    "unknown field": (
        lambda d: d.update(site={}, colour=1),
        {("#/site", "unknown_field"), ("#/colour", "unknown_field")},
    ),
    "nothing in it": (
        lambda d: d.clear(),
        {("#/name", "missing"), ("#/units", "missing"), ("#/gas", "missing")},
    ),
    "length not given": (
        lambda d: d["gas"]["segments"][0].pop("length"),
        {("#/gas/segments/0/length", "missing")},
    ),
    "loop": (
        lambda d: d["gas"]["segments"].append(
            {"start": "range", "end": "wall", "material": "steel_sch40", "size": "1", "length": 1}
        ),
        {("#/gas/segments/3", "gas_loop")},
    ),
    "cut off": (
        segments(start="street"),
        {(f"#/gas/segments/{i}/start", "gas_disconnected") for i in range(3)},
    ),
    "against the flow": (segments(start="tee", end="meter"), {("#/gas/segments/0", "gas_direction")}),
    "heater nowhere": (lambda d: d["heater"].update(node="sky"), {("#/heater/node", "unknown_node")}),
    "heater upside down": (
        lambda d: d["heater"].update(inlet_min=11),
        {("#/heater/inlet_max", "upside_down")},
    ),
    "heater of no input": (lambda d: d["heater"].pop("input"), {("#/heater/input", "missing")}),
    "another thing called heater": (
        lambda d: d["gas"]["appliances"][0].update(id="heater"),
        {("#/heater", "duplicate_id")},
    ),
    "prices of nothing": (
        lambda d: d.update(prices={"items": {"gas.pipe.gold": 1}}),
        {("#/prices/items/gas.pipe.gold", "unknown_price")},
    ),
    "node left out": (
        lambda d: d["gas"].update(nodes=nodes(*AT[:3])),
        {("#/gas/segments/2/end", "unknown_node"), ("#/heater/node", "unknown_node")},
    ),
    "node without pipe": (
        lambda d: d["gas"].update(nodes=nodes(*AT, ("shed", [0, 0, 0]))),
        {("#/gas/nodes/4", "gas_disconnected")},
    ),
    "pipe shorter than its way": (
        lambda d: d["gas"].update(nodes=nodes(*AT[:2], ("range", [20, 18, 24.1]), AT[3])),
        {("#/gas/segments/1/length", "contradiction")},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", list(ALONE))
def test_a_faulty_gas_system_is_refused_at_its_place(name: str) -> None:
    """Every fault with its pointer, those of the planned heater at the heater."""
    change, expected = ALONE[name]
    assert refused(changed(system(), change)) == expected


def test_nodes_that_agree_are_taken() -> None:
    """30 ft of pipe over 18 and 24 ft (a 3-4-5 triangle) is just enough; the delivery needs no wall."""
    request = read(changed(system(), lambda d: d["gas"].update(nodes=nodes(*AT))))
    assert [n.id for n in request.gas.nodes] == ["meter", "tee", "range", "wall"]


def test_contradictions_of_a_gas_system_are_told_together() -> None:
    """Tree, pressure, input and price in one answer."""
    document = system(allowable_drop=8, branch_materials=["copper_k"])
    document["gas"]["appliances"][0]["kind"] = "kiln"
    document["heater"]["node"] = "sky"
    assert refused(document) == {
        ("#/gas/allowable_drop", "drop_too_large"), ("#/gas/branch_materials/0", "missing_price"),
        ("#/gas/appliances/0/input", "missing"), ("#/heater/node", "unknown_node"),
    }  # fmt: skip


@pytest.mark.parametrize("document", [None, 7, "x", [], True])
def test_what_is_no_object_is_no_gas_system(document: object) -> None:
    """One fault at the root."""
    assert refused(document) == {("#", "wrong_type")}


def test_a_gas_system_keeps_the_limits() -> None:
    """As many pipes and offers as a survey may have."""
    for settings, name in (
        (Settings(gas_segments=2), "gas_segments"),
        (Settings(pressure_options=1), "pressure_options"),
    ):
        with pytest.raises(LimitExceeded) as caught:
            read(system(pressure_options=[{}, {}]), settings)
        assert caught.value.name == name


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5) | st.just(10**400),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)
WHOLE = {**system(**EVERY_NEW_FIELD), "fuel": "natural_gas", "prices": {"items": {"gas.tap": 1}}}
WHOLE["gas"].pop("meter_capacity")
WHOLE["gas"]["regulators"] = [{"node": "tee", "outlet_pressure": 4}]


def _places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(p for key, item in inner for p in _places(item, (*path, key)))]


@given(st.sampled_from(_places(WHOLE)[1:]), ANYTHING)
def test_nonsense_in_a_gas_system_is_refused_or_read(path: tuple[Any, ...], nonsense: object) -> None:
    """Whatever stands at whatever place: a request, or a refusal that says where - never another exception."""
    document: Any = deepcopy(WHOLE)
    holder = document
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = nonsense
    try:
        assert read(document).gas.delivery_node
    except InvalidRequest as caught:
        assert all(f.pointer.startswith("#") and f.code and f.detail for f in caught.faults)
    except LimitExceeded as caught:
        assert caught.given > caught.limit
