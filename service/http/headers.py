"""Header fields that keep browsers from doing more with an answer than reading it, and which web pages may ask."""

from __future__ import annotations

from flask import Flask, Response
from flask_cors import CORS

from service.http.logs import ID_HEADER

NOTHING = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
FIELDS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}
_TOLD = (ID_HEADER, "Retry-After", "ETag")
_TAKEN = ("Content-Type", "Authorization", "If-None-Match", ID_HEADER)
_KEPT_S = 600


def finish(response: Response) -> Response:
    """Set the fields; a page that has a policy of its own for scripts and styles keeps it."""
    response.headers.update(FIELDS)
    response.headers.setdefault("Content-Security-Policy", NOTHING)
    return response


def open_to(app: Flask, origins: tuple[str, ...]) -> None:
    """Let web pages of these origins ask for ``/v1``; without any, browsers keep all of them out (Fetch standard)."""
    if origins:
        CORS(
            app, resources={r"/v1/.*": {"origins": list(origins)}}, methods=["GET", "POST"],
            allow_headers=list(_TAKEN), expose_headers=list(_TOLD), max_age=_KEPT_S, send_wildcard=False,
        )  # fmt: skip
        app.after_request(_differs_by_origin)


def _differs_by_origin(response: Response) -> Response:
    """Lest a cache hand one origin what was meant for another."""
    response.vary.add("Origin")
    return response
