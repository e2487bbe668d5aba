"""The caller's connection, where the server shows it (gunicorn does): whether anybody is still there."""

from __future__ import annotations

import socket
import ssl
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from threading import Event, Timer

from flask import Request


def wire_of(request: Request) -> socket.socket | None:
    """The connection of a request; None where the server shows none that can be looked at."""
    wire = request.environ.get("gunicorn.socket")
    return wire if isinstance(wire, socket.socket) and not isinstance(wire, ssl.SSLSocket) else None


def is_gone(wire: socket.socket) -> bool:
    """Whether the caller has closed the connection, or the half of it that it sends on: nobody who waits does that."""
    try:
        return wire.recv(1, socket.MSG_PEEK | socket.MSG_DONTWAIT) == b""
    except BlockingIOError:
        return False
    except OSError:
        return True


@contextmanager
def closing_after(wire: socket.socket | None, seconds: float) -> Iterator[Event]:
    """End a caller's sending once a time is up, however slowly it drips; the event tells that this was done."""
    closed = Event()
    if wire is None:
        yield closed
        return
    timer = Timer(seconds, _close, (wire, closed))
    timer.daemon = True
    timer.start()
    try:
        yield closed
    finally:
        timer.cancel()


def _close(wire: socket.socket, closed: Event) -> None:
    closed.set()
    with suppress(OSError):
        wire.shutdown(socket.SHUT_RD)
