"""Solves in processes of their own, so that answering never waits for solving.

A solve holds the interpreter's lock, may need much memory, may crash in a library. In its own process it holds up
nobody, is ended when its caller has left or its time has run out for good, and takes nothing with it but its request.
"""

from __future__ import annotations

import logging
import os
import signal
import socket
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from time import monotonic

from flask import g, has_request_context, request

from service.errors import Busy, SolveFailed
from service.http.exchange import Operations
from service.http.forks import Failure, Forks, Reply, Task
from service.http.problems import RETRY_AFTER_S, Problem
from service.http.solving import Place, Solved, Work
from service.http.wire import is_gone, wire_of
from service.settings import Settings

_LATER = {"Retry-After": str(RETRY_AFTER_S)}
_log = logging.getLogger("service")
LATE_SHARE, LATE_S = 0.1, 20.0
"""What a solve may take beyond the time that it gives itself, before it counts as hung."""
MOST_TASKS = 500
"""Then a solver is renewed, lest a leak in a library ever matter."""


@dataclass(slots=True)
class _Solver:
    """A process and the line to it; how many tasks it has been given."""

    process: int
    line: Connection
    tasks: int = 0


class Apart:
    """So many solvers, each a process that waits for work."""

    def __init__(self, settings: Settings, operations: Operations) -> None:
        """Start them. To be made before this process has threads."""
        self._forks = Forks(settings, operations)
        self._free = deque(self._made() for _ in range(settings.concurrent_solves))

    @contextmanager
    def place(self) -> Iterator[Place]:
        """Hold one solver; raises Busy when none is free."""
        try:
            solver = self._free.popleft()
        except IndexError:
            raise Busy("every place for a solve is taken") from None
        sound = [False]
        try:
            yield lambda work, body, seconds: self._solved(solver, work, body, seconds, sound)
        finally:
            self._free.append(solver if sound[0] and solver.tasks < MOST_TASKS else self._renewed(solver))

    def close(self) -> None:
        """End all solvers."""
        self._forks.close()

    def _solved(self, solver: _Solver, work: Work, body: bytes, seconds: float, sound: list[bool]) -> Solved:
        solver.tasks += 1
        request_id = g.request_id if has_request_context() else ""
        reply = self._reply(solver, Task(work, body, monotonic(), request_id), seconds * (1 + LATE_SHARE) + LATE_S)
        if isinstance(reply, Failure):
            raise SolveFailed(reply.kind)
        sound[0] = True
        if isinstance(reply, Solved):
            return reply
        raise reply

    def _reply(self, solver: _Solver, task: Task, hung_s: float) -> Reply:
        """What comes back; Problem if the caller leaves, the time runs out or the process is lost."""
        wire = wire_of(request) if has_request_context() else None
        watched: list[Connection | socket.socket] = [solver.line] if wire is None else [solver.line, wire]
        until = task.asked_s + hung_s
        try:
            solver.line.send(task)
            while (left := until - monotonic()) > 0:
                ready = wait(watched, left)
                if solver.line in ready:
                    reply: Reply = solver.line.recv()
                    return reply
                if wire is not None and wire in ready:
                    if is_gone(wire):
                        raise Problem("caller-gone", "the connection was closed before the answer")
                    watched.remove(wire)  # it sends its next request already
        except (EOFError, OSError):
            raise Problem("interrupted", "the process that solved has ended", _LATER) from None
        raise Problem("overrun", f"no answer within {hung_s:g} s")

    def _made(self) -> _Solver:
        return _Solver(*self._forks.make())

    def _renewed(self, solver: _Solver) -> _Solver:
        """Another in its stead. If there can be none, this process is of no more use and asks to be replaced."""
        solver.line.close()
        try:
            self._forks.end(solver.process)
            return self._made()
        except (OSError, ValueError):
            _log.critical("no solver can be made; this process ends")
            os.kill(os.getpid(), signal.SIGTERM)
            raise Problem("interrupted", "the process that makes solvers has ended", _LATER) from None
