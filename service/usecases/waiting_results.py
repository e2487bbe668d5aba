"""What is told of a design's water: the wait for hot water. The HTTP layer and the command line only render it."""

from __future__ import annotations

from dataclasses import dataclass

from service.trades.hot_limits import HotLimit
from service.trades.waiting import Wait
from service.usecases.gas_results import PartLine


@dataclass(frozen=True, slots=True)
class FixtureWait:
    """The wait at one fixture, or at ``count`` alike [s], behind ``length_mm`` of pipe [mm] holding ``volume_m3`` [m3]
    at its flow [m3/s]. ``wait`` is None and ``missing`` says why where a fact is lacking; ``lights_burner``: its flow
    alone is enough to start the heater."""

    fixture: str
    kind: str
    count: int
    flow_m3_s: float
    length_mm: int
    volume_m3: float | None
    wait: Wait | None
    missing: str
    lights_burner: bool
    limits: tuple[HotLimit, ...]


@dataclass(frozen=True, slots=True)
class LoopReport:
    """What a recirculation loop to the farthest fixture would take, as information: ``return_mm`` of new pipe [mm],
    ``price_cents`` of pump and pipe (None: the book has no price for the pump), what else it needs, and the mean wait
    behind it [s]."""

    fixture: str
    return_mm: int
    price_cents: int | None
    mean_wait_s: float | None
    parts: tuple[PartLine, ...]


@dataclass(frozen=True, slots=True)
class WaitingReport:
    """The wait for hot water with a design. ``mean_s`` is over all fixtures, each as many times as it stands for [s];
    ``price_cents`` what the survey says a second of it is worth, ``weighed_cents`` both together; None without."""

    fixtures: tuple[FixtureWait, ...]
    mean_s: float | None
    price_cents: int | None
    weighed_cents: int | None
    loop: LoopReport | None
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    citation: str
