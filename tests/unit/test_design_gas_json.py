"""The works on the gas system go out as JSON and come back as they were; faults are told by their place."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from service.building.build import build
from service.design import Design, GasWorks, Renewal, RenewedPart
from service.errors import InvalidRequest
from service.http.design_json import design_json
from service.http.design_schema import load_design
from service.http.quantities import Quantities
from service.http.spec_works import gas_works
from service.settings import Settings
from service.survey.model import Survey, UnitSystem
from tests.unit.check_house import design, house

WORKS = GasWorks(
    (
        Renewal("stem", RenewedPart.BEFORE_TAP, "steel_sch40", "1-1/4", 251),
        Renewal("spur", RenewedPart.WHOLE, "csst", "25", 12_193),
    ),
    "2psi", 2, True, True,
)  # fmt: skip


def written(at: Survey, given: Design) -> dict[str, Any]:
    """As the service answers."""
    q = Quantities(at.units, build(at).frame, at.prices.currency)
    read: dict[str, Any] = json.loads(json.dumps(design_json(given, build(at), q)))
    return read


def read(at: Survey, document: dict[str, Any]) -> Design:
    """As a check takes it."""
    return load_design(document, at, build(at), Settings())


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("works", [GasWorks(), WORKS])
def test_there_and_back(units: UnitSystem, works: GasWorks) -> None:
    """Whole millimetres survive feet and metres."""
    at = house(units=units)
    given = replace(design(at), gas=works)
    assert read(at, written(at, given)) == given


def test_a_length_of_a_foot() -> None:
    at = house(units=UnitSystem.US)
    works = replace(WORKS, renewals=(replace(WORKS.renewals[0], length_mm=3048),))
    assert written(at, replace(design(at), gas=works))["gas"]["renewals"][0]["length"] == 10.0


def test_what_is_left_out_is_not_done() -> None:
    at = house()
    document = written(at, design(at))
    del document["gas"]
    assert read(at, document).gas == GasWorks()
    assert read(at, document | {"gas": {"line_regulators": 1}}).gas == GasWorks(line_regulators=1)


@pytest.mark.parametrize(
    ("path", "value", "pointer"),
    [
        (("part",), "half", "#/gas/renewals/1/part"),
        (("material",), "bamboo", "#/gas/renewals/1/material"),
        (("size",), 25, "#/gas/renewals/1/size"),
        (("length",), "long", "#/gas/renewals/1/length"),
        (("segment",), None, "#/gas/renewals/1/segment"),
        (("colour",), "red", "#/gas/renewals/1/colour"),
    ],
)
def test_faults_of_a_renewal_are_told_by_their_place(path: tuple[str], value: Any, pointer: str) -> None:
    at = house()
    document = written(at, replace(design(at), gas=WORKS))
    document["gas"]["renewals"][1][path[0]] = value
    with pytest.raises(InvalidRequest) as caught:
        read(at, document)
    assert [f.pointer for f in caught.value.faults] == [pointer]


@pytest.mark.parametrize(
    ("member", "value"),
    [
        ("line_regulators", -1),
        ("line_regulators", 1.5),
        ("ahead_of_regulator", "yes"),
        ("service_regulator", None),
        ("pressure_option", 2),
        ("renewals", {}),
        ("pump", True),
    ],
)
def test_faults_of_the_works_are_told_by_their_place(member: str, value: Any) -> None:
    at = house()
    document = written(at, replace(design(at), gas=WORKS))
    document["gas"][member] = value
    with pytest.raises(InvalidRequest) as caught:
        read(at, document)
    assert [f.pointer for f in caught.value.faults] == [f"#/gas/{member}"]


def test_description_names_what_is_written() -> None:
    at = house()
    told = written(at, replace(design(at), gas=WORKS))["gas"]
    described = gas_works()["properties"]
    assert set(described) == set(told)
    assert set(described["renewals"]["items"]["properties"]) == set(told["renewals"][0])
