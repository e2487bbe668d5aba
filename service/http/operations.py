"""``POST /v1/...``: each operation reads a body, passes the gate, answers JSON."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore
from time import monotonic
from typing import Any, TypeVar

from flask import Blueprint, Response, current_app, request

from service.errors import Busy
from service.http import exchange, logs
from service.http.exchange import Operations
from service.http.json_writer import json_bytes
from service.http.media import JSON, read_body
from service.http.metrics import metrics_of
from service.settings import Settings

Json = dict[str, Any]
T = TypeVar("T")
Exchange = Callable[[bytes, Settings, Operations], Json]


class Gate:
    """Lets so many solves run at once and turns the next one away without a queue."""

    def __init__(self, places: int) -> None:
        """``places``: solves that may run at once."""
        self._places = BoundedSemaphore(places)

    @contextmanager
    def passed(self) -> Iterator[None]:
        """Hold one place; raises Busy when none is free."""
        if not self._places.acquire(blocking=False):
            raise Busy("every place for a solve is taken")
        try:
            yield
        finally:
            self._places.release()


def blueprint(settings: Settings, operations: Operations, gate: Gate) -> Blueprint:
    """The operations that compute."""
    routes = Blueprint("operations", __name__, url_prefix="/v1")

    def run(work: Exchange) -> Response:
        body = read_body(request, settings.body_bytes)
        with gate.passed():
            result = _timed(work, body, settings, operations)
        return Response(json_bytes(result), content_type=JSON, headers={"Cache-Control": "no-store"})

    @routes.post("/placements")
    def placements() -> Response:
        return run(exchange.placement)

    @routes.post("/checks")
    def checks() -> Response:
        return run(exchange.check_report)

    @routes.post("/clearances")
    def clearances() -> Response:
        return run(exchange.clearance_map)

    @routes.post("/gas-sizings")
    def gas_sizings() -> Response:
        return run(exchange.gas_sizing)

    @routes.post("/hot-water-demands")
    def hot_water_demands() -> Response:
        return run(exchange.hot_water_demand)

    @routes.post("/verifications")
    def verifications() -> Response:
        return run(exchange.verification)

    return routes


def _timed(work: Exchange, body: bytes, settings: Settings, operations: Operations) -> Json:
    return answered(work.__name__, lambda: work(body, settings, operations), lambda result: result)


def answered(name: str, work: Callable[[], T], told: Callable[[T], Json]) -> T:
    """What the work gives, its time and outcome counted; ``told`` finds the answer in it."""
    began = monotonic()
    outcome, gap = "unanswered", None
    try:
        with metrics_of(current_app).under_way():
            result = work()
        outcome, gap = str(told(result).get("status", "done")), told(result).get("gap")
        return result
    finally:
        _count(name, outcome, monotonic() - began, gap)


def _count(operation: str, outcome: str, seconds: float, gap: float | None) -> None:
    metrics = metrics_of(current_app)
    metrics.solve_seconds.labels(operation, outcome).observe(seconds)
    if gap is not None:
        metrics.gap.labels(outcome).observe(gap)
    logs.note(outcome=outcome, solve_seconds=round(seconds, 4), gap=gap)
