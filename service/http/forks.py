"""Processes that solve: a quiet process makes them, one after the other, and ends with whoever asked it to.

The process that answers HTTP has threads, so it must not fork. It forks once, before it has any; that child does
nothing but fork again when told to, so each new solver shares all that was loaded and starts within milliseconds.
"""

from __future__ import annotations

import gc
import logging
import os
import resource
import signal
import socket
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from threading import Lock

from service.deadline import asked_at
from service.errors import InvalidRequest, LimitExceeded, MalformedJson
from service.http.exchange import Operations
from service.http.solving import Solved, Work
from service.rules.tables import every_table
from service.settings import Settings

_LONGEST_MESSAGE = 64
_MIB = 2**20
_BEHIND = 5
"""Solves come after answering where both want the processor."""
_DEAF_TO = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT)
"""Meant for the process that answers; its end is theirs."""
_log = logging.getLogger("service")


@dataclass(frozen=True, slots=True)
class Task:
    """A piece of work for a body; ``asked_s`` on the machine's steady clock, ``request`` as in the log."""

    work: Work
    body: bytes
    asked_s: float
    request: str


@dataclass(frozen=True, slots=True)
class Failure:
    """A fault of ours: the kind of the exception. Where it happened is in the log."""

    kind: str


Reply = Solved | MalformedJson | InvalidRequest | LimitExceeded | Failure


class Forks:
    """Makes and ends solvers; safe to ask from several threads."""

    def __init__(self, settings: Settings, operations: Operations) -> None:
        """Fork the quiet process; nothing else may run in this one yet."""
        self._control, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        self._lock = Lock()
        gc.freeze()  # what is loaded stays: no collection needs to walk it, nor to write on pages that all share
        if os.fork() == 0:
            try:
                self._control.close()
                _make(theirs, settings, operations)
            except BaseException:
                _log.exception("solvers can no longer be made")
            finally:
                os._exit(0)
        theirs.close()

    def make(self) -> tuple[int, Connection]:
        """Process id of a new solver, and the line to it."""
        ours, theirs = socket.socketpair()
        with self._lock, theirs:
            socket.send_fds(self._control, [b"fork"], [theirs.fileno()])
            process = int(self._control.recv(_LONGEST_MESSAGE))
        return process, Connection(ours.detach())

    def end(self, process: int) -> None:
        """Kill a solver, whatever it is doing. One that has ended already is no matter."""
        with self._lock:
            self._control.send(b"%d" % process)

    def close(self) -> None:
        """End all of them."""
        self._control.close()


def _make(control: socket.socket, settings: Settings, operations: Operations) -> None:
    """Fork for each line that is sent; kill by process id; end with all solvers once nobody asks any more."""
    _forget(control)
    os.nice(_BEHIND)
    every_table()  # read here, they are read once for all solvers, and shared
    gc.freeze()
    alive: set[int] = set()
    while True:
        message, lines, _, _ = socket.recv_fds(control, _LONGEST_MESSAGE, 1)
        alive -= {p for p in alive if os.waitpid(p, os.WNOHANG)[0]}
        if lines:
            process = os.fork()
            if process == 0:
                control.close()
                _serve(Connection(lines[0]), settings, operations)
                os._exit(0)
            os.close(lines[0])
            alive.add(process)
            control.send(b"%d" % process)
        elif not message:
            break
        elif int(message) in alive:
            os.kill(int(message), signal.SIGKILL)
            os.waitpid(int(message), 0)
            alive.remove(int(message))
    for process in alive:
        os.kill(process, signal.SIGKILL)


def _forget(control: socket.socket) -> None:
    """Let go of what belongs to the process that answers: its signals, its sockets."""
    for number in signal.valid_signals() - {signal.SIGKILL, signal.SIGSTOP}:
        with suppress(OSError, ValueError):
            signal.signal(number, signal.SIG_IGN if number in _DEAF_TO else signal.SIG_DFL)
    highest = os.sysconf("SC_OPEN_MAX")
    os.closerange(3, control.fileno())
    os.closerange(control.fileno() + 1, highest)


def _serve(line: Connection, settings: Settings, operations: Operations) -> None:
    """Do one task after the other until nobody sends any more."""
    gc.enable()
    most = settings.solver_mib * _MIB
    resource.setrlimit(resource.RLIMIT_DATA, (most, most))
    with suppress(EOFError, BrokenPipeError, ConnectionResetError):
        while True:
            line.send(_reply(line.recv(), settings, operations))


def _reply(task: Task, settings: Settings, operations: Operations) -> Reply:
    try:
        with asked_at(task.asked_s):
            return task.work(task.body, settings, operations)
    except (MalformedJson, InvalidRequest, LimitExceeded) as error:
        return error
    except Exception as error:
        _log.exception("a solve failed", extra={"facts": {"request": task.request}})
        return Failure(type(error).__name__)
