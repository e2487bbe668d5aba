"""How gunicorn runs the service, and why so.

*Processes.* A search is Python and SciPy, which hold the interpreter's lock, and CP-SAT with one worker thread. So a
worker does not solve: it has ``SITING_CONCURRENT_SOLVES`` processes that do (``service/http/apart.py``), one for each
core to be kept busy, and shares out work among them. One worker is enough for many of them, and the only one that knows
which are free; more workers multiply the places. Solvers are forked before a worker has threads, and before anything is
solved: CP-SAT's threads do not survive a fork.

*Threads.* They wait: for bodies that come slowly, for solvers; health, metrics and refusals take one for a moment. So
there are many more of them than solves. An idle thread costs a few kilobytes. A caller who sends nothing holds none,
one who is slow with head or body holds one for so long only (``service/worker.py``).

*Time.* The deadline of a solve is the service's own. ``timeout`` only tells a dead worker from a live one and lies well
above every solve; the time for a graceful end does too: on SIGTERM no connection is taken, what runs is answered, then
the process ends.

*Collecting garbage.* A full collection holds the interpreter's lock while it walks every object. Of those that are
loaded once there are some 140,000, which takes 70 ms of a processor, and several times that where others want it too:
health waited as long. So what is loaded is taken out of what is walked (``gc.freeze``), in workers and solvers.

*Memory.* Solvers are renewed after some hundred tasks and are held to ``SITING_SOLVER_MIB``, so a leak in a library
never matters; workers need no renewal then. What processes share lies in memory, so that the file system may be
read-only.
"""

from __future__ import annotations

import gc
import os
from pathlib import Path
from typing import Any

from service.http import metric_files
from service.http.edge import Edge
from service.http.logs import configuration

_SOLVE_CAP_S = 60
_IN_MEMORY = "/dev/shm" if Path("/dev/shm").is_dir() else None  # noqa: S108 - the heartbeat and counters

wsgi_app = "service.app:serving_app()"
bind = os.environ.get("BIND", "127.0.0.1:8000")
workers = int(os.environ.get("WEB_CONCURRENCY", "1"))
worker_class = "service.worker.Worker"
threads = 32
backlog = 256
timeout = 3 * _SOLVE_CAP_S
graceful_timeout = 2 * _SOLVE_CAP_S
keepalive = 5
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


def post_fork(server: Any, worker: Any) -> None:
    """While a worker loads, nothing becomes garbage."""
    gc.disable()


def post_worker_init(worker: Any) -> None:
    """Solve the stored survey before the first request, so that readiness is known at once. Then let all that is
    loaded be, or each full collection would walk it and hold up health for that long."""
    worker.wsgi.extensions["siting_readiness"].ready()
    gc.freeze()
    gc.enable()


def child_exit(server: Any, worker: Any) -> None:
    """What a worker counted outlives it, however it ended."""
    metric_files.gather(worker.pid)


def on_exit(server: Any) -> None:
    """Leave nothing behind."""
    metric_files.remove()
