"""The gas of a survey: what is taken, what is assumed and told, what is refused, and where."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import isclose
from typing import Any

import pytest

from service.http.schemas.gas_faults import entry_faults
from service.rules import catalogue
from service.rules.tables import UNITS
from service.survey.model import GasFittings, GasMethod
from tests.unit.gas_intake_documents import EVERY_NEW_FIELD, Document, segments
from tests.unit.survey_documents import changed, load, places, sample

BTU_H, IN_WC, PSI = UNITS["Btu/h"], UNITS["in w.c."], UNITS["psi"]


def gas_of(**gas: Any) -> Document:
    """The slab house with other gas."""
    return changed(sample(), lambda d: d["gas"].update(gas))


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
