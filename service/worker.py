"""gunicorn's threaded worker, in which a caller who sends nothing, or sends head fields drop by drop, holds no thread.

A connection without a byte waits beside all others until there is one. From then on the head has ``header_seconds`` to
arrive; what is late is closed. (The body has a time of its own: ``service/http/media.py``.)
"""

from __future__ import annotations

import socket
from contextlib import suppress
from threading import Lock
from time import monotonic
from typing import Any

from gunicorn.workers import gthread  # type: ignore[import-untyped]

from service.settings import Settings


class Worker(gthread.ThreadWorker):  # type: ignore[misc]  # gunicorn has no types
    """Keeps by when the head of each connection that is being read is to be there."""

    def init_process(self) -> None:
        """As gunicorn does, with nothing under way."""
        self._seconds = Settings.from_environment().header_seconds
        self._lock, self._until = Lock(), dict[Any, float]()
        super().init_process()

    def handle(self, conn: Any) -> Any:
        """Read a request and answer it, in a thread; put off where no byte of a new connection is there yet."""
        if not conn.initialized and not conn.wait_for_data(0):
            return gthread._DEFER
        with self._lock:
            self._until[conn] = monotonic() + self._seconds
        try:
            return super().handle(conn)
        finally:
            self._is_read(conn)

    def handle_request(self, req: Any, conn: Any) -> Any:
        """Answer a request whose head is there."""
        self._is_read(conn)
        return super().handle_request(req, conn)

    def murder_pending(self) -> None:
        """Close what has waited too long, about once a second: gunicorn's own, and heads that are late."""
        super().murder_pending()
        with self._lock:
            late = [conn for conn, until in self._until.items() if until < monotonic()]
        for conn in late:
            with suppress(OSError):
                conn.sock.shutdown(socket.SHUT_RD)

    def _is_read(self, conn: Any) -> None:
        with self._lock:
            self._until.pop(conn, None)
