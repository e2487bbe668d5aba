"""How gunicorn runs the service, and why so.

*Processes.* A search is Python and SciPy, which hold the interpreter's lock, and CP-SAT with one worker thread. So more
cores are used by more processes, not by more threads: ``WEB_CONCURRENCY`` of them, one for each core to be kept busy.
Nothing is solved or loaded before the fork: CP-SAT's threads do not survive one.

*Threads.* They are for what must not wait for a solve: health, metrics, refusals, bodies that come slowly. How many
solves run at once is the gate's business (``SITING_CONCURRENT_SOLVES``), so there are many more threads than places. An
idle thread costs a few kilobytes. The interpreter hands its lock on more often than usual, so that they get it soon.

*Time.* The deadline of a solve is the service's own. ``timeout`` only tells a dead worker from a live one and lies well
above every solve; the time for a graceful end does too: on SIGTERM no connection is taken, what runs is answered, then
the process ends.

*Memory.* Workers are renewed after some thousand requests, so that a leak in a library never matters. What they share
lies in memory, so that the file system may be read-only.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

from service.http import metric_files
from service.http.edge import Edge
from service.http.logs import configuration

_SOLVE_CAP_S = 60
_IN_MEMORY = "/dev/shm" if Path("/dev/shm").is_dir() else None  # noqa: S108 - the heartbeat and counters
_HAND_ON_S = 0.001

wsgi_app = "service.app:serving_app()"
bind = os.environ.get("BIND", "127.0.0.1:8000")
workers = int(os.environ.get("WEB_CONCURRENCY", "1"))
worker_class = "gthread"
threads = 32
backlog = 256
timeout = 3 * _SOLVE_CAP_S
graceful_timeout = 2 * _SOLVE_CAP_S
keepalive = 5
max_requests = 5000
max_requests_jitter = 500
limit_request_line = 2048
limit_request_fields = 64
worker_tmp_dir = _IN_MEMORY
control_socket_disable = True
accesslog = None
errorlog = "-"
logconfig_dict = configuration(Edge.from_environment())


def on_starting(server: Any) -> None:
    """Once, before the first fork: where all processes count together."""
    metric_files.make(_IN_MEMORY)


def post_worker_init(worker: Any) -> None:
    """Solve the stored survey before the first request, so that readiness is known at once."""
    sys.setswitchinterval(_HAND_ON_S)
    worker.wsgi.extensions["siting_readiness"].ready()


def child_exit(server: Any, worker: Any) -> None:
    """What a worker counted outlives it, however it ended."""
    metric_files.gather(worker.pid)


def on_exit(server: Any) -> None:
    """Leave nothing behind."""
    metric_files.remove()
