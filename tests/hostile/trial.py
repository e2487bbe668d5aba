"""One hostile input and what became of it: an answer, a refusal that is well told, or a fault of ours."""

from __future__ import annotations

import json
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from flask.testing import FlaskClient

from service.app import create_app, real_operations
from service.http.apart import Apart
from service.settings import Settings

SETTINGS = Settings(solver_seconds=0.5, verify_seconds=2, solver_mib=1500, concurrent_solves=1)
PROBLEM = "application/problem+json"
REFUSALS = range(400, 500)


class OursError(AssertionError):
    """A fault of ours that an input has shown; holds the input."""


@dataclass(slots=True)
class Tally:
    """How many inputs ended how, how many of them the service ended itself, and the slowest [s]."""

    statuses: Counter[int] = field(default_factory=Counter)
    overruns: int = 0
    slowest_s: float = 0.0
    slowest: str = ""
    faults: list[str] = field(default_factory=list)

    @property
    def inputs(self) -> int:
        """Inputs tried."""
        return self.statuses.total()


@contextmanager
def hostile_client(apart: bool = False) -> Iterator[FlaskClient]:
    """The real service with little time; ``apart``: in a process of its own, which ends what hangs or takes memory."""
    solver = Apart(SETTINGS, real_operations()) if apart else None
    yield create_app(SETTINGS, real_operations(), solver=solver).test_client()
    if solver is not None:
        solver.close()


def tried(client: FlaskClient, path: str, body: bytes, name: str, tally: Tally) -> int:
    """Send an input; its status. Raises OursError for a 5xx, or a refusal that is no problem document."""
    began = time.perf_counter()
    response = client.post(path, data=body, content_type="application/json")
    elapsed = time.perf_counter() - began
    tally.statuses[response.status_code] += 1
    if elapsed > tally.slowest_s:
        tally.slowest_s, tally.slowest = elapsed, name
    if response.status_code == 200:
        return 200
    if response.status_code == 503 and b"/problems/overrun" in response.data:
        tally.overruns += 1
        return 503
    if response.status_code not in REFUSALS or response.content_type != PROBLEM:
        raise OursError(f"{name} on {path}: {response.status_code} {response.text[:300]} for {body[:2000]!r}")
    document = json.loads(response.data)
    if not all(e["pointer"].startswith("#") for e in document.get("errors", ())):
        raise OursError(f"{name} on {path}: a fault without its place")
    return response.status_code


def all_tried(client: FlaskClient, inputs: Iterator[tuple[str, str, bytes]], until: Callable[[], bool]) -> Tally:
    """Send (name, path, body) after (name, path, body) until told to stop; faults are kept, not raised."""
    tally = Tally()
    for name, path, body in inputs:
        try:
            tried(client, path, body, name, tally)
        except OursError as fault:
            tally.faults.append(str(fault))
        if until():
            break
    return tally
