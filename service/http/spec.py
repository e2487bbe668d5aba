"""The API's description (OpenAPI 3.1), made from the same code that judges requests and writes answers.

``python -m service.http.spec`` writes ``openapi/openapi.yaml``; with ``--check`` it only fails when the
committed file differs from what the code says.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from service import __version__
from service.http.media import JSON
from service.http.problems import MEDIA_TYPE
from service.http.rule_table import CSV, HTML
from service.http.spec_answers import answer_schemas
from service.http.spec_certificate import RECHECK, certificate_schemas
from service.http.spec_demand import demand_schemas
from service.http.spec_gas import gas_schemas
from service.http.spec_knowledge import knowledge_schemas
from service.http.spec_power import power_schemas
from service.http.spec_pressure import pressure_schemas
from service.http.spec_problems import problem_ref, problem_refs, problem_responses, problem_schemas
from service.http.spec_relief import relief_schemas
from service.http.spec_requests import RequestSchemas
from service.http.spec_sheets import SUMMARY, all_forms, one_form, sheets_schemas, waiting
from service.http.spec_start_up import start_up_schemas
from service.http.spec_vent import vent_schemas
from service.http.spec_waiting import waiting_schemas
from service.http.spec_water import water_schemas
from service.http.spec_words import Json, ref
from service.settings import Settings

COMMITTED = Path(__file__).parents[2] / "openapi" / "openapi.yaml"
_ABOUT = (
    "Decides where a gas-fired tankless water heater hangs and where its vent ends: the cheapest lawful design, "
    "proven cheapest. Local code, the authority having jurisdiction, the gas supplier and the listed instructions "
    "prevail; licensed people design and install."
)
_KEY = "A key from the operator, where the service was started with a file of keys; else none is asked for."
_POSTED = ("malformed-json", "unauthorised", "not-acceptable", "length-required", "limit-exceeded",
           "unsupported-media-type", "invalid-request", "internal-error", "busy", "body-timeout")  # fmt: skip
_READ = ("unauthorised", "not-acceptable", "invalid-request", "internal-error")


def specification(settings: Settings) -> Json:
    """The whole description; limits are those in force."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Heater siting",
            "version": __version__,
            "description": _ABOUT,
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
        },
        "servers": [{"url": "/"}],
        "security": [{}, {"key": []}],
        "paths": {**_operations(), **_knowledge(), **_running()},
        "components": {
            "schemas": {
                **RequestSchemas(settings).collect(),
                **answer_schemas(),
                **gas_schemas(),
                **vent_schemas(),
                **power_schemas(),
                **waiting_schemas(),
                **pressure_schemas(),
                **water_schemas(),
                **relief_schemas(),
                **start_up_schemas(),
                **sheets_schemas(),
                **certificate_schemas(),
                **demand_schemas(),
                **knowledge_schemas(),
                **problem_schemas(),
            },
            "responses": problem_responses(),
            "securitySchemes": {"key": {"type": "http", "scheme": "bearer", "description": _KEY}},
        },
    }


def _operations() -> Json:
    return {
        "/v1/placements": {
            "post": waiting(
                _post("placements", "Site a heater: survey in, ranked designs out.", "SurveyRequest", "Placement")
            )
        },
        "/v1/checks": {
            "post": _post(
                "checks", "Judge a design, or one for each dwelling: survey and designs in, findings out.",
                "CheckRequest", "CheckReport",
            )
        },
        "/v1/clearances": {
            "post": _post(
                "clearances", "Map free and forbidden parts of facades and walls.", "SurveyRequest", "ClearanceMap"
            )
        },
        "/v1/gas-sizings": {
            "post": _post(
                "gasSizings", "Size a gas system: sizes, pressures and meter out.", "GasSizingRequest", "GasSizing"
            )
        },
        "/v1/verifications": {
            "post": waiting(_post("verifications", RECHECK, "VerificationRequest", "Verification"))
        },
        "/v1/hot-water-demands": {
            "post": _post(
                "hotWaterDemands",
                "Reckon the demand for hot water and hold heaters against it.",
                "HotWaterRequest",
                "HotWaterDemand",
            )
        },
        **_sheets(),
    }


def _sheets() -> Json:
    return {
        "/v1/sheets": {"post": waiting(all_forms(_post("sheets", SUMMARY, "SheetsRequest", "SheetIndex")))},
        "/v1/sheets/{sheet}": {
            "post": waiting(
                one_form(
                    _post("sheet", "One sheet, by its name, as SVG.", "SheetsRequest", "SheetIndex"),
                    _path_parameter("sheet"),
                )
            )
        },
    }


def _knowledge() -> Json:
    return {
        "/v1/rule-sets": {"get": _get("ruleSets", "Rule sets a survey may name.", "RuleSets")},
        "/v1/rule-sets/{rule_set_id}": {"get": _rule_set()},
        "/v1/price-books": {"get": _get("priceBooks", "Price books that ship.", "PriceBooks")},
        "/v1/price-books/{price_book_id}": {
            "get": _get("priceBook", "Prices of one book.", "PriceBook", "price_book_id")
        },
        "/v1/heaters": {"get": _get("heaters", "The catalogue; all its heaters are invented.", "Heaters")},
        "/v1/heaters/{heater_id}": {
            "get": _get("heater", "One heater, as a survey could bring it.", "HeaterRequest", "heater_id")
        },
        "/v1/sources": {"get": _get("sources", "Where every table comes from.", "Sources")},
        "/v1/limits": {"get": _get("limits", "Limits in force.", "Limits")},
    }


def _rule_set() -> Json:
    """Also as a page to print and as a table."""
    summary = "Rules of one set, as data or as a table beside the code book."
    described = _get("ruleSet", summary, "RuleSet", "rule_set_id")
    tables = {media: {"schema": {"type": "string"}} for media in (HTML, CSV)}
    described["responses"]["200"]["content"].update(tables)
    return described


def _running() -> Json:
    problem = _get("problem", "What a problem type means.", "ProblemType", "slug")
    ready = {**_get("ready", "Whether it has solved its own survey.", "State")}
    ready["responses"] = {**ready["responses"], "503": problem_ref("not-ready")}
    return {
        "/healthz": {"get": _get("alive", "Whether the process lives.", "State")},
        "/readyz": {"get": ready},
        "/metrics": {"get": _page("metrics", "Counters of this process.", "text/plain")},
        "/problems/{slug}": {"get": problem},
        "/": {"get": _with_page(_get("index", "Where to look next; for people, a page to draw a plan.", "Index"))},
        "/openapi.json": {"get": _get("description", "This description.", "Anything")},
        "/docs": {"get": _page("docs", "This description, to be read.", "text/html")},
        "/docs/{name}": {"get": _asset()},
    }


def _post(name: str, summary: str, request: str, answer: str) -> Json:
    statuses = problem_refs(*_POSTED)
    return {
        "operationId": name,
        "summary": summary,
        "requestBody": {"required": True, "content": {JSON: {"schema": ref(request)}}},
        "responses": {"200": _success(answer), "405": _other(), **statuses},
    }


def _get(name: str, summary: str, answer: str, parameter: str = "") -> Json:
    statuses = problem_refs(*_READ)
    missing = {"404": _other()} if parameter else {}
    responses = {"200": _success(answer), **missing, "405": _other(), **statuses}
    return {
        "operationId": name,
        "summary": summary,
        **({"parameters": [_path_parameter(parameter)]} if parameter else {}),
        "responses": responses,
    }


def _page(name: str, summary: str, media: str) -> Json:
    content = {media: {"schema": {"type": "string"}}}
    return {
        "operationId": name,
        "summary": summary,
        "responses": {"200": {"description": "the page", "content": content}, "406": problem_ref("not-acceptable")},
    }


def _with_page(described: Json) -> Json:
    described["responses"]["200"]["content"][HTML] = {"schema": {"type": "string"}}
    return described


def _asset() -> Json:
    content = {media: {"schema": {"type": "string"}} for media in ("text/css", "text/javascript", "image/svg+xml")}
    content[JSON] = {"schema": ref("SurveyRequest")}
    return {
        "operationId": "docsPart",
        "summary": "Scripts and styles of the pages, and the small example survey.",
        "parameters": [_path_parameter("name")],
        "responses": {"200": {"description": "the file", "content": content}, "404": _other()},
    }


def _path_parameter(name: str) -> Json:
    return {"name": name, "in": "path", "required": True, "schema": {"type": "string"}}


def _success(schema: str) -> Json:
    return {"description": "the answer", "content": {JSON: {"schema": ref(schema)}}}


def _other() -> Json:
    return {"description": "the framework's own refusal", "content": {MEDIA_TYPE: {"schema": ref("Problem")}}}


def main(arguments: list[str] | None = None) -> int:
    """Write the committed description, or compare with it."""
    parser = argparse.ArgumentParser(prog="python -m service.http.spec", description=__doc__)
    parser.add_argument("--check", action="store_true", help="write nothing; fail when the file is out of date")
    said = as_yaml(specification(Settings()))
    if not parser.parse_args(arguments).check:
        COMMITTED.write_text(said, encoding="utf-8")
        return 0
    if COMMITTED.is_file() and COMMITTED.read_text(encoding="utf-8") == said:
        return 0
    print("openapi/openapi.yaml is out of date: run python -m service.http.spec", file=sys.stderr)
    return 1


def as_yaml(value: Json) -> str:
    """YAML text; needs the dev extra, as only the committed file is YAML."""
    import yaml

    return str(yaml.safe_dump(value, sort_keys=False, allow_unicode=True, width=110))


if __name__ == "__main__":
    raise SystemExit(main())
