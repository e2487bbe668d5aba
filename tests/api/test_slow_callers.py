"""Callers who send nothing, or their head drop by drop, hold up nobody; over a real socket."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import ExitStack, suppress
from threading import Event, Thread

import pytest
import requests

from service import gunicorn_conf
from tests.api.running import Server, running

APPLICATION = "tests.api.serving:made()"
CALLERS = 2 * gunicorn_conf.threads
WAIT_S = 4
"""Well under the time that gunicorn's own worker would let each of them hold a thread."""


@pytest.fixture(scope="module")
def server() -> Iterator[Server]:
    """The service with a second for the head of a request."""
    with running(APPLICATION, SITING_HEADER_SECONDS="1") as found:
        requests.get(f"{found.url}/readyz", timeout=20)
        yield found


def connected(server: Server) -> socket.socket:
    host, _, port = server.url.removeprefix("http:").strip("/").partition(":")
    return socket.create_connection((host, int(port)), timeout=20)


def test_callers_who_send_nothing_hold_no_thread(server: Server) -> None:
    """Twice as many of them as there are threads."""
    with ExitStack() as stack:
        for _ in range(CALLERS):
            stack.enter_context(connected(server))
        assert requests.get(f"{server.url}/healthz", timeout=WAIT_S).status_code == 200


def test_a_head_that_comes_drop_by_drop_is_closed(server: Server) -> None:
    """Although a byte comes before every wait is over; health is asked while all threads were taken."""
    ended = Event()

    def drip(wire: socket.socket) -> None:
        with suppress(OSError):
            while not ended.wait(0.1):
                wire.sendall(b"x")

    with ExitStack() as stack:
        wires = [stack.enter_context(connected(server)) for _ in range(CALLERS // 2)]
        for wire in wires:
            wire.sendall(b"GET /healthz HTTP/1.1\r\nHost: x\r\nX-Slow: ")
        drips = [Thread(target=drip, args=(wire,)) for wire in wires]
        for thread in drips:
            thread.start()
        try:
            assert requests.get(f"{server.url}/healthz", timeout=WAIT_S).status_code == 200
            with suppress(ConnectionResetError):
                assert wires[0].recv(1) == b""
        finally:
            ended.set()
            for thread in drips:
                thread.join()


def test_a_head_in_two_parts_is_answered(server: Server) -> None:
    """As long as it is there in time."""
    with connected(server) as wire:
        wire.sendall(b"GET /healthz HTTP/1.1\r\n")
        Event().wait(0.3)
        wire.sendall(b"Host: x\r\nConnection: close\r\n\r\n")
        assert wire.recv(100).startswith(b"HTTP/1.1 200")
