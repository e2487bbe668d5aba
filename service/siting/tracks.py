"""Ways of one service as all its variants share them: a field, its trace, and what a limit asks of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from service.routing.fields import Field, Trace, best_sources, trace
from service.routing.labels import Walk, walk_of
from service.routing.planes import Ints
from service.routing.tariff import Floats


class Track:
    """A field and, made on first use, its trace and what the limited search needs. Shared by variants.

    ``shortest`` gives the least equivalent length from every state, shape (states,) [mm], for an extra length at each
    source, shape (sources,), and with bends counted or not.
    """

    def __init__(self, field: Field, shortest: Callable[[Floats, bool], Floats], flat_only: bool = False) -> None:
        self.field, self.shortest, self.flat_only = field, shortest, flat_only

    @cached_property
    def trace(self) -> Trace:
        """Length, bends and source of every state's cheapest route."""
        return trace(self.field, self.flat_only)

    @cached_property
    def walk(self) -> Walk:
        """The graph turned round."""
        return walk_of(self.field, self.flat_only)

    @cached_property
    def entry(self) -> Ints:
        """Index of the source that a state is, -1 elsewhere."""
        return best_sources(self.field)


@dataclass(frozen=True, slots=True)
class Path:
    """A chosen way: states from the heater to the end, index of the source it ends at."""

    states: tuple[int, ...]
    source: int


@dataclass(frozen=True, slots=True)
class RunLimit:
    """A further limit, on the run alone, bends not counted: at most ``length_mm``, ``extra`` [mm] added at each source,
    shape (sources,)."""

    length_mm: float
    extra: Floats
