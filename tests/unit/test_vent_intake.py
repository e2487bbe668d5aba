"""Facts on vents, frost and drains that a survey may tell of its own heater, and that the catalogue tells."""

from __future__ import annotations

import json
from dataclasses import fields

import pytest

from service.http.catalogue_json import heater_entry
from service.rules.catalogue import heaters
from service.survey.equipment import Heater, VentConstruction, VentMaterial
from service.survey.intake_listing import IntakeSide, LengthBasis
from service.survey.model import Survey
from tests.unit.survey_documents import OWN_HEATER, Document, faults, load, sample, smallest

OWN_VENT: Document = {
    "material": "cpvc", "construction": "twin", "listed_to": ["ULC S636"], "temperature_class": "IIB",
    "flue_temperature": 158,
}  # fmt: skip


def own(prices: dict[str, int] | None = None, **more: object) -> Heater:
    """The sample's one heater, brought along."""
    return surveyed(prices, **more).heaters[0]


def surveyed(prices: dict[str, int] | None = None, **more: object) -> Survey:
    """The sample with one heater brought along."""
    document = sample()
    document["heaters"] = [{**OWN_HEATER, **more}]
    document["prices"] = {"items": prices or {}}
    return load(document)


def test_what_is_not_told_is_not_known() -> None:
    """A heater in the form of before these facts were asked for."""
    heater = own()
    assert (heater.freeze_limit_c, heater.drain_size) == (None, None)
    facts = (heater.vent.material, heater.vent.construction, heater.vent.listed_to)
    assert facts == (None, None, None)
    assert (heater.vent.temperature_class, heater.vent.flue_temperature_c) == (None, None)


def test_facts_are_read_in_the_callers_units() -> None:
    """158 degF are 70 degC, -13 degF are -25 degC."""
    heater = own(INTAKE_ITEMS, vent=OWN_HEATER["vent"] | OWN_VENT, freeze_limit=-13, drain_size="1/2")
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


INTAKE_ITEMS = {f"vent.cc_ss_3_5.intake_{part}": 500 for part in ("pipe", "elbow", "terminal")}


def test_twin_pipe_that_tells_no_more_has_the_intake_of_the_trade() -> None:
    """12 in apart (common practice), beside and below, both pipes counted; each taken is told as an assumption."""
    survey = surveyed(INTAKE_ITEMS, vent=OWN_HEATER["vent"] | {"construction": "twin"})
    intake = survey.heaters[0].vent.intake
    assert intake is not None
    assert (intake.pipe_radius_mm, intake.terminal_radius_mm, intake.apart_mm) == (64, 80, 305)
    assert intake.length_basis is LengthBasis.COMBINED and IntakeSide.ABOVE not in intake.sides
    assert sum("own cc_ss_3_5" in a for a in survey.assumptions) == 5


def test_intake_is_read_as_told() -> None:
    """Then nothing of it is assumed."""
    told = {"pipe_radius": 0.2, "terminal_radius": 0.25, "apart": 2, "sides": ["above"], "length_basis": "each"}
    survey = surveyed(INTAKE_ITEMS, vent=OWN_HEATER["vent"] | {"construction": "twin", "intake": told})
    intake = survey.heaters[0].vent.intake
    assert intake is not None
    assert (intake.apart_mm, intake.sides, intake.length_basis) == (610, (IntakeSide.ABOVE,), LengthBasis.EACH)
    assert not any("own cc_ss_3_5" in a for a in survey.assumptions)


@pytest.mark.parametrize(
    ("heater", "vent", "place", "code"),
    [
        ({"draft": "room_air"}, {"construction": "twin"}, "construction", "contradiction"),
        ({}, {"construction": "concentric", "intake": {}}, "intake", "contradiction"),
        ({}, {"intake": {}}, "intake", "contradiction"),  # the table has this system as concentric
        ({}, {"system": "of-no-table", "intake": {}}, "intake", "contradiction"),  # nobody tells what it is
        ({}, {"construction": "twin", "intake": {"apart": 0.4}}, "intake/apart", "overlap"),
        ({}, {"construction": "twin", "intake": {"terminal_radius": 0.1}}, "intake/terminal_radius", "upside_down"),
        ({}, {"construction": "twin", "intake": {"sides": []}}, "intake/sides", "too_few"),
        ({}, {"construction": "twin", "intake": {"sides": ["behind"]}}, "intake/sides/0", "not_a_choice"),
    ],
)
def test_nonsense_of_an_intake_is_refused(
    heater: dict[str, object], vent: dict[str, object], place: str, code: str
) -> None:
    """At its place."""
    document = sample()
    document["heaters"] = [{**OWN_HEATER, **heater, "vent": OWN_HEATER["vent"] | vent}]
    assert (f"#/heaters/0/vent/{place}", code) in {(f.pointer, f.code) for f in faults(document)}


@pytest.mark.parametrize("vent", [5, None, [], "pipe"])
def test_a_vent_told_wrongly_is_one_fault(vent: object) -> None:
    """Not a missing one besides."""
    document = sample()
    document["heaters"] = [{**OWN_HEATER, "vent": vent}]
    assert [f.code for f in faults(document) if f.pointer == "#/heaters/0/vent"] == ["wrong_type"]


def test_prices_of_the_second_pipe_are_asked_for() -> None:
    """Never a zero."""
    document = sample()
    document["heaters"] = [{**OWN_HEATER, "vent": OWN_HEATER["vent"] | {"construction": "twin"}}]
    missing = {f.detail.split("'")[1] for f in faults(document) if f.code == "missing_price"}
    assert missing == set(INTAKE_ITEMS)


def test_winter_not_told_is_told_and_asks_for_the_fitting() -> None:
    """The assumption of a cold winter is an assumption, in words."""
    survey = load(smallest())
    assert any("Winter design temperature not given" in a for a in survey.assumptions)
    assert survey.site.winter_design_temperature_c == -20
