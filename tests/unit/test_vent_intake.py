"""Facts on vents, frost and drains that a survey may tell of its own heater, and that the catalogue tells."""

from __future__ import annotations

import json
from dataclasses import fields

import pytest

from service.http.catalogue_json import heater_entry
from service.rules.catalogue import heaters
from service.survey.equipment import Heater, VentConstruction, VentMaterial
from tests.unit.survey_documents import OWN_HEATER, Document, faults, load, sample, smallest

OWN_VENT: Document = {
    "material": "cpvc", "construction": "twin", "listed_to": ["ULC S636"], "temperature_class": "IIB",
    "flue_temperature": 158,
}  # fmt: skip


def own(**more: object) -> Heater:
    """The sample's one heater, brought along."""
    document = sample()
    document["heaters"] = [{**OWN_HEATER, **more}]
    return load(document).heaters[0]


def test_what_is_not_told_is_not_known() -> None:
    """A heater in the form of before these facts were asked for."""
    heater = own()
    assert (heater.freeze_limit_c, heater.drain_size) == (None, None)
    facts = (heater.vent.material, heater.vent.construction, heater.vent.listed_to)
    assert facts == (None, None, None)
    assert (heater.vent.temperature_class, heater.vent.flue_temperature_c) == (None, None)


def test_facts_are_read_in_the_callers_units() -> None:
    """158 degF are 70 degC, -13 degF are -25 degC."""
    heater = own(vent=OWN_HEATER["vent"] | OWN_VENT, freeze_limit=-13, drain_size="1/2")
    assert (heater.vent.material, heater.vent.construction) == (VentMaterial.CPVC, VentConstruction.TWIN)
    assert (heater.vent.listed_to, heater.vent.temperature_class) == (("ULC S636",), "IIB")
    assert heater.vent.flue_temperature_c == pytest.approx(70) and heater.freeze_limit_c == pytest.approx(-25)
    assert heater.drain_size == "1/2"


@pytest.mark.parametrize(
    ("member", "value", "code"),
    [
        ("material", "wood", "not_a_choice"),
        ("construction", "triple", "not_a_choice"),
        ("temperature_class", "III", "unknown_temperature_class"),
        ("flue_temperature", "hot", "wrong_type"),
    ],
)
def test_nonsense_is_refused(member: str, value: object, code: str) -> None:
    """At its place."""
    document = sample()
    document["heaters"] = [{**OWN_HEATER, "vent": {**OWN_HEATER["vent"], member: value}}]
    assert (f"#/heaters/0/vent/{member}", code) in {(f.pointer, f.code) for f in faults(document)}


@pytest.mark.parametrize("heater", heaters().values(), ids=list(heaters()))
def test_catalogue_entry_is_read_back(heater: Heater) -> None:
    """What the catalogue tells can be brought along in a survey: every fact but the rounding of units."""
    document = smallest()
    document["heaters"] = [json.loads(json.dumps(heater_entry(heater)))]
    document["site"] = {"fuel": heater.fuels[0]}
    read = load(document).heaters[0]
    told = ("vent", "vents", "freeze_limit_c", "drain_size", "ports", "outdoor", "outdoor_listed")
    exact = [f.name for f in fields(Heater) if f.name in told]
    assert {name: getattr(read, name) for name in exact} == {name: getattr(heater, name) for name in exact}


def test_further_vents_are_read_after_the_standard_one() -> None:
    """Each with its own limits; prices of each are asked for."""
    wide = OWN_HEATER["vent"] | {"system": "wide", "pipe_radius": 4, "terminal_radius": 5, "max_equivalent": 60}
    document = sample()
    document["heaters"] = [{**OWN_HEATER, "other_vents": [wide]}]
    missing = {f.detail.split("'")[1] for f in faults(document) if f.code == "missing_price"}
    assert {f"vent.wide.{part}" for part in ("pipe", "elbow", "terminal")} <= missing
    document.setdefault("prices", {}).setdefault("items", {}).update(dict.fromkeys(missing, 100))
    heater = load(document).heaters[0]
    assert [v.system for v in heater.listings] == [OWN_HEATER["vent"]["system"], "wide"]
    assert [v.label for v in heater.vented] == [heater.id, f"{heater.id} with wide"]


def test_two_vents_of_one_system_are_refused() -> None:
    """No design could tell them apart; a terminal thinner than its pipe is a fault of each."""
    same = {**OWN_HEATER["vent"], "terminal_radius": 0.01}
    document = sample()
    document["heaters"] = [{**OWN_HEATER, "other_vents": [same]}]
    told = {(f.pointer, f.code) for f in faults(document)}
    assert ("#/heaters/0/other_vents/0/system", "duplicate") in told
    assert ("#/heaters/0/other_vents/0/terminal_radius", "upside_down") in told


def test_winter_not_told_is_told_and_asks_for_the_fitting() -> None:
    """The assumption of a cold winter is an assumption, in words."""
    survey = load(smallest())
    assert any("Winter design temperature not given" in a for a in survey.assumptions)
    assert survey.site.winter_design_temperature_c == -20
