"""The front door: puts settings, use cases and routes together."""

from __future__ import annotations

from flask import Flask, Response, current_app, g, request

from service.errors import Fault, InvalidRequest
from service.http import headers, health, keys, knowledge, logs, operations, pages, problems, sheets
from service.http.apart import Apart
from service.http.edge import Edge
from service.http.exchange import Operations
from service.http.media import JSON, check_accept
from service.http.metrics import Metrics, metrics_of
from service.http.solving import Here, Solver
from service.http.spec import specification
from service.settings import Settings

_OTHER_MEDIA = {
    "health.metrics": (health.PLAIN,), "pages.docs": (pages.HTML,), "knowledge.rule_set": knowledge.RULE_SET_MEDIA,
    "pages.index": pages.INDEX_MEDIA, "sheets.sheets": sheets.MEDIA, "sheets.sheet": sheets.SHEET_MEDIA,
}  # fmt: skip
_ANY_MEDIA = {"pages.docs_part"}


def create_app(
    settings: Settings, use_cases: Operations | None = None, edge: Edge | None = None, solver: Solver | None = None
) -> Flask:
    """Application with its limits and use cases; None takes the service's own, a door that asks for no key, and
    solves in the caller's thread."""
    solves = solver or Here(settings, use_cases or real_operations())
    door = edge or Edge()
    app = Flask("service", static_folder=None)
    app.extensions["siting_metrics"] = metrics = Metrics()
    metrics.places.set(settings.concurrent_solves)
    app.extensions["siting_readiness"] = health.readiness(solves, settings.solver_seconds)
    problems.register(app)
    logs.register(app)
    _guard(app, door)
    app.before_request(_judge_request)
    app.after_request(_finish)
    app.register_blueprint(operations.blueprint(settings, solves))
    app.register_blueprint(sheets.blueprint(settings, solves))
    app.register_blueprint(knowledge.blueprint(settings))
    app.register_blueprint(health.blueprint(app.extensions["siting_readiness"]))
    app.register_blueprint(pages.blueprint(specification(settings)))
    return app


def serving_app() -> Flask:
    """Application for a server: settings from the environment, solves in processes of their own."""
    settings = Settings.from_environment()
    return create_app(settings, edge=Edge.from_environment(), solver=Apart(settings, real_operations()))


def real_operations() -> Operations:
    """The use cases of this service."""
    from service.building.build import build
    from service.usecases.check import check
    from service.usecases.check_set import check_set
    from service.usecases.clearances import clearances
    from service.usecases.gas import gas_report
    from service.usecases.hot_water import hot_water_report
    from service.usecases.place import place
    from service.usecases.verify import verify

    return Operations(
        place=place, check=check, check_set=check_set, clearances=clearances, building=build, gas=gas_report,
        hot_water=hot_water_report, verify=verify,
    )  # fmt: skip


def _guard(app: Flask, edge: Edge) -> None:
    """Who may come in: callers with a key, where there are keys, and web pages of the origins that are let in."""
    headers.open_to(app, edge.cors_origins)
    if edge.api_keys is not None:
        keyring = keys.read(edge.api_keys)

        @app.before_request
        def judge_key() -> None:
            if owner := keys.judge(request, keyring):
                logs.note(key=owner)


def _judge_request() -> None:
    """What holds for every resource: an acceptable answer, no query parameters under /v1."""
    endpoint = request.endpoint
    if endpoint is None or endpoint in _ANY_MEDIA:
        return
    check_accept(request, *_OTHER_MEDIA.get(endpoint, (JSON,)))
    if request.args and request.path.startswith("/v1/"):
        raise InvalidRequest((Fault("#", "unknown_parameter", "no query parameter is taken"),))


def _finish(response: Response) -> Response:
    metrics, endpoint = metrics_of(current_app), request.endpoint or "none"
    metrics.requests.labels(endpoint, str(response.status_code)).inc()
    metrics.request_seconds.labels(endpoint).observe(logs.seconds_so_far())
    if "refused" in g:
        metrics.rejected.labels(g.refused).inc()
    return headers.finish(response)
