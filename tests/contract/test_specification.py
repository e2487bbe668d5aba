"""The description is valid OpenAPI 3.1, is what is committed, names every route, and every answer fits it exactly."""

from __future__ import annotations

import json
import re
from copy import deepcopy
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]
from openapi_spec_validator import validate

from service.http import spec
from service.http.problems import REGISTRY
from service.rules import catalogue, rulesets
from service.settings import Settings
from tests.api.fakes import sample
from tests.api.gas_documents import gas_system

SPECIFICATION = spec.specification(Settings())


def closed(schema: Any) -> Any:
    """The same schema with every object closed, so that a member that nobody described is found."""
    if isinstance(schema, list):
        return [closed(part) for part in schema]
    if not isinstance(schema, dict):
        return schema
    parts = {key: closed(value) for key, value in schema.items()}
    if "properties" in parts and isinstance(parts.get("type"), str | list) and "additionalProperties" not in parts:
        parts["additionalProperties"] = False
    return parts


CLOSED = closed(deepcopy(SPECIFICATION))


def misfits(value: object, schema: dict[str, Any]) -> list[str]:
    """Where a value departs from a schema of the description."""
    validator = Draft202012Validator({**schema, "components": CLOSED["components"]})
    return [f"{e.json_path}: {e.message}" for e in validator.iter_errors(value)]


def response_schema(path: str, method: str, status: str, media: str) -> dict[str, Any]:
    """Schema of one response of the description."""
    response = SPECIFICATION["paths"][path][method]["responses"][status]
    if "$ref" in response:
        response = SPECIFICATION["components"]["responses"][response["$ref"].rsplit("/", 1)[1]]
    schema: dict[str, Any] = response["content"][media]["schema"]
    return schema


def test_the_description_is_valid() -> None:
    """Judged by an independent library."""
    validate(SPECIFICATION)
    json.dumps(SPECIFICATION, allow_nan=False)


def test_every_component_is_used_and_every_reference_leads_somewhere() -> None:
    """No leftovers, no holes."""
    text = json.dumps(SPECIFICATION)
    used = set(re.findall(r"#/components/(\w+/[\w-]+)", text))
    used |= {f"securitySchemes/{name}" for wanted in SPECIFICATION["security"] for name in wanted}
    there = {f"{kind}/{name}" for kind, parts in SPECIFICATION["components"].items() for name in parts}
    assert used == there


def test_the_committed_file_is_what_the_code_says() -> None:
    """As ``python -m service.http.spec --check`` does."""
    assert spec.main(["--check"]) == 0


def test_the_check_fails_on_drift(monkeypatch: pytest.MonkeyPatch, tmp_path: Any) -> None:
    """A check that cannot fail is none."""
    stale = tmp_path / "openapi.yaml"
    monkeypatch.setattr(spec, "COMMITTED", stale)
    assert spec.main(["--check"]) == 1
    assert spec.main([]) == 0
    assert spec.main(["--check"]) == 0
    stale.write_text(stale.read_text().replace("Placement", "Placements"))
    assert spec.main(["--check"]) == 1


def test_routes_and_description_name_the_same(app: Flask) -> None:
    """Every route with its methods, no more and no fewer."""
    routes = {
        (re.sub(r"<(\w+)>", r"{\1}", rule.rule), method.lower())
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }
    described = {(path, method) for path, item in SPECIFICATION["paths"].items() for method in item}
    assert routes == described


def test_every_problem_type_is_described() -> None:
    """Each with its status, on some operation."""
    told = [r["description"] for r in SPECIFICATION["components"]["responses"].values()]
    assert all(any(f"{kind.uri}: {kind.title}." in text for text in told) for kind in REGISTRY.values())


def check_body(client: FlaskClient) -> dict[str, Any]:
    """A check of what the placement says."""
    return {"survey": sample(), "design": client.post("/v1/placements", json=sample()).get_json()["designs"][0]}


def certified(client: FlaskClient) -> dict[str, Any]:
    """A survey that asks for a certificate, and what the placement says."""
    survey = sample() | {"explain": {"certificate": True}}
    return {"survey": survey, "answer": client.post("/v1/placements", json=survey).get_json()}


POSTED = [path for path, item in SPECIFICATION["paths"].items() if "post" in item and "{" not in path]


@pytest.mark.parametrize("path", POSTED)
def test_operations_fit_the_description_both_ways(client: FlaskClient, path: str) -> None:
    """The request that is taken and the answer that is given, closed to members that nobody described."""
    bodies = {"/v1/checks": check_body, "/v1/verifications": certified}
    body = bodies[path](client) if path in bodies else sample()
    request = SPECIFICATION["paths"][path]["post"]["requestBody"]["content"]["application/json"]["schema"]
    assert misfits(body, request) == []
    response = client.post(path, json=body)
    assert response.status_code == 200
    assert misfits(response.get_json(), response_schema(path, "post", "200", "application/json")) == []


@pytest.mark.parametrize("pressure", [7, {"value": 2, "unit": "psi"}, 100])
def test_gas_systems_fit_the_description_both_ways(client: FlaskClient, pressure: Any) -> None:
    """Lawful, not lawful, and with pipe that cannot be had, as a table of corrugated tubing is missing."""
    body = gas_system()
    body["gas"]["pressure"] = pressure
    request = SPECIFICATION["paths"]["/v1/gas-sizings"]["post"]["requestBody"]["content"]["application/json"]["schema"]
    assert misfits(body, request) == []
    response = client.post("/v1/gas-sizings", json=body)
    assert response.status_code == 200
    schema = response_schema("/v1/gas-sizings", "post", "200", "application/json")
    assert misfits(response.get_json(), schema) == []
    assert response.get_json()["lawful"] is (pressure == 7)


def test_a_member_nobody_described_would_be_found(client: FlaskClient) -> None:
    """The test above can fail."""
    answer = client.post("/v1/placements", json=sample()).get_json()
    answer["designs"][0]["mount"]["mood"] = "good"
    assert misfits(answer, response_schema("/v1/placements", "post", "200", "application/json"))


PLAIN_GETS = [path for path, item in SPECIFICATION["paths"].items() if "get" in item and "{" not in path]
SINGLE_GETS = [
    *(("/v1/heaters/{heater_id}", name) for name in catalogue.heaters()),
    *(("/v1/rule-sets/{rule_set_id}", name) for name in rulesets.rule_set_ids()),
    *(("/v1/price-books/{price_book_id}", name) for name in catalogue.price_book_ids()),
    *(("/problems/{slug}", slug) for slug in REGISTRY),
    ("/docs/{name}", "docs.css"),
    ("/docs/{name}", "docs.js"),
]


@pytest.mark.parametrize(("path", "name"), [*((p, "") for p in PLAIN_GETS), *SINGLE_GETS])
def test_resources_fit_the_description(client: FlaskClient, path: str, name: str) -> None:
    """Every GET, every item of every list."""
    response = client.get(re.sub(r"\{\w+\}", name, path))
    assert response.status_code == 200
    content = SPECIFICATION["paths"][path]["get"]["responses"]["200"]["content"]
    assert response.mimetype in content
    if response.mimetype == "application/json" and path != "/openapi.json":
        assert misfits(response.get_json(), content["application/json"]["schema"]) == []


@pytest.mark.parametrize(
    ("status", "request_parts"),
    [
        ("400", {"data": b"{", "content_type": "application/json"}),
        ("413", {"data": b" " * 1_000_001, "content_type": "application/json"}),
        ("415", {"data": b"{}", "content_type": "text/plain"}),
        ("406", {"json": {}, "headers": {"Accept": "text/csv"}}),
        ("422", {"json": {"units": "ells"}}),
    ],
)
def test_problems_fit_the_description(client: FlaskClient, status: str, request_parts: dict[str, Any]) -> None:
    """With all their members."""
    response = client.post("/v1/placements", **request_parts)
    assert str(response.status_code) == status
    schema = response_schema("/v1/placements", "post", status, "application/problem+json")
    assert misfits(response.get_json(force=True), schema) == []


def test_limits_are_stated_in_the_description() -> None:
    """A caller can read from the description what a list may hold."""
    settings = Settings(storeys=2, rooms=3, string_length=40)
    schemas = spec.specification(settings)["components"]["schemas"]
    assert schemas["SurveyRequest"]["properties"]["storeys"]["maxItems"] == 2
    assert schemas["StoreyRequest"]["properties"]["rooms"]["maxItems"] == 3
    assert schemas["SurveyRequest"]["properties"]["name"]["maxLength"] == 40


def test_a_catalogue_entry_can_be_brought_along(client: FlaskClient) -> None:
    """GET /v1/heaters/{id} gives what ``heaters`` of a survey takes, in either unit system."""
    entry = client.get("/v1/heaters/co-direct-199").get_json()
    own = {**entry, "id": "mine", "name": "Mine"}
    response = client.post("/v1/placements", json={**sample(), "heaters": [own]})
    assert response.status_code == 200
    assert response.get_json()["designs"][0]["heater"]["id"] == "mine"


def test_documentation_asks_nobody_else(client: FlaskClient) -> None:
    """No address outside this service in page, style or script."""
    for url in ("/docs", "/docs/docs.css", "/docs/docs.js"):
        response = client.get(url)
        assert "//" not in re.sub(r"^// .*$", "", response.text, flags=re.MULTILINE)
        assert "default-src 'none'" in response.headers["Content-Security-Policy"]


def test_what_a_caller_holds_is_not_sent_again(client: FlaskClient) -> None:
    """A strong ETag of the content; the same gives 304."""
    first = client.get("/v1/heaters")
    etag = first.headers["ETag"]
    assert not etag.startswith("W/")
    assert client.get("/v1/heaters", headers={"If-None-Match": etag}).status_code == 304
