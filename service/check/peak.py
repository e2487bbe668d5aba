"""Probabilistic demand worked out apart from the trade's own module: the distribution by its Fourier transform.

The transform of a sum of independent draws is the product of their transforms, 1 - p + p exp(i w k) for a draw of k
steps; the inverse gives the chance of every sum at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, sqrt

import numpy as np

from service.rules.tables import UNITS, table
from service.survey.model import Draw

STEPS_A_GPM = 1000
SLACK = 1e-9
Drawn = tuple[float, float, int]
"""Chance, flow [gpm] and number."""


def peak_m3_s(draws: Sequence[Draw]) -> float | None:
    """Flow [m3/s] not passed in 99 of 100 busy moments; None where a draw is beyond the method's table."""
    found = [_drawn(d) for d in draws]
    known = [f for f in found if f is not None]
    if len(known) < len(found) or not known:
        return None
    limits = {r.text("symbol"): r.printed("value") for r in table("demand_method").rows}
    busy = sum(n * p for p, _, n in known)
    if busy <= limits["exact_to"]:
        return _exact_gpm(known, limits["percentile"]) * UNITS["gpm"]
    return _normal_gpm(known, limits["z"], busy < limits["wistort_from"]) * UNITS["gpm"]


def _drawn(draw: Draw) -> Drawn | None:
    names = {r.text("kind"): r.text("appendix_m_fixture") for r in table("fixture_kinds").rows}
    if draw.kind not in names:
        return None
    row = table("demand_probability").where(fixture=names[draw.kind])
    flow, most = draw.flow_m3_s / UNITS["gpm"], row.printed("q")
    if draw.flow_is_given and flow > most * (1 + table("demand_method").constant("flow_tolerance")):
        return None
    return row.printed("p"), min(flow, most) if draw.flow_is_given else most, draw.count


def _exact_gpm(drawn: Sequence[Drawn], percentile: float) -> float:
    steps = [ceil(round(q * STEPS_A_GPM, 6)) for _, q, _ in drawn]
    size = 1 + sum(k * n for k, (_, _, n) in zip(steps, drawn, strict=True))
    angle = -2j * np.pi * np.arange(size) / size
    transform = np.ones(size, dtype=complex)
    for k, (p, _, n) in zip(steps, drawn, strict=True):
        transform *= (1 - p + p * np.exp(angle * k)) ** n
    chances = np.fft.ifft(transform).real
    idle = float(np.prod([(1 - p) ** n for p, _, n in drawn]))
    reached = np.cumsum(chances[1:]) + (chances[0] - idle) >= percentile * (1 - idle) - SLACK
    return float(1 + np.argmax(reached)) / STEPS_A_GPM if size > 1 else 0.0


def _normal_gpm(drawn: Sequence[Drawn], z: float, some_idle: bool) -> float:
    mean = sum(n * p * q for p, q, n in drawn)
    variance = sum(n * p * (1 - p) * q * q for p, q, n in drawn)
    most = sum(n * q for _, q, n in drawn)
    if not some_idle:
        return min(most, mean + z * sqrt(variance))
    idle = float(np.prod([(1 - p) ** n for p, _, n in drawn]))
    return min(most, (mean + z * sqrt(max(0.0, (1 - idle) * variance - idle * mean * mean))) / (1 - idle))
