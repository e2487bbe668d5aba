"""The front page, the API's description, its documentation page and the pages of the problem types.

The front page is an index for programs, and for people a form that sends a survey and shows its sheets. It and the
documentation page, a small script of our own over ``/openapi.json``, ask this service and nobody else.
"""

from __future__ import annotations

from importlib import resources
from typing import Any

from flask import Blueprint, Response, abort, request

from service import ENGINE, __version__
from service.http.knowledge import answer
from service.http.media import JSON, preferred
from service.http.problems import REGISTRY

HTML = "text/html"
INDEX_MEDIA = (JSON, HTML)
"""The front page comes as an index, or as a page for people."""
_SCRIPT, _STYLE = "text/javascript", "text/css"
_FILES = {
    "docs.html": HTML, "docs.css": _STYLE, "docs.js": _SCRIPT,
    "page.html": HTML, "page.css": _STYLE, "page.js": _SCRIPT, "smoke_survey.json": JSON,
    "icon.svg": "image/svg+xml",
}  # fmt: skip
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self' blob:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


def blueprint(specification: dict[str, Any]) -> Blueprint:
    """Everything a reader looks at."""
    routes = Blueprint("pages", __name__)

    @routes.get("/")
    def index() -> Response:
        if preferred(request, *INDEX_MEDIA) == HTML:
            return _varied(_file("page.html"))
        links = {"documentation": "/docs", "description": "/openapi.json", "operations": sorted(specification["paths"])}
        return _varied(answer({"name": ENGINE, "version": __version__, **links}))

    @routes.get("/openapi.json")
    def openapi() -> Response:
        return answer(specification)

    @routes.get("/docs")
    def docs() -> Response:
        return _file("docs.html")

    @routes.get("/docs/<name>")
    def docs_part(name: str) -> Response:
        return _file(name) if _FILES.get(name, HTML) != HTML else abort(404)

    @routes.get("/problems/<slug>")
    def problem(slug: str) -> Response:
        if slug not in REGISTRY:
            abort(404)
        kind = REGISTRY[slug]
        return answer({"type": kind.uri, "status": kind.status, "title": kind.title, "text": kind.text})

    return routes


def _varied(response: Response) -> Response:
    """Caches must know that the request's Accept decides."""
    response.vary.add("Accept")
    return response


def _file(name: str) -> Response:
    content = resources.files("service.http").joinpath("static", name).read_bytes()
    headers = {"Content-Security-Policy": _POLICY}
    return Response(content, content_type=f"{_FILES[name]}; charset=utf-8", headers=headers)
