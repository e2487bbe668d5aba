"""What long work is doing, for whoever watches: nobody unless he says so, and never an effect on the work."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Progress:
    """One moment: the step, and of a search its rounds, designs proven so far, and what the next costs at most (the
    best lawful one in hand, None: none yet) and at least [money units, see MONEY_SCALE]."""

    step: str
    rounds: int = 0
    proven: int = 0
    most_units: float | None = None
    least_units: float | None = None

    @property
    def gap(self) -> float | None:
        """(most - least) / most [1]; None without both."""
        if self.most_units is None or self.least_units is None or self.most_units <= 0:
            return None
        return max(self.most_units - self.least_units, 0.0) / self.most_units


Observer = Callable[[Progress], None]
_OBSERVER: ContextVar[Observer | None] = ContextVar("observer", default=None)


@contextmanager
def observed(by: Observer) -> Iterator[None]:
    """Have everything told to an observer inside the block."""
    token = _OBSERVER.set(by)
    try:
        yield
    finally:
        _OBSERVER.reset(token)


def tell(moment: Callable[[], Progress]) -> None:
    """Tell who watches; without anybody, the moment is not even made."""
    observer = _OBSERVER.get()
    if observer is not None:
        observer(moment())


def step(words: str) -> None:
    """Tell that a step begins."""
    tell(lambda: Progress(words))
