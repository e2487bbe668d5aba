"""What a search has found, and what a round of it finds."""

from __future__ import annotations

from dataclasses import dataclass, field

from service.design import Design
from service.siting.active import Active
from service.siting.master import Column, CrossCheck


@dataclass(slots=True)
class Outcome:
    """What the search found and the figures of its proof. Costs in money units.

    ``designs`` are proven in their order unless ``cut_off``; then the last may be merely lawful.
    ``limited``: a limit on length or bends decided somewhere, so the proof covers the network only. ``actives``: what
    was cut in for each heater that was looked at closer, by its index.
    """

    designs: list[Design] = field(default_factory=list)
    cut_off: bool = False
    cost_units: float | None = None
    bound_units: float = 0.0
    rounds: int = 0
    planes: int = 0
    states: int = 0
    limited: bool = False
    check: CrossCheck | None = None
    actives: dict[int, Active] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Found:
    """A lawful design of one round, and the cheapest columns that it was chosen from."""

    units: float
    surface: int
    design: Design
    columns: tuple[Column, ...]
