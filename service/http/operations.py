"""``POST /v1/...``: each operation reads a body, passes the gate, answers JSON."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from time import monotonic
from typing import Any

from flask import Blueprint, Response, current_app, request

from service.http import exchange, logs
from service.http.exchange import Operations
from service.http.media import JSON, read_body
from service.http.metrics import metrics_of
from service.http.prefer import applied, asked_wait, in_time, lowered
from service.http.solving import Solved, Solver, Work, as_json
from service.settings import Settings

Exchange = Callable[[bytes, Settings, Operations], dict[str, Any]]


def blueprint(settings: Settings, solver: Solver) -> Blueprint:
    """The operations that compute."""
    routes = Blueprint("operations", __name__, url_prefix="/v1")

    def run(work: Exchange, seconds: float = settings.solver_seconds, searches: bool = False) -> Response:
        wait = asked_wait(request) if searches else None
        timed, body = in_time(partial(as_json, work), wait), read_body(request, settings)
        solved = answered(work.__name__, solver, timed, body, lowered(seconds, wait))
        return Response(solved.content, content_type=JSON, headers={"Cache-Control": "no-store", **applied(wait)})

    @routes.post("/placements")
    def placements() -> Response:
        return run(exchange.placement, searches=True)

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
        return run(exchange.verification, settings.verify_seconds, searches=True)

    return routes


def answered(name: str, solver: Solver, work: Work, body: bytes, seconds: float) -> Solved:
    """What the work gives, its time and outcome counted; ``seconds`` is the time that it gives itself [s]. Raises Busy
    when there is no place for it."""
    with solver.place() as place, metrics_of(current_app).under_way():
        began = monotonic()
        outcome, gap = "unanswered", None
        try:
            solved = place(work, body, seconds)
            outcome, gap = solved.status, solved.gap
            return solved
        finally:
            _count(name, outcome, monotonic() - began, gap)


def _count(operation: str, outcome: str, seconds: float, gap: float | None) -> None:
    metrics = metrics_of(current_app)
    metrics.solve_seconds.labels(operation, outcome).observe(seconds)
    if gap is not None:
        metrics.gap.labels(outcome).observe(gap)
    logs.note(outcome=outcome, solve_seconds=round(seconds, 4), gap=gap)
