"""What is solved, and where: behind one gate, in this process or in processes of their own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from threading import BoundedSemaphore
from typing import Any, Protocol

from service.errors import Busy
from service.http.exchange import Operations
from service.http.json_writer import json_bytes
from service.settings import Settings

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Solved:
    """An answer as it leaves the service, how it ended, and its gap where it has one."""

    content: bytes
    status: str
    gap: float | None


Work = Callable[[bytes, Settings, Operations], Solved]
"""From a body to an answer. It may travel to another process: a function of a module, or a ``partial`` of one."""
Place = Callable[[Work, bytes, float], Solved]
"""Does a piece of work for a body; the last is the time that the work gives itself [s]."""


class Solver(Protocol):
    """Has so many places, and turns away who finds none free."""

    def place(self) -> AbstractContextManager[Place]:
        """Hold one place; raises Busy when none is free."""


class Here:
    """Solves in the caller's own thread."""

    def __init__(self, settings: Settings, operations: Operations) -> None:
        """As many places as the settings say."""
        self._settings, self._operations = settings, operations
        self._places = BoundedSemaphore(settings.concurrent_solves)

    @contextmanager
    def place(self) -> Iterator[Place]:
        """Hold one place; raises Busy when none is free."""
        if not self._places.acquire(blocking=False):
            raise Busy("every place for a solve is taken")
        try:
            yield lambda work, body, seconds: work(body, self._settings, self._operations)
        finally:
            self._places.release()


def as_json(exchange: Callable[[bytes, Settings, Operations], Json], *given: Any) -> Solved:
    """The answer of an operation as JSON text; ``given``: body, settings, operations."""
    answer = exchange(*given)
    return Solved(json_bytes(answer), str(answer.get("status", "done")), answer.get("gap"))
