"""Asks for health again and again from a process of its own: ``python -m tests.benchmarks.probe URL``.

When its input ends it prints one line a check: milliseconds, or -1 where no answer came.
"""

from __future__ import annotations

import http.client
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import cycle
from pathlib import Path
from threading import Event, Thread
from urllib.parse import urlsplit

import numpy as np

EVERY_S = 0.05
TIMEOUT_S = 10.0
PATHS = ("/healthz", "/readyz")


@dataclass(frozen=True, slots=True)
class Probed:
    """Times of the checks that were answered, and how many were not."""

    milliseconds: tuple[float, ...]
    failed: int

    def quantiles(self, shares: Sequence[float] = (0.5, 0.99, 1.0)) -> list[float]:
        """Times within which those shares were answered [ms]."""
        return [float(q) for q in np.quantile(self.milliseconds or (np.nan,), shares)]

    def share_above(self, limit_ms: float) -> float:
        """Share that took longer."""
        return float(np.mean([m > limit_ms for m in self.milliseconds])) if self.milliseconds else 1.0


@contextmanager
def health(address: str) -> Iterator[Callable[[], Probed]]:
    """Check while the block runs; what it yields stops the checks and tells their times."""
    command = [sys.executable, "-m", "tests.benchmarks.probe", address]
    root = Path(__file__).parents[2]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE}
    with subprocess.Popen(command, cwd=root, text=True, **pipes) as process:  # type: ignore[call-overload]
        yield lambda: _read(process.communicate()[0])


def _read(text: str) -> Probed:
    times = [float(line) for line in text.split()]
    return Probed(tuple(t for t in times if t >= 0), sum(t < 0 for t in times))


def _checked(host: str, port: int, path: str) -> float:
    """Milliseconds of one check over a connection of its own; -1 where it failed."""
    began = time.perf_counter()
    connection = http.client.HTTPConnection(host, port, timeout=TIMEOUT_S)
    try:
        connection.request("GET", path)
        answered = connection.getresponse()
        answered.read()
    except OSError:
        return -1.0
    finally:
        connection.close()
    return 1000 * (time.perf_counter() - began) if answered.status == 200 else -1.0


def main(address: str) -> int:
    """Check until the input ends."""
    ended = Event()
    Thread(target=lambda: (sys.stdin.read(), ended.set()), daemon=True).start()
    parts = urlsplit(address)
    times: list[float] = []
    for path in cycle(PATHS):
        times.append(_checked(str(parts.hostname), int(parts.port or 80), path))
        if ended.wait(EVERY_S):
            break
    print("\n".join(f"{t:.3f}" for t in times))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
