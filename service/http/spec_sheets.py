"""Sheets in the API's description: what is taken, and every form that they can be had in."""

from __future__ import annotations

from service.http.sheets import MEDIA, SHEET_MEDIA
from service.http.spec_words import SENTENCES, Json, array, nullable, number, obj, ref, text

SUMMARY = "Drawings and documents of a survey, which is solved first, or of a design of it, which is judged."
_ABOUT = {
    "application/json": "All sheets by name, each with its drawing as SVG.",
    "image/svg+xml": "All sheets one below the other.",
    "text/html": "The report as one page that asks for nothing else.",
    "application/pdf": "The same report to print, pages numbered.",
    "text/csv": "Bill of materials: priced lines, and parts that rules ask for.",
    "image/vnd.dxf": "Plans and elevation, layers named VIEW-LAYER, in millimetres.",
    "application/vnd.heater-siting.geometry+json": "Features in local metres, in the shape of GeoJSON; not geographic.",
}


def sheets_schemas() -> Json:
    """What is taken, and the index of sheets."""
    given = {
        "type": "object",
        "description": "A survey and a design of it, whole or in part.",
        "properties": {"survey": ref("SurveyRequest"), "design": ref("DesignRequest")},
        "required": ["survey", "design"],
        "additionalProperties": False,
    }
    sheet = {
        "name": text("what /v1/sheets/{sheet} calls it"),
        "title": text("what it shows"),
        "scale": nullable(number("millimetres of the house to one of an A4 sheet; null where nothing is to scale")),
        "about": text("the sheet in a sentence, for those who do not see it"),
        "svg": text("the sheet as SVG, A4 on its side"),
    }
    index = {
        "status": text("of a survey, as in a placement; of a design lawful, lawful_as_far_as_given or not_lawful"),
        "verdict": text("the status in words, with the cost"),
        "cost": nullable(number("of the design drawn [units.money]")),
        "units": ref("Units"),
        "sheets": array(ref("Sheet")),
        "warnings": SENTENCES,
        "cautions": SENTENCES,
        "engine": ref("Engine"),
    }
    return {
        "SheetsRequest": {
            "description": "A survey alone, or a survey and a design of it.",
            "oneOf": [ref("SurveyRequest"), given],
        },
        "Sheet": obj("One sheet.", sheet),
        "SheetIndex": obj("All sheets of a survey or a design.", index),
    }


def with_media(described: Json, media: tuple[str, ...]) -> Json:
    """The description of a POST with these forms of its answer besides JSON."""
    content = described["responses"]["200"]["content"]
    for name in media:
        content.setdefault(name, {"schema": {"type": "string", "description": _ABOUT.get(name, "")}})
    return described


def all_forms(described: Json) -> Json:
    """``/v1/sheets``: in every form."""
    return with_media(described, MEDIA)


def one_form(described: Json, parameter: Json) -> Json:
    """``/v1/sheets/{sheet}``: one sheet, as SVG only."""
    described["responses"]["200"]["content"] = {}
    return {**with_media(described, SHEET_MEDIA), "parameters": [parameter]}


def waiting(described: Json) -> Json:
    """An operation that searches: it heeds how long the caller waits."""
    prefer = {
        "name": "Prefer",
        "in": "header",
        "required": False,
        "description": "wait=N (RFC 7240): no search of this request takes more than N seconds [s]",
        "schema": {"type": "string"},
        "example": "wait=5",
    }
    told = {"description": "wait=N where it was heeded", "schema": {"type": "string"}}
    described["parameters"] = [*described.get("parameters", ()), prefer]
    described["responses"]["200"]["headers"] = {"Preference-Applied": told}
    return described
