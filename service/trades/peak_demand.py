"""Probabilistic demand of a dwelling: each fixture runs in the busy hour with a chance p and then draws a flow q.

The demand is the flow that the fixtures do not pass in 99 of 100 busy moments. Few fixtures: the exact distribution.
More: the normal form, for a middle number corrected for moments in which nothing runs.

An added fixture may lower it: moments with that fixture alone are busy too, and if it draws little, large flows become
a smaller share of all busy moments. The sums of the other methods cannot do that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import ceil, prod, sqrt

import numpy as np
import numpy.typing as npt

from service.rules.tables import UNITS, table

Floats = npt.NDArray[np.float64]
GRID_GPM = 0.001
SLACK = 1e-9
"""Cumulative chances reach 1 only to rounding."""


class PeakForm(StrEnum):
    """Which of the method's three forms serves."""

    EXACT = "exact_distribution"
    MODIFIED = "modified_wistort"
    NORMAL = "wistort"


@dataclass(frozen=True, slots=True)
class Chance:
    """``count`` equal fixtures: chance of use in the busy hour, flow in use [m3/s]."""

    p: float
    q_m3_s: float
    count: int = 1


@dataclass(frozen=True, slots=True)
class PeakDemand:
    """Demand [m3/s] with what it follows from: sum of chances, and chance that nothing runs.

    ``with_idle_m3_s``: the percentile of all moments, idle ones counted, None but for the exact form.
    """

    flow_m3_s: float
    form: PeakForm
    busy: float
    idle: float
    with_idle_m3_s: float | None


def peak_demand(chances: Sequence[Chance]) -> PeakDemand:
    """Demand by the form that the sum of chances calls for. Raises ValueError without a fixture.
    Source: UPC Appendix M (method read, limits of the forms memory)."""
    busy, idle = _busy(chances), _idle(chances)
    if not busy:
        raise ValueError("no fixture has a chance to run")
    if busy <= _constant("exact_to"):
        share = distribution(chances)
        flow = _percentile(np.where(np.arange(share.size) > 0, share, 0.0) / (1 - idle))
        return PeakDemand(flow, PeakForm.EXACT, busy, idle, _percentile(share))
    if busy < _constant("wistort_from"):
        return PeakDemand(modified_wistort_m3_s(chances), PeakForm.MODIFIED, busy, idle, None)
    return PeakDemand(wistort_m3_s(chances), PeakForm.NORMAL, busy, idle, None)


def distribution(chances: Sequence[Chance]) -> Floats:
    """Chance of each flow in steps of 0.001 gpm, from 0 up; flows between two steps count as the higher."""
    steps = [(c, ceil(round(c.q_m3_s / UNITS["gpm"] / GRID_GPM, 6))) for c in chances]
    share = np.zeros(1 + sum(c.count * k for c, k in steps))
    share[0] = 1.0
    for chance, k in steps:
        for _ in range(chance.count):
            running = np.concatenate([np.zeros(k), share[: share.size - k]])
            share = (1 - chance.p) * share + chance.p * running
    return share


def wistort_m3_s(chances: Sequence[Chance]) -> float:
    """Normal form: mean + z x deviation, at most all flows together [m3/s]."""
    mean, variance = _moments(chances)
    return min(_most(chances), mean + _constant("z") * sqrt(variance))


def modified_wistort_m3_s(chances: Sequence[Chance]) -> float:
    """Normal form of the busy moments alone, at most all flows together [m3/s]."""
    (mean, variance), idle = _moments(chances), _idle(chances)
    spread = max(0.0, (1 - idle) * variance - idle * mean**2)
    return min(_most(chances), (mean + _constant("z") * sqrt(spread)) / (1 - idle))


def _percentile(share: Floats) -> float:
    """Smallest flow [m3/s] whose cumulative chance reaches the percentile."""
    reached = np.cumsum(share) >= _constant("percentile") - SLACK
    return float(np.argmax(reached)) * GRID_GPM * UNITS["gpm"]


def _moments(chances: Sequence[Chance]) -> tuple[float, float]:
    mean = sum(c.count * c.p * c.q_m3_s for c in chances)
    return mean, sum(c.count * c.p * (1 - c.p) * c.q_m3_s**2 for c in chances)


def _most(chances: Sequence[Chance]) -> float:
    return sum(c.count * c.q_m3_s for c in chances)


def _busy(chances: Sequence[Chance]) -> float:
    return sum(c.count * c.p for c in chances)


def _idle(chances: Sequence[Chance]) -> float:
    return prod((1 - c.p) ** c.count for c in chances)


def _constant(symbol: str) -> float:
    return table("demand_method").constant(symbol)
