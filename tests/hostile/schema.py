"""The whole interface from its own description: what schemathesis makes of every operation."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import schemathesis
from flask import Flask
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]


def trials(app: Flask, examples: int, seed: int, counted: Counter[str]) -> list[Callable[[], None]]:
    """One for each operation: so many requests, each answer held against the description."""
    described = schemathesis.openapi.from_wsgi("/openapi.json", app)
    return [_trial(found.ok(), examples, seed, counted) for found in described.get_all_operations()]


def _trial(
    operation: schemathesis.APIOperation,
    examples: int,
    seed: int,
    counted: Counter[str],  # type: ignore[name-defined]
) -> Callable[[], None]:
    @settings(
        max_examples=examples, deadline=None, database=None, derandomize=True, print_blob=False,
        suppress_health_check=list(HealthCheck), phases=(Phase.explicit, Phase.generate),
    )  # fmt: skip
    @given(case=operation.as_strategy())
    def trial(case: schemathesis.Case) -> None:
        counted[operation.label] += 1
        response = case.call()
        case.validate_response(response, checks=CHECKS)

    trial.__name__ = operation.label
    return trial
