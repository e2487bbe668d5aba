"""Sheets over HTTP: forms, names, what is refused, and that a design and a survey alone come to the same drawings."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import pytest
from flask.testing import FlaskClient

from service.http.sheets import MEDIA
from tests.api.fakes import FAKES, SAMPLE, infeasible, sample
from tests.scenarios.scenarios import TOGETHER, solved

(FLATS,) = TOGETHER
SVG = "image/svg+xml"


def index(client: FlaskClient, body: dict[str, Any]) -> dict[str, Any]:
    """All sheets by name."""
    response = client.post("/v1/sheets", json=body)
    assert response.status_code == 200
    found: dict[str, Any] = response.get_json()
    return found


def test_all_sheets_by_name(client: FlaskClient) -> None:
    """Plan, elevation, gas and facades, each a drawing of A4 that an XML parser takes."""
    found = index(client, sample())
    names = [s["name"] for s in found["sheets"]]
    assert {"plan-1", "plan-1-detail", "elevation", "elevation-detail", "gas-1", "facades-1"} <= set(names)
    assert len(names) == len(set(names))
    for sheet in found["sheets"]:
        root = ElementTree.fromstring(sheet["svg"])
        assert (root.get("width"), root.get("height")) == ("297mm", "210mm")


@pytest.mark.parametrize("media", MEDIA)
def test_every_form_is_sent_as_what_it_is(client: FlaskClient, media: str) -> None:
    """The type asked for, not stored, and caches are told what decides."""
    response = client.post("/v1/sheets", json=sample(), headers={"Accept": media})
    assert (response.status_code, response.mimetype) == (200, media)
    assert response.headers["Cache-Control"] == "no-store"
    assert "Accept" in response.headers["Vary"]
    assert response.data


def test_one_sheet_is_that_of_the_index(client: FlaskClient) -> None:
    """Byte for byte."""
    sheet = index(client, sample())["sheets"][0]
    response = client.post(f"/v1/sheets/{sheet['name']}", json=sample(), headers={"Accept": SVG})
    assert (response.mimetype, response.text) == (SVG, sheet["svg"])


def test_a_sheet_that_there_is_not_is_refused_with_the_names_that_there_are(client: FlaskClient) -> None:
    """As any other fault."""
    response = client.post("/v1/sheets/plan-99", json=sample())
    assert response.status_code == 422
    (fault,) = response.get_json()["errors"]
    assert fault["code"] == "unknown_sheet"
    assert "plan-1" in fault["detail"]


@pytest.mark.parametrize("path", ["/v1/sheets", "/v1/sheets/plan-1"])
def test_another_form_is_not_acceptable(client: FlaskClient, path: str) -> None:
    """A problem document, whatever was asked for."""
    response = client.post(path, json=sample(), headers={"Accept": "image/png"})
    assert (response.status_code, response.mimetype) == (406, "application/problem+json")


def test_faults_of_survey_and_design_are_told_as_ever(client: FlaskClient) -> None:
    """Every member is judged as by the other operations, with pointers from the outermost document."""
    survey = {**sample(), "units": "furlongs"}
    placed = [f["pointer"] for f in client.post("/v1/placements", json=survey).get_json()["errors"]]
    alone = client.post("/v1/sheets", json=survey).get_json()["errors"]
    within = client.post("/v1/sheets", json={"survey": survey, "design": {}}).get_json()["errors"]
    assert "#/units" in placed
    assert [f["pointer"] for f in alone] == placed
    assert [f["pointer"] for f in within] == [f"#/survey{pointer[1:]}" for pointer in placed]
    bare = client.post("/v1/sheets", json={"survey": sample()})
    assert [(f["pointer"], f["code"]) for f in bare.get_json()["errors"]] == [("#/design", "missing")]


def test_a_design_handed_in_is_drawn_with_its_verdict(client: FlaskClient) -> None:
    """One that is not lawful is drawn too, says so on every sheet, and has no gas system."""
    design = client.post("/v1/placements", json=sample()).get_json()["designs"][0]
    found = index(client, {"survey": sample(), "design": design})
    assert found["status"] == "not_lawful"
    assert "gas-1" not in [s["name"] for s in found["sheets"]]
    assert all("NOT LAWFUL" in s["svg"] for s in found["sheets"])


def test_a_design_in_part_is_drawn_as_far_as_it_goes(client: FlaskClient) -> None:
    """A terminal alone has an elevation."""
    design = client.post("/v1/placements", json=sample()).get_json()["designs"][0]
    part = {"heater": design["heater"], "terminal": design["terminal"]}
    names = [s["name"] for s in index(client, {"survey": sample(), "design": part})["sheets"]]
    assert "elevation" in names
    assert "gas-1" not in names


def kinds_of_body(client: FlaskClient) -> dict[str, dict[str, Any]]:
    """Designs that are whole or in part; a survey alone is drawn in every form above."""
    design = client.post("/v1/placements", json=sample()).get_json()["designs"][0]
    parts = {
        "whole": design,
        "terminal": {k: design[k] for k in ("heater", "terminal")},
        "mount": {k: design[k] for k in ("heater", "mount")},
    }
    return {name: {"survey": sample(), "design": part} for name, part in parts.items()}


@pytest.mark.parametrize("media", MEDIA)
def test_every_form_of_every_kind_of_body(client: FlaskClient, media: str) -> None:
    """Nothing that may be left out is needed, and what is not told is said."""
    for name, body in kinds_of_body(client).items():
        response = client.post("/v1/sheets", json=body, headers={"Accept": media})
        assert (name, response.status_code) == (name, 200)
        if media == "text/html":
            assert "No start-up sheet" in response.text


@pytest.mark.parametrize("media", MEDIA)
def test_a_house_without_a_lawful_place_has_sheets_too(media: str) -> None:
    """They say so, and show where nothing may be."""
    from service.app import create_app
    from service.settings import Settings

    alone = create_app(Settings(), replace(FAKES, place=infeasible)).test_client()
    response = alone.post("/v1/sheets", json=sample(), headers={"Accept": media})
    assert response.status_code == 200
    if media in ("application/json", SVG, "text/html"):
        assert "NO LAWFUL DESIGN" in response.text


@pytest.mark.parametrize("media", MEDIA)
def test_the_same_request_gives_the_same_bytes(client: FlaskClient, media: str) -> None:
    """No dates, no random ids."""
    first, second = (client.post("/v1/sheets", json=sample(), headers={"Accept": media}).data for _ in range(2))
    assert first == second


@pytest.mark.parametrize("media", ["application/json", "application/pdf"])
def test_several_dwellings_are_drawn(media: str) -> None:
    """As they were solved, all drawings within the JSON; the other forms are looked into in ``tests/scenarios``."""
    from service.app import create_app
    from service.settings import Settings

    alone = create_app(Settings(), replace(FAKES, place=lambda survey, settings: solved(FLATS).answer)).test_client()
    plan = SAMPLE.parent / f"{FLATS}.json"
    response = alone.post("/v1/sheets", json=json.loads(plan.read_text("utf-8")), headers={"Accept": media})
    assert (response.status_code, response.mimetype) == (200, media)
    if media == "application/json":
        names = [s["name"] for s in response.get_json()["sheets"]]
        assert {"plan-1", "plan-1-detail-1", "elevation-4-detail", "gas-1", "facades-4"} <= set(names)
        assert len(names) == len(set(names))
