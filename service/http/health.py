"""Whether the process lives, whether it can solve, and what it has counted."""

from __future__ import annotations

import logging
from collections.abc import Callable
from functools import cached_property, partial
from importlib import resources
from threading import Lock

from flask import Blueprint, Response, current_app

from service.errors import Busy, ServiceError
from service.http import exchange
from service.http.json_writer import json_bytes
from service.http.media import JSON
from service.http.metrics import metrics_of
from service.http.problems import document, respond
from service.http.solving import Solver, as_json

PLAIN = "text/plain"
SMOKE_SURVEY = "smoke_survey.json"

_log = logging.getLogger("service")


class Readiness:
    """Solves a stored survey once; ready if and only if a proven design comes out."""

    def __init__(self, solve: Callable[[], str]) -> None:
        """``solve`` gives the status of the answer for the stored survey."""
        self._solve = solve
        self._lock = Lock()

    def ready(self) -> bool:
        """Outcome of the one solve; the first caller waits for it."""
        with self._lock:
            return self._outcome

    @cached_property
    def _outcome(self) -> bool:
        try:
            status = self._solve()
        except Busy:
            raise
        except (ServiceError, ValueError, LookupError, ArithmeticError, OSError):
            _log.exception("the smoke survey could not be solved")
            return False
        if status != "optimal":
            _log.error("the smoke survey ended as %s", status)
        return bool(status == "optimal")


def readiness(solver: Solver, seconds: float) -> Readiness:
    """Readiness by the smoke survey that ships with the service, solved within so much time [s]."""
    body = resources.files("service.http").joinpath("static", SMOKE_SURVEY).read_bytes()

    def solve() -> str:
        with solver.place() as place:
            return place(partial(as_json, exchange.placement), body, seconds).status

    return Readiness(solve)


def blueprint(state: Readiness) -> Blueprint:
    """Health and counters."""
    routes = Blueprint("health", __name__)

    @routes.get("/healthz")
    def healthz() -> Response:
        return Response(json_bytes({"status": "alive"}), content_type=JSON)

    @routes.get("/readyz")
    def readyz() -> Response:
        if state.ready():
            return Response(json_bytes({"status": "ready"}), content_type=JSON)
        return respond(document("not-ready", "the stored survey was not solved"))

    @routes.get("/metrics")
    def metrics() -> Response:
        content, media = metrics_of(current_app).text()
        return Response(content, content_type=media)

    return routes
