"""``Prefer: wait=N`` (RFC 7240, section 4.3): the caller waits so many seconds at most, so a search ends before that.

Besides, a survey's ``preferences.solver_seconds`` is a deadline of its own; the least of all holds.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from flask import Request
from werkzeug.http import parse_list_header

from service.http.exchange import Operations
from service.http.solving import Solved, Work
from service.settings import Settings

_LEAST_S = 0.001
"""Stands for no time at all: a limit must be positive [s]."""


def asked_wait(request: Request) -> int | None:
    """Seconds that the caller waits; None where he does not say so, or not as the RFC has it: such a preference is
    passed over. Of several the first counts."""
    for preference in parse_list_header(",".join(request.headers.getlist("Prefer"))):
        name, _, value = preference.partition(";")[0].partition("=")
        if name.strip().lower() == "wait":
            told = value.strip().strip('"')
            return int(told) if told.isascii() and told.isdigit() and len(told) < 10 else None
    return None


def lowered(seconds: float, wait: int | None) -> float:
    """Time that work gives itself, no more than the caller waits [s]."""
    return seconds if wait is None else min(seconds, max(wait, _LEAST_S))


def in_time(work: Work, wait: int | None) -> Work:
    """The work, with no more time than the caller waits."""
    return work if wait is None else partial(_limited, work, wait)


def _limited(work: Work, wait: int, body: bytes, settings: Settings, operations: Operations) -> Solved:
    search, verify = lowered(settings.solver_seconds, wait), lowered(settings.verify_seconds, wait)
    return work(body, replace(settings, solver_seconds=search, verify_seconds=verify), operations)


def applied(wait: int | None) -> dict[str, str]:
    """What an answer says of the preference that was heeded."""
    return {} if wait is None else {"Preference-Applied": f"wait={wait}"}
