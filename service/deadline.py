"""When a request came in, and by when it is to be answered; on the clock that all processes of a machine share."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_ASKED: ContextVar[float | None] = ContextVar("asked", default=None)


@contextmanager
def asked_at(moment_s: float) -> Iterator[None]:
    """Let times count from when the caller asked, not from when the work began (``time.monotonic``) [s]."""
    token = _ASKED.set(moment_s)
    try:
        yield
    finally:
        _ASKED.reset(token)


def deadline_in(seconds: float) -> float:
    """Moment so long after the caller asked, or from now where nobody is known to have asked [s]."""
    asked = _ASKED.get()
    return (time.monotonic() if asked is None else asked) + seconds


def seconds_left(deadline_s: float) -> float:
    """Time until then, none once it has passed [s]."""
    return max(deadline_s - time.monotonic(), 0.0)
