"""When a request came in, by when it is to be answered, and whether that has passed.

Moments are on the clock that all processes of a machine share (``time.monotonic``) [s]. What is asked far below is told
by the context, as it concerns no result: a search cut off gives what it had.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

KEPT_S, KEPT_SHARE = 0.06, 0.02
"""Time that is kept for checking and writing down what a search has found, besides what the house itself tells."""
_ASKED: ContextVar[float | None] = ContextVar("asked", default=None)
_IS_OVER: ContextVar[Callable[[], bool] | None] = ContextVar("is_over", default=None)


class OutOfTime(Exception):  # noqa: N818
    """The clock ended a piece of work; nothing is known of its result."""


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


def search_end(deadline_s: float, seconds: float, taken_s: float = 0.0) -> float:
    """Moment to stop searching, of ``seconds`` in all, so that the answer is out by the deadline [s].

    ``taken_s``: what it took to make a model of the house. To check a design and to write it takes less than that, and
    so does each step of a search; measured, it holds the size of the house and whoever else wants the processor. At
    most half of all is kept.
    """
    return deadline_s - min(KEPT_S + KEPT_SHARE * seconds + taken_s, seconds / 2)


@contextmanager
def ending_when(is_over: Callable[[], bool]) -> Iterator[None]:
    """Let ``look`` end the work in this block once that is so."""
    token = _IS_OVER.set(is_over)
    try:
        yield
    finally:
        _IS_OVER.reset(token)


def look() -> None:
    """To be called before each step that takes long. Raises OutOfTime once time is up, where anybody watches it."""
    is_over = _IS_OVER.get()
    if is_over is not None and is_over():
        raise OutOfTime
