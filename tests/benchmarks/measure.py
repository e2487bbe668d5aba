"""Measures the service itself: over HTTP from outside, and phase by phase in this process."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any
from unittest.mock import patch

import numpy as np
import requests

from service.http import answer, strict_json
from service.http.json_writer import json_bytes
from service.http.schemas import load_survey
from service.settings import Settings
from service.usecases import place as place_module

ROOT = Path(__file__).parents[2]
START_SECONDS = 60
TAIL_BYTES = 2000
STOP_SECONDS = 15
REQUEST_SECONDS = 30
"""A service that keeps to its own limit on time has answered long before [s]."""
PHASES = ("load", "build", "ground", "search", "check", "rest", "serialise")
"""``rest`` is what the use case does besides its steps; clearance zones are made inside ``search``."""


@dataclass(frozen=True, slots=True)
class Latency:
    """Times of answered requests [s], the statuses told, and what did not answer 200."""

    seconds: tuple[float, ...]
    statuses: dict[str, int]

    def quantile(self, share: float) -> float:
        """Time within which that share was answered [s]."""
        return float(np.quantile(self.seconds, share)) if self.seconds else float("nan")


@contextmanager
def serving(solvers: int) -> Iterator[tuple[str, int]]:
    """The real server with so many solvers on a free port: its address, and the process id of the arbiter."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "service", "serve", "--port", str(port)]
    with tempfile.TemporaryFile() as log:
        environment = os.environ | {"WEB_CONCURRENCY": "1", "SITING_CONCURRENT_SOLVES": str(solvers)}
        process = subprocess.Popen(command, cwd=ROOT, env=environment, stderr=log)
        try:
            address = f"http://127.0.0.1:{port}"
            if not _gets_ready(address, process):
                raise RuntimeError(f"the server did not get ready: {_tail(log)}")
            yield address, process.pid
        finally:
            _stop(process)


def _stop(process: subprocess.Popen[bytes]) -> None:
    """Ask the server and its workers to end; whoever does not is killed."""
    if process.poll() is not None:
        return
    group = [*descendants(process.pid), process.pid]
    process.terminate()
    try:
        process.wait(timeout=STOP_SECONDS)
    except subprocess.TimeoutExpired:
        for member in group:
            with suppress(ProcessLookupError):
                os.kill(member, signal.SIGKILL)
        process.wait()


def _tail(log: IO[bytes]) -> str:
    """The last of what a server said."""
    log.seek(0)
    return log.read()[-TAIL_BYTES:].decode(errors="replace")


def _gets_ready(address: str, process: subprocess.Popen[bytes]) -> bool:
    until = time.monotonic() + START_SECONDS
    while time.monotonic() < until and process.poll() is None:
        try:
            if requests.get(f"{address}/readyz", timeout=START_SECONDS).status_code == 200:
                return True
        except requests.ConnectionError:
            time.sleep(0.1)
    return False


def latency(address: str, bodies: Sequence[bytes]) -> Latency:
    """One request after the other from one client."""
    with requests.Session() as session:
        return _gathered([_asked(session, address, body) for body in bodies])


def throughput(address: str, bodies: Sequence[bytes], clients: int) -> tuple[float, Latency]:
    """Plans a second while so many clients each keep one request under way, and their times."""
    with requests.Session() as session, ThreadPoolExecutor(clients) as pool:
        began = time.perf_counter()
        answers = list(pool.map(lambda body: _asked(session, address, body), bodies))
        elapsed = time.perf_counter() - began
    found = _gathered(answers)
    return len(found.seconds) / elapsed, found


def _asked(session: requests.Session, address: str, body: bytes) -> tuple[float, str, bool]:
    began, headers = time.perf_counter(), {"Content-Type": "application/json"}
    try:
        response = session.post(f"{address}/v1/placements", body, headers=headers, timeout=REQUEST_SECONDS)
    except requests.Timeout:
        return time.perf_counter() - began, f"no answer in {REQUEST_SECONDS} s", False
    elapsed, good = time.perf_counter() - began, response.status_code == 200
    return elapsed, str(response.json()["status"]) if good else f"HTTP {response.status_code}", good


def _gathered(answers: Sequence[tuple[float, str, bool]]) -> Latency:
    counted = Counter(status for _, status, _ in answers)
    return Latency(tuple(s for s, _, good in answers if good), dict(sorted(counted.items())))


def solvers_memory_mib(arbiter: int) -> list[tuple[float, float]]:
    """(now, peak) resident memory of each solver [MiB]; needs a /proc file system."""
    return [m for m in map(memory_mib, solvers(arbiter)) if m is not None]


def memory_mib(process: int) -> tuple[float, float] | None:
    """(now, peak) resident memory of a process [MiB], what it shares counted whole; None once it has ended."""
    try:
        return _status_mib(process, "VmRSS"), _status_mib(process, "VmHWM")
    except (FileNotFoundError, ProcessLookupError, LookupError):
        return None


def solvers(arbiter: int) -> list[int]:
    """Ids of the processes that solve: below each worker is a quiet one that made them."""
    return [s for w in children(arbiter) for quiet in children(w) for s in children(quiet)]


def descendants(process: int) -> list[int]:
    """Ids of all processes below one."""
    below = children(process)
    return [*below, *(d for child in below for d in descendants(child))]


def children(process: int) -> list[int]:
    """Ids of a process's children, whichever thread made them; none of one that has ended."""
    try:
        texts = [p.read_text(encoding="ascii") for p in Path(f"/proc/{process}/task").glob("*/children")]
    except (FileNotFoundError, ProcessLookupError):
        return []
    return [int(p) for text in texts for p in text.split()]


def _status_mib(process: int, field: str) -> float:
    for line in Path(f"/proc/{process}/status").read_text(encoding="ascii").splitlines():
        if line.startswith(f"{field}:"):
            return int(line.split()[1]) / 1024
    raise LookupError(field)


def phases(body: bytes, settings: Settings | None = None) -> dict[str, float]:
    """Time of each phase of one request in this process [s]; raises what the service raises."""
    settings = settings or Settings()
    spent: dict[str, float] = defaultdict(float)
    survey = _timed(spent, "load", lambda: load_survey(strict_json.loads(body, settings.depth), settings))
    with _watched(spent):
        placed = _timed(spent, "place", lambda: place_module.place(survey, settings))
    _timed(spent, "serialise", lambda: json_bytes(answer.placement_json(placed, survey)))
    parts = sum(spent[p] for p in ("build", "ground", "search", "check"))
    return {**{p: spent[p] for p in PHASES}, "rest": spent["place"] - parts}


def _timed(spent: dict[str, float], name: str, work: Callable[[], Any]) -> Any:
    began = time.perf_counter()
    try:
        return work()
    finally:
        spent[name] += time.perf_counter() - began


@contextmanager
def _watched(spent: dict[str, float]) -> Iterator[None]:
    """Time the steps of the use case where it calls them, so that what is measured is what runs."""
    steps = {"build": "build", "ground_of": "ground", "search": "search", "checked": "check"}
    with ExitStack() as stack:
        for name, phase in steps.items():
            stack.enter_context(patch.object(place_module, name, _watcher(spent, phase, getattr(place_module, name))))
        yield


def _watcher(spent: dict[str, float], phase: str, step: Callable[..., Any]) -> Callable[..., Any]:
    return lambda *args, **kwargs: _timed(spent, phase, lambda: step(*args, **kwargs))


def body_of(document: dict[str, Any]) -> bytes:
    """A document as it goes over the wire."""
    return json.dumps(document).encode()
