"""The gas of a survey and a gas system alone: what is taken, what is assumed and told, what is refused, and where."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace
from math import isclose, sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import InvalidRequest, LimitExceeded
from service.http.schemas import load_gas
from service.http.schemas.gas_faults import entry_faults
from service.piping.network import Network
from service.rules import catalogue
from service.rules.tables import UNITS
from service.settings import Settings
from service.survey.gas_request import GasRequest
from service.survey.model import GasCharacter, GasFittings, GasMethod, UnitSystem
from service.trades import gas_loads, gas_meter
from tests.unit.survey_documents import changed, load, places, sample, smallest

Document = dict[str, Any]
BTU_H, IN_WC, PSI = UNITS["Btu/h"], UNITS["in w.c."], UNITS["psi"]
NATURAL = GasCharacter("natural_gas", 1000 * UNITS["Btu/ft3"], 0.6)
PROPANE = GasCharacter("propane", 2488 * UNITS["Btu/ft3"], 1.5)
EVERY_NEW_FIELD: Document = {
    "method": "pressure_by_equation", "fittings": "code_allowance", "diversity": 0.8, "meter_class": "250",
    "service_regulator_capacity": 275_000, "branch_materials": ["csst", "steel_sch40"],
    "regulators": [{"node": "tee-utility", "outlet_pressure": 4, "capacity": 90_000, "loss": 1}],
    "pressure_options": [
        {"id": "2 psi", "pressure": {"value": 2, "unit": "psi"}, "allowable_drop": {"value": 1, "unit": "psi"},
         "regulated_pressure": 8, "regulated_drop": 0.5},
        {"pressure": 14, "allowable_drop": 6},
    ],
}  # fmt: skip


def system(**gas: Any) -> Document:
    """Meter, tee and two branches by names alone, in US units; all of it is made up."""
    pipe = {"material": "steel_sch40", "size": "3/4"}
    return {
        "name": "two branches",
        "units": "us",
        "gas": {
            "delivery_node": "meter",
            "meter_capacity": 400_000,
            "segments": [
                {"id": "trunk", "start": "meter", "end": "tee", "length": 20, **pipe},
                {"id": "to-range", "start": "tee", "end": "range", "length": 30, **pipe},
                {"id": "to-heater", "start": "tee", "end": "wall", "material": "steel_sch40", "length": 12},
            ],
            "appliances": [{"id": "range", "kind": "range", "node": "range"}],
            **gas,
        },
        "heater": {"input": 199_000, "inlet_min": 5.5, "inlet_max": 10.5, "node": "wall"},
    }


def read(document: object, settings: Settings | None = None) -> GasRequest:
    """Through the intake of gas systems."""
    return load_gas(document, settings or Settings())


def refused(document: object) -> set[tuple[str, str]]:
    """Pointer and code of each fault of a gas system."""
    with pytest.raises(InvalidRequest) as caught:
        read(document)
    return {(fault.pointer, fault.code) for fault in caught.value.faults}


def gas_of(**gas: Any) -> Document:
    """The slab house with other gas."""
    return changed(sample(), lambda d: d["gas"].update(gas))


def segments(**first: Any) -> Callable[[Document], Any]:
    """A change of the first gas segment."""
    return lambda d: d["gas"]["segments"][0].update(first)


def test_what_an_old_survey_leaves_out_takes_the_stated_defaults() -> None:
    """No new field, and the supply is as it always was; what was taken is told."""
    survey = load(sample())
    gas = survey.gas
    assert (gas.method, gas.fittings, gas.diversity) == (GasMethod.LONGEST_TABLES, GasFittings.COUNTED, None)
    assert (gas.regulators, gas.pressure_options, gas.service_regulator_w) == ((), (), None)
    assert gas.branch_materials == ("steel_sch40",)
    assert {(s.elbows, s.tees, s.finished, s.fixed, s.before_regulator) for s in gas.segments} == {
        (None, None, False, False, False)
    }
    told = " ".join(survey.assumptions)
    assert all(
        words in told for words in ("Method of sizing", "fittings", "branch", "supplier's regulator", "finished")
    )


def test_every_new_field_is_read_in_si() -> None:
    """Inches of water and Btu/h to pascals and watts; ids are made up where left out."""
    document = gas_of(**EVERY_NEW_FIELD)
    del document["gas"]["meter_capacity"]
    segments(elbows=3, tees=1, finished=True, fixed=True)(document)
    document["gas"]["segments"][5]["before_regulator"] = True
    document["gas"]["appliances"][0].update(inlet_min=4.5, inlet_max=10.5)
    gas = load(document).gas
    assert (gas.method, gas.fittings, gas.diversity) == (GasMethod.PRESSURE, GasFittings.ALLOWANCE, 0.8)
    assert gas.branch_materials == ("csst", "steel_sch40")
    assert isclose(gas.service_regulator_w or 0, 275_000 * BTU_H)
    regulator = gas.regulators[0]
    assert regulator.node == "tee-utility"
    assert [regulator.outlet_pa, regulator.allowable_drop_pa] == pytest.approx([4 * IN_WC, 0.5 * IN_WC])
    assert [regulator.capacity_w, regulator.loss_pa] == pytest.approx([90_000 * BTU_H, IN_WC])
    high, low = gas.pressure_options
    assert high.id == "2 psi"
    assert [high.pressure_pa, high.allowable_drop_pa] == pytest.approx([2 * PSI, PSI])
    assert [high.regulated_pa, high.regulated_drop_pa] == pytest.approx([8 * IN_WC, 0.5 * IN_WC])
    assert (low.id, low.regulated_pa, low.regulated_drop_pa) == ("pressure-option-2", None, None)
    first = gas.segments[0]
    assert (first.elbows, first.tees, first.finished, first.fixed) == (3, 1, True, True)
    assert gas.segments[5].before_regulator
    assert isclose(gas.appliances[0].inlet_min_pa or 0, 4.5 * IN_WC)


def test_drop_behind_a_regulator_is_assumed_and_told() -> None:
    """0.5 in w.c., the drop of the code's low-pressure tables (common practice)."""
    survey = load(gas_of(regulators=[{"node": "tee-utility", "outlet_pressure": 4}]))
    assert any("behind line regulator" in a and "0.5 in w.c.: tee-utility" in a for a in survey.assumptions)


def test_diversity_is_a_warned_override() -> None:
    """The code sizes for the sum of all inputs; a survey's own share is let pass and told."""
    assert any("0.7 of the connected load" in w and "override" in w for w in load(gas_of(diversity=0.7)).warnings)
    assert not any("override" in w for w in load(gas_of(diversity=1)).warnings)


def test_a_known_material_without_such_a_size_is_told() -> None:
    """Schedule 40 has no 7/8; what a material of the surveyor's own is called is nobody's affair here."""
    odd = load(changed(sample(), segments(size="7/8"))).warnings
    assert any("g1" in w and "7/8" in w for w in odd)
    own = load(changed(sample(), segments(material="black iron", size="7/8"))).warnings
    assert not any("7/8" in w for w in own)


def test_pipe_without_a_size_is_new_and_told() -> None:
    """It is to be sized, and so must be of a material whose capacity is known, and not fixed."""

    def new(**values: Any) -> Document:
        document = changed(sample(), segments(**values))
        del document["gas"]["segments"][0]["size"]
        return document

    survey = load(new())
    assert survey.gas.segments[0].size is None
    assert any("to be sized: g1" in a for a in survey.assumptions)
    assert places(new(material="lead")) == {("#/gas/segments/0/material", "unknown_material")}
    assert places(new(material="copper_k")) == {("#/gas/segments/0/material", "missing_price")}
    assert places(new(fixed=True)) == {("#/gas/segments/0/fixed", "contradiction")}


@pytest.mark.parametrize(
    ("kind", "btu_h", "mark"),
    [
        ("range", 65_000, "read"),  # NFPA 54 Table A.5.4.2.1 as quoted by a handbook (read)
        ("Dryer", 35_000, "read"),
        ("furnace", 100_000, "memory"),  # same table (memory)
        ("tankless water heater 4 gpm", 285_000, "memory"),
    ],
)
def test_input_not_given_is_that_of_its_kind(kind: str, btu_h: float, mark: str) -> None:
    """The published table's figure, told with the table and how it is known."""
    document = gas_of(appliances=[{"id": "it", "kind": kind, "node": "range-tap", "room": "kitchen"}])
    survey = load(document)
    assert isclose(survey.gas.appliances[0].input_w, btu_h * BTU_H)
    assert any("gas_appliances" in a and f"it {btu_h} Btu/h ({mark})" in a for a in survey.assumptions)


def test_unknown_kind_must_give_its_input() -> None:
    """Nothing is guessed for a kind that the table does not hold."""
    document = gas_of(appliances=[{"kind": "kiln", "node": "range-tap"}])
    assert places(document) == {("#/gas/appliances/0/input", "missing")}
    document["gas"]["appliances"][0]["input"] = 30_000
    assert isclose(load(document).gas.appliances[0].input_w, 30_000 * BTU_H)


def test_meter_class_stands_for_a_capacity() -> None:
    """Class 250 passes 250 cubic feet an hour (ANSI B109.1, memory): 250,000 Btu/h at 1,000 Btu/ft3, gravity 0.60."""
    document = gas_of(meter_class="250")
    assert places(document) == {("#/gas/meter_class", "contradiction")}
    del document["gas"]["meter_capacity"]
    document["site"].update(heating_value=1000, specific_gravity=0.6)
    survey = load(document)
    assert isclose(survey.gas.meter_capacity_w, 250_000 * BTU_H, rel_tol=1e-9)
    assert any("class 250" in a and "250000 Btu/h" in a for a in survey.assumptions)
    document["gas"]["meter_class"] = "251"
    assert places(document) == {("#/gas/meter_class", "unknown_meter_class")}


REGULATOR: Document = {"node": "tee-utility", "outlet_pressure": 4}
TWO_PSI: Document = {"pressure": 55, "allowable_drop": 20, "regulated_pressure": 7}
FAULTY: dict[str, tuple[Callable[[Document], Any], set[tuple[str, str]]]] = {
    "negative length": (segments(length=-3), {("#/gas/segments/0/length", "out_of_range")}),
    "no length": (segments(length=0), {("#/gas/segments/0/length", "out_of_range")}),
    "two hundred and one elbows": (segments(elbows=201), {("#/gas/segments/0/elbows", "out_of_range")}),
    "half a tee": (segments(tees=0.5), {("#/gas/segments/0/tees", "wrong_type")}),
    "ahead of no regulator": (segments(before_regulator=True), {("#/gas/segments/0/before_regulator", "no_regulator")}),
    "to nowhere": (
        segments(end="sky"),
        {("#/gas/segments/0/end", "unknown_node"), *((f"#/gas/nodes/{i}", "gas_disconnected") for i in range(1, 7))},
    ),
    "no diversity": (lambda d: d["gas"].update(diversity=0), {("#/gas/diversity", "out_of_range")}),
    "more than all at once": (lambda d: d["gas"].update(diversity=1.01), {("#/gas/diversity", "out_of_range")}),
    "no such method": (lambda d: d["gas"].update(method="thumb"), {("#/gas/method", "not_a_choice")}),
    "plastic in the house": (
        lambda d: d["gas"].update(branch_materials=["pe"]),
        {("#/gas/branch_materials/0", "unknown_material")},
    ),
    "no material": (lambda d: d["gas"].update(branch_materials=[]), {("#/gas/branch_materials", "too_few")}),
    "material without price": (
        lambda d: d["gas"].update(branch_materials=["steel_sch40", "copper_k"]),
        {("#/gas/branch_materials/1", "missing_price")},
    ),
    "drop of all the pressure": (
        lambda d: d["gas"].update(allowable_drop=7),
        {("#/gas/allowable_drop", "drop_too_large")},
    ),
    "regulator nowhere": (
        lambda d: d["gas"].update(regulators=[REGULATOR | {"node": "sky"}]),
        {("#/gas/regulators/0/node", "unknown_node")},
    ),
    "two regulators at one node": (
        lambda d: d["gas"].update(regulators=[REGULATOR, REGULATOR]),
        {("#/gas/regulators/1/node", "duplicate_regulator")},
    ),
    "regulator that lowers nothing": (
        lambda d: d["gas"].update(regulators=[REGULATOR | {"outlet_pressure": 7}]),
        {("#/gas/regulators/0/outlet_pressure", "not_below_inlet")},
    ),
    "regulator behind a regulator, lowering nothing": (
        lambda d: d["gas"].update(regulators=[REGULATOR, {"node": "riser", "outlet_pressure": 4}]),
        {("#/gas/regulators/0/outlet_pressure", "not_below_inlet")},
    ),
    "regulator dropping all": (
        lambda d: d["gas"].update(regulators=[REGULATOR | {"allowable_drop": 4}]),
        {("#/gas/regulators/0/allowable_drop", "drop_too_large")},
    ),
    "2 psi without a regulator": (
        lambda d: d["gas"].update(pressure_options=[{"pressure": 55, "allowable_drop": 20}]),
        {("#/gas/pressure_options/0/regulated_pressure", "missing")},
    ),
    "2 psi regulated up": (
        lambda d: d["gas"].update(pressure_options=[TWO_PSI | {"regulated_pressure": 60}]),
        {("#/gas/pressure_options/0/regulated_pressure", "not_below_inlet")},
    ),
    "2 psi regulated twice": (
        lambda d: d["gas"].update(
            pressure_options=[TWO_PSI], regulators=[{"node": "meter", "outlet_pressure": 4}]
        ),
        {("#/gas/pressure_options/0/regulated_pressure", "contradiction")},
    ),
    "2 psi all dropped": (
        lambda d: d["gas"].update(pressure_options=[TWO_PSI | {"allowable_drop": 55, "regulated_drop": 7}]),
        {
            ("#/gas/pressure_options/0/allowable_drop", "drop_too_large"),
            ("#/gas/pressure_options/0/regulated_drop", "drop_too_large"),
        },
    ),
    "one option twice": (
        lambda d: d["gas"].update(pressure_options=[TWO_PSI | {"id": "x"}, TWO_PSI | {"id": "x"}]),
        {("#/gas/pressure_options/1/id", "duplicate_id")},
    ),
    "inlet upside down": (
        lambda d: d["gas"]["appliances"][1].update(inlet_min=8, inlet_max=7.9),
        {("#/gas/appliances/1/inlet_max", "upside_down")},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", list(FAULTY))
def test_faulty_gas_is_refused_at_its_place(name: str) -> None:
    """One change to a sound house gives the faults it must, where they belong."""
    change, expected = FAULTY[name]
    assert places(changed(sample(), change)) == expected


SOUND: dict[str, Callable[[Document], Any]] = {
    "regulator at the delivery": lambda d: d["gas"].update(
        pressure=55, allowable_drop=20, regulators=[{"node": "meter", "outlet_pressure": 7}]
    ),
    "pipe ahead of the regulator at its start": lambda d: (
        d["gas"].update(regulators=[REGULATOR | {"node": "riser"}, REGULATOR | {"outlet_pressure": 6.9}]),
        d["gas"]["segments"][1].update(before_regulator=True),
    ),
    "an appliance that would burst": lambda d: d["gas"]["appliances"][0].update(inlet_max=5),
    "an offered pressure below the limit": lambda d: d["gas"].update(
        pressure_options=[{"pressure": 14, "allowable_drop": 6}]
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", list(SOUND))
def test_odd_but_sound_gas_passes(name: str) -> None:
    """What may be so is let through; whether it is lawful is judged elsewhere."""
    assert load(changed(sample(), SOUND[name])).name


def test_a_load_of_zero_is_told_and_let_pass() -> None:
    """An appliance that draws nothing, and pipe to nothing."""
    document = gas_of(free_outlets=[])
    document["gas"]["appliances"][0]["input"] = 0
    warnings = [w for w in load(document).warnings if w.startswith("no load")]
    assert len(warnings) == 2
    assert "furnace" in warnings[0] and "g5" in warnings[1]


def test_an_offered_pressure_needs_its_prices() -> None:
    """A change of pressure, and the line regulator where one is needed, must be priced."""
    gas = load(gas_of(pressure_options=[TWO_PSI, {"pressure": 14, "allowable_drop": 6}])).gas
    book = catalogue.price_book("demo")
    bare = replace(book, items={k: p for k, p in book.items.items() if k not in ("gas.pressure_change",)})
    assert [(f.pointer, f.code) for f in entry_faults({}, gas, bare)] == [
        ("#/gas/pressure_options/0", "missing_price"), ("#/gas/pressure_options/1", "missing_price"),
    ]  # fmt: skip
    bare = replace(book, items={k: p for k, p in book.items.items() if k != "gas.line_regulator"})
    assert [f.pointer for f in entry_faults({}, gas, bare)] == ["#/gas/pressure_options/0"]
    assert not list(entry_faults({}, gas, book))


def test_branch_pipe_without_its_elbow_is_not_priced() -> None:
    """Steel turns by elbows; corrugated tubing is bent."""
    gas = load(gas_of(branch_materials=["csst", "steel_sch40"])).gas
    book = catalogue.price_book("demo")
    bare = replace(book, items={k: p for k, p in book.items.items() if k != "gas.3/4.elbow"})
    found = list(entry_faults({}, gas, bare))
    assert [(f.pointer, f.code) for f in found] == [("#/gas/branch_materials/1", "missing_price")]
    assert "gas.3/4.elbow" in found[0].detail


# a gas system alone


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


# loads and meters


@pytest.mark.parametrize(
    ("altitude_ft", "expected"),
    [(0, 199_000), (2000, 199_000), (5000, 159_200), (30_000, 0)],
)
def test_altitude_takes_four_percent_a_thousand_feet(altitude_ft: float, expected: float) -> None:
    """NFPA 54 11.1.2 (memory), counted from the sea: 199,000 Btu/h at 5,000 ft are 159,200."""
    derated = gas_loads.derated_w(199_000 * BTU_H, altitude_ft * UNITS["ft"])
    assert derated == pytest.approx(expected * BTU_H, rel=1e-9)


def test_connected_load_is_the_sum() -> None:
    """IFGC 2018 402.2 (read): all at once; no typical input for what nobody listed."""
    survey = load(sample())
    assert isclose(Network(survey.gas, survey.site.gas).connected.drawn_w(None), 115_000 * BTU_H)
    assert gas_loads.typical_input_w("kiln") is None
    assert gas_loads.typical_mark("kiln") is None
    assert all(gas_loads.typical_input_w(kind) for kind in gas_loads.kinds())


@pytest.mark.parametrize(
    ("load_btu_h", "expected"),
    [(0, "175"), (175_000, "175"), (175_001, "250"), (399_000, "400"), (424_999, "425"), (1e6, "1000"), (1.01e6, None)],
)
def test_smallest_meter_that_covers_a_load(load_btu_h: float, expected: str | None) -> None:
    """Classes are cubic feet an hour at 0.5 in w.c. (ANSI B109.1, memory); 1,000 Btu/ft3, gravity 0.60. Range, dryer,
    furnace and 199,000 Btu/h are 399,000: 250 is too small. Beyond the table the supplier must be asked."""
    assert gas_meter.class_for(load_btu_h * BTU_H, NATURAL) == expected


def test_a_meter_passes_less_of_a_heavier_gas() -> None:
    """Flow goes with the square root of 0.60 / gravity (common practice); heat with that times the heating value."""
    flow = gas_meter.capacity_m3_s("250", PROPANE) / UNITS["cfh"]
    assert flow == pytest.approx(250 * sqrt(0.60 / 1.50), rel=1e-9)
    assert gas_meter.capacity_w("250", PROPANE) == pytest.approx(flow * 2488 * BTU_H, rel=1e-9)
    with pytest.raises(KeyError):
        gas_meter.capacity_w("9", PROPANE)


def test_a_metric_survey_reads_the_same_classes() -> None:
    """The class is a name, whatever the survey's units."""
    document = smallest()
    document["gas"]["meter_class"] = "425"
    document["site"] = {"heating_value": 37.2589458}
    assert isclose(load(document).gas.meter_capacity_w, 425_000 * BTU_H, rel_tol=1e-7)
