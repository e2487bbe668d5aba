"""Progress on the command line: one line that is written over on a terminal, a line for each change elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TextIO

from service.progress import Progress, observed
from service.survey.equipment import MONEY_SCALE

_OVER, _CLEAR = "\r", "\x1b[K"
_WIDEST = 100
_CENTS = 100


@contextmanager
def shown(stream: TextIO, wanted: bool) -> Iterator[None]:
    """Show progress on a stream inside the block, if it is wanted or the stream is a terminal."""
    over = stream.isatty()
    if not (wanted or over):
        yield
        return
    last = [""]

    def show(moment: Progress) -> None:
        line = words(moment)[:_WIDEST]
        if line != last[0]:
            stream.write(f"{_OVER}{line}{_CLEAR}" if over else f"{line}\n")
            stream.flush()
            last[0] = line

    try:
        with observed(show):
            yield
    finally:
        if over:
            stream.write(f"{_OVER}{_CLEAR}")
            stream.flush()


def words(moment: Progress) -> str:
    """A moment in words; costs are in the price book's currency."""
    if not moment.rounds:
        return moment.step
    told = [f"{moment.step}: round {moment.rounds}"]
    if moment.proven:
        told.append(f"{moment.proven} proven")
    told.append("no lawful design yet" if moment.most_units is None else f"best {_money(moment.most_units)}")
    if moment.least_units is not None:
        told.append(f"none below {_money(moment.least_units)}")
    if moment.gap is not None:
        told.append(f"gap {moment.gap:.1%}")
    return ", ".join(told)


def _money(units: float) -> str:
    return f"{units / MONEY_SCALE / _CENTS:,.2f}"
