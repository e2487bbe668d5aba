"""The front door: puts settings, use cases and routes together."""

from __future__ import annotations

from flask import Flask, Response, current_app, request

from service.errors import Fault, InvalidRequest
from service.http import health, knowledge, operations, pages, problems
from service.http.exchange import Operations
from service.http.media import JSON, check_accept
from service.http.metrics import Metrics, metrics_of
from service.http.spec import specification
from service.settings import Settings

_OTHER_MEDIA = {
    "health.metrics": (health.PLAIN,), "pages.docs": (pages.HTML,), "knowledge.rule_set": knowledge.RULE_SET_MEDIA,
}  # fmt: skip
_ANY_MEDIA = {"pages.docs_part"}


def create_app(settings: Settings, use_cases: Operations | None = None) -> Flask:
    """Application with its limits and use cases; None takes the service's own."""
    chosen = use_cases or real_operations()
    app = Flask("service", static_folder=None)
    app.extensions["siting_metrics"] = Metrics()
    app.extensions["siting_readiness"] = health.readiness(settings, chosen)
    problems.register(app)
    app.before_request(_judge_request)
    app.after_request(_finish)
    app.register_blueprint(operations.blueprint(settings, chosen, operations.Gate(settings.concurrent_solves)))
    app.register_blueprint(knowledge.blueprint(settings))
    app.register_blueprint(health.blueprint(app.extensions["siting_readiness"]))
    app.register_blueprint(pages.blueprint(specification(settings)))
    return app


def serving_app() -> Flask:
    """Application for a server: settings from the environment."""
    return create_app(Settings.from_environment())


def real_operations() -> Operations:
    """The use cases of this service."""
    from service.building.build import build
    from service.usecases.check import check
    from service.usecases.clearances import clearances
    from service.usecases.gas import gas_report
    from service.usecases.hot_water import hot_water_report
    from service.usecases.place import place

    return Operations(
        place=place, check=check, clearances=clearances, building=build, gas=gas_report, hot_water=hot_water_report
    )


def _judge_request() -> None:
    """What holds for every resource: an acceptable answer, no query parameters under /v1."""
    endpoint = request.endpoint
    if endpoint is None or endpoint in _ANY_MEDIA:
        return
    check_accept(request, *_OTHER_MEDIA.get(endpoint, (JSON,)))
    if request.args and request.path.startswith("/v1/"):
        raise InvalidRequest((Fault("#", "unknown_parameter", "no query parameter is taken"),))


def _finish(response: Response) -> Response:
    response.headers["X-Content-Type-Options"] = "nosniff"
    metrics_of(current_app).count("responses", endpoint=request.endpoint or "none", status=str(response.status_code))
    return response
