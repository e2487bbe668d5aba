"""Flows at which pressure is reckoned, and what each fixture and the heater take of it."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from math import log

from service.rules.tables import table
from service.survey.equipment import Heater
from service.survey.model import Fixture
from service.trades.fixtures import flow_figures

DESIGN_BASES = ("ipc_design",)
"""Whose least flowing pressure holds at a fixture where they name one."""


@dataclass(frozen=True, slots=True)
class LeastPressure:
    """Pressure that a fixture needs while it runs [Pa], and whence it is known."""

    pa: float
    citation: str
    known_from: str


def least_pressure(fixture: Fixture) -> LeastPressure:
    """By the code's table for its kind; else the 15 psi of NSPC 10.14.2 for any fixture (read)."""
    for figure in flow_figures(fixture.kind):
        if figure.basis in DESIGN_BASES and figure.pressure_pa is not None:
            return LeastPressure(figure.pressure_pa, figure.citation, figure.known_from)
    row = table("water_pressure").where(symbol="unmarked")
    return LeastPressure(row.si("value"), "NSPC 10.14.2", row.text("known_from"))


def exchanger_pa(heater: Heater, flow_m3_s: float) -> float:
    """Pressure lost in a heater [Pa] at a flow [m3/s]: its listed curve, between points a power of the flow, beyond
    them the square (common practice). Raises ValueError for a heater without a curve."""
    points = sorted(p for p in heater.pressure_loss if p[0] > 0 and p[1] > 0)
    if not points:
        raise ValueError(f"{heater.id} lists no loss of pressure")
    if flow_m3_s <= 0:
        return 0.0
    if not points[0][0] < flow_m3_s < points[-1][0]:
        flow, loss = points[0] if flow_m3_s <= points[0][0] else points[-1]
        return loss * (flow_m3_s / flow) ** 2
    i = bisect_right([flow for flow, _ in points], flow_m3_s)
    (q0, p0), (q1, p1) = list(pairwise(points))[i - 1]
    return float(p0 * (flow_m3_s / q0) ** (log(p1 / p0) / log(q1 / q0)))
