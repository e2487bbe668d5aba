"""The front page, the API's description, its documentation page and the pages of the problem types.

The documentation page is a small script of our own over ``/openapi.json``; it asks nobody else.
"""

from __future__ import annotations

from importlib import resources
from typing import Any

from flask import Blueprint, Response, abort

from service import ENGINE, __version__
from service.http.knowledge import answer
from service.http.problems import REGISTRY

HTML = "text/html"
_FILES = {"docs.html": HTML, "docs.css": "text/css", "docs.js": "text/javascript"}
_POLICY = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; base-uri 'none'"


def blueprint(specification: dict[str, Any]) -> Blueprint:
    """Everything a reader looks at."""
    routes = Blueprint("pages", __name__)

    @routes.get("/")
    def index() -> Response:
        links = {"documentation": "/docs", "description": "/openapi.json", "operations": sorted(specification["paths"])}
        return answer({"name": ENGINE, "version": __version__, **links})

    @routes.get("/openapi.json")
    def openapi() -> Response:
        return answer(specification)

    @routes.get("/docs")
    def docs() -> Response:
        return _file("docs.html")

    @routes.get("/docs/<name>")
    def docs_part(name: str) -> Response:
        return _file(name) if name in _FILES and name != "docs.html" else abort(404)

    @routes.get("/problems/<slug>")
    def problem(slug: str) -> Response:
        if slug not in REGISTRY:
            abort(404)
        kind = REGISTRY[slug]
        return answer({"type": kind.uri, "status": kind.status, "title": kind.title, "text": kind.text})

    return routes


def _file(name: str) -> Response:
    content = resources.files("service.http").joinpath("static", name).read_bytes()
    headers = {"Content-Security-Policy": _POLICY}
    return Response(content, content_type=f"{_FILES[name]}; charset=utf-8", headers=headers)
