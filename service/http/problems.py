"""Problem details (RFC 9457): one registry, one way to write them.

The registry is the source of the pages under ``/problems/`` and of the OpenAPI components.
"""

from __future__ import annotations

import logging
import secrets
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from flask import Flask, Response, current_app, g
from werkzeug.exceptions import HTTPException

from service.errors import Busy, Fault, InvalidRequest, LimitExceeded, MalformedJson, SolveFailed
from service.http.json_writer import json_bytes
from service.http.metrics import metrics_of

Json = dict[str, Any]

MEDIA_TYPE = "application/problem+json"
RETRY_AFTER_S = 2

_log = logging.getLogger("service")


@dataclass(frozen=True, slots=True)
class ProblemType:
    """One kind of problem: ``slug`` ends its type URI, ``text`` tells the caller what to do about it."""

    slug: str
    status: int
    title: str
    text: str

    @property
    def uri(self) -> str:
        """Type URI, a path of this service that explains the problem."""
        return f"/problems/{self.slug}"


REGISTRY: dict[str, ProblemType] = {
    p.slug: p
    for p in (
        ProblemType(
            "malformed-json",
            400,
            "The body is not strict JSON",
            "Send one JSON text in UTF-8: no NaN or Infinity, no key twice in an object, no deep nesting.",
        ),
        ProblemType(
            "unauthorised",
            401,
            "A key is needed",
            "Send a key that the operator gave you: Authorization: Bearer KEY.",
        ),
        ProblemType(
            "not-acceptable",
            406,
            "The answer cannot be produced in an accepted media type",
            "Accept the media type that the detail names.",
        ),
        ProblemType(
            "length-required",
            411,
            "The request has no Content-Length",
            "Send the length of the body in a Content-Length header; chunked bodies are not taken.",
        ),
        ProblemType(
            "limit-exceeded",
            413,
            "The request is larger than the service takes",
            "name says which limit of GET /v1/limits, given what was sent, limit what is allowed.",
        ),
        ProblemType(
            "unsupported-media-type",
            415,
            "The body's media type is not taken",
            "Send application/json in UTF-8 without a content coding.",
        ),
        ProblemType(
            "invalid-request",
            422,
            "The document breaks the schema or contradicts itself",
            "errors lists every fault found, each with a JSON Pointer to its place.",
        ),
        ProblemType(
            "caller-gone",
            400,
            "The connection was closed before the answer",
            "Keep it open, also for sending, until the answer has come: whoever closes it has the solve ended.",
        ),
        ProblemType(
            "body-timeout",
            408,
            "The body did not arrive in time",
            "Send it at once: body_seconds of GET /v1/limits is the time for all of it.",
        ),
        ProblemType(
            "busy",
            503,
            "Too many solves are under way",
            "Ask again after the seconds in Retry-After.",
        ),
        ProblemType(
            "interrupted",
            503,
            "The solve was lost",
            "The process that solved has ended before its answer. Ask again; if it happens again, the log tells more.",
        ),
        ProblemType(
            "overrun",
            503,
            "The solve did not keep its time",
            "It was ended long after its time was up. Asking again will not help; a smaller plan may.",
        ),
        ProblemType(
            "not-ready",
            503,
            "The service has not solved its own test survey",
            "Do not route requests here; the log tells why.",
        ),
        ProblemType(
            "internal-error",
            500,
            "The service failed",
            "Nothing is wrong with the request as far as we know. Report the incident's id; it is in the log.",
        ),
    )
}


class Problem(Exception):  # noqa: N818 - it is what the caller gets
    """A problem of the registry, to be answered as such."""

    def __init__(self, slug: str, detail: str, headers: dict[str, str] | None = None, **members: Any) -> None:
        """``members`` extend the problem document."""
        super().__init__(detail)
        self.type = REGISTRY[slug]
        self.document = document(slug, detail, **members)
        self.headers = headers or {}


def document(slug: str, detail: str, **members: Any) -> Json:
    """Problem document of a registered kind."""
    kind = REGISTRY[slug]
    return {"type": kind.uri, "title": kind.title, "status": kind.status, "detail": detail, **members}


def invalid(faults: tuple[Fault, ...]) -> Json:
    """Problem document that lists faults."""
    count = len(faults)
    detail = "1 fault" if count == 1 else f"{count} faults"
    errors = [{"pointer": f.pointer, "code": f.code, "detail": f.detail} for f in faults]
    return document("invalid-request", detail, errors=errors)


def limit_exceeded(error: LimitExceeded) -> Json:
    """Problem document that names a limit."""
    return document("limit-exceeded", str(error), name=error.name, given=error.given, limit=error.limit)


def register(app: Flask) -> None:
    """Answer every exception, ours and the framework's, with a problem document."""
    app.register_error_handler(Problem, lambda e: respond(e.document, e.headers))
    app.register_error_handler(MalformedJson, lambda e: respond(document("malformed-json", e.detail)))
    app.register_error_handler(InvalidRequest, lambda e: respond(invalid(e.faults)))
    app.register_error_handler(LimitExceeded, lambda e: respond(limit_exceeded(e)))
    app.register_error_handler(Busy, lambda e: respond(_busy(), {"Retry-After": str(RETRY_AFTER_S)}))
    app.register_error_handler(HTTPException, _framework)
    app.register_error_handler(Exception, _unexpected)


def respond(problem: Json, headers: dict[str, str] | None = None) -> Response:
    """Response that carries a problem document."""
    g.refused = problem["type"].rsplit("/", 1)[-1]
    response = Response(json_bytes(problem), status=problem["status"], content_type=MEDIA_TYPE)
    response.headers.update(headers or {})
    response.headers["Cache-Control"] = "no-store"
    return response


def _busy() -> Json:
    return document("busy", "every place for a solve is taken")


def _framework(error: HTTPException) -> Response:
    """What Flask or Werkzeug refused. Headers such as Allow are kept; the text is the status's own."""
    code = error.code or HTTPStatus.INTERNAL_SERVER_ERROR
    phrase = HTTPStatus(code).phrase
    problem = {"type": "about:blank", "title": phrase, "status": int(code), "detail": phrase}
    kept = {k: v for k, v in error.get_headers() if k.lower() != "content-type"}
    return respond(problem, kept)


def _unexpected(error: Exception) -> Response:
    """A fault of ours: the caller gets an id, the log gets everything."""
    incident = secrets.token_hex(8)
    _log.error("incident %s", incident, exc_info=error)
    kind = error.kind if isinstance(error, SolveFailed) else type(error).__name__
    metrics_of(current_app).internal_errors.labels(kind).inc()
    return respond(document("internal-error", "the incident is in the log under this id", incident=incident))
