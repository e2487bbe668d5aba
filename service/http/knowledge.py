"""``GET /v1/...``: what the service knows, with its sources."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, fields
from typing import Any

from flask import Blueprint, Response, abort, request

from service.http.catalogue_json import heater_entry, price_book_entry
from service.http.json_writer import json_bytes
from service.http.media import JSON, preferred
from service.http.rule_table import CSV, HTML, POLICY, table_csv, table_html
from service.routing.keys import MOST_ROOM_MM3
from service.routing.sheets import MOST_SKEW_DIRECTIONS
from service.rules import catalogue, rulesets
from service.rules.local_layers import local_records
from service.rules.mounting import mounting_records, mounting_sources
from service.rules.sources import sources as known_sources
from service.settings import PREFIX, Settings

Json = dict[str, Any]

RULE_SET_MEDIA = (JSON, HTML, CSV)
"""A rule set comes as data, as a page to print, or as a table."""
SKEW_LIMIT = "skew_wall_directions"
"""As the step that draws the walls calls it when it refuses a plan."""


def blueprint(settings: Settings) -> Blueprint:
    """The read-only resources."""
    routes = Blueprint("knowledge", __name__, url_prefix="/v1")
    _serve_rules(routes)
    _serve_prices(routes)
    _serve_heaters(routes)

    @routes.get("/sources")
    def sources() -> Response:
        return answer({"sources": [asdict(source) for source in known_sources()]})

    @routes.get("/limits")
    def limits() -> Response:
        return answer({"limits": limit_records(settings)})

    return routes


def _serve_rules(routes: Blueprint) -> None:
    @routes.get("/rule-sets")
    def rule_sets() -> Response:
        return answer({"rule_sets": list(rulesets.rule_set_ids())})

    @routes.get("/rule-sets/<rule_set_id>")
    def rule_set(rule_set_id: str) -> Response:
        known(rule_set_id, rulesets.rule_set_ids())
        return _rule_set_answer(rulesets.rule_set(rule_set_id), preferred(request, *RULE_SET_MEDIA))


def _rule_set_answer(found: rulesets.RuleSet, media: str) -> Response:
    """In the media type asked for; caches must know that the request's Accept decides."""
    if media == JSON:
        response = answer(rule_set_entry(found))
    elif media == HTML:
        response = conditional(table_html(found).encode(), f"{HTML}; charset=utf-8")
        response.headers["Content-Security-Policy"] = POLICY
    else:
        response = conditional(table_csv(found).encode(), f"{CSV}; charset=utf-8")
    response.vary.add("Accept")
    return response


def _serve_prices(routes: Blueprint) -> None:
    @routes.get("/price-books")
    def price_books() -> Response:
        return answer({"price_books": list(catalogue.price_book_ids())})

    @routes.get("/price-books/<price_book_id>")
    def price_book(price_book_id: str) -> Response:
        known(price_book_id, catalogue.price_book_ids())
        return answer(price_book_entry(catalogue.price_book(price_book_id)))


def _serve_heaters(routes: Blueprint) -> None:
    @routes.get("/heaters")
    def heaters() -> Response:
        return answer({"heaters": [heater_entry(h) for h in catalogue.heaters().values()]})

    @routes.get("/heaters/<heater_id>")
    def heater(heater_id: str) -> Response:
        entries = catalogue.heaters()
        known(heater_id, tuple(entries))
        return answer(heater_entry(entries[heater_id]))


def rule_set_entry(found: rulesets.RuleSet) -> Json:
    """A rule set with all its terminal rules, those of included sets last, and the mounting rules of its country."""
    return {
        "id": found.id,
        "title": found.title,
        "edition": found.edition,
        "country": found.country,
        "sources": list(found.sources),
        "rules": found.as_records(),
        "mounting_sources": list(mounting_sources()),
        "mounting_rules": mounting_records(found.country),
        "local_amendments": local_records(found),
    }


def limit_records(settings: Settings) -> list[Json]:
    """Each limit in force, with its unit and what it bounds; those that no setting changes last."""
    return [
        *(
            {
                "name": field.name,
                "limit": getattr(settings, field.name),
                "unit": field.metadata["unit"],
                "text": field.metadata["description"],
                "setting": f"{PREFIX}{field.name.upper()}",
            }
            for field in fields(settings)
        ),
        {
            "name": SKEW_LIMIT,
            "limit": MOST_SKEW_DIRECTIONS,
            "unit": "directions",
            "text": "directions of walls that are not square to the plan's main one [directions], fixed",
            "setting": None,
        },
        {
            "name": "room_count_times_mm3",
            "limit": MOST_ROOM_MM3,
            "unit": "mm3",
            "text": "rooms and one, times the volume of the box around the house and its services [mm3], fixed",
            "setting": None,
        },
    ]


def known(name: str, names: Sequence[str]) -> None:
    """404 unless ``name`` is one of ``names``."""
    if name not in names:
        abort(404)


def answer(value: Json) -> Response:
    """JSON that a caller who holds it gets no second time."""
    return conditional(json_bytes(value), JSON)


def conditional(content: bytes, content_type: str) -> Response:
    """With a strong ETag from its content, so that a caller who holds it gets a 304."""
    response = Response(content, content_type=content_type)
    response.add_etag()
    response.make_conditional(request)
    return response
