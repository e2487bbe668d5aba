"""How gunicorn runs the service: threads, so that health answers during a solve; no solve before the fork.

The deadline of a solve is the service's own. ``timeout`` only tells a dead worker from a live one and
lies well above every solve; the time for a graceful end does too.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

_SOLVE_CAP_S = 60

wsgi_app = "service.app:serving_app()"
bind = os.environ.get("BIND", "127.0.0.1:8000")
workers = int(os.environ.get("WEB_CONCURRENCY", "1"))
worker_class = "gthread"
threads = 8
timeout = 3 * _SOLVE_CAP_S
graceful_timeout = 2 * _SOLVE_CAP_S
keepalive = 5
max_requests = 1000
max_requests_jitter = 100
worker_tmp_dir = "/dev/shm" if Path("/dev/shm").is_dir() else None  # noqa: S108 - memory-backed, for the heartbeat
control_socket_disable = True
accesslog = None
errorlog = "-"


def post_worker_init(worker: Any) -> None:
    """Solve the stored survey before the first request, so that readiness is known at once."""
    worker.wsgi.extensions["siting_readiness"].ready()
