"""What is told of demand and output; the HTTP layer and the command line only render it."""

from __future__ import annotations

from dataclasses import dataclass

from service.design import Finding
from service.survey.equipment import Heater
from service.trades.demand import Demand, Duty, Use
from service.trades.fixtures import FlowFigure
from service.trades.peak_demand import Chance


@dataclass(frozen=True, slots=True)
class FixtureLine:
    """One draw: its hot part at the coldest inlet, what each method counts it as (None: the method knows no such
    fixture), and every flow that law, label or code names for it, with whether it keeps to that."""

    use: Use
    units: float | None
    chance: Chance | None
    figures: tuple[tuple[FlowFigure, bool], ...]


@dataclass(frozen=True, slots=True)
class SmallestDraw:
    """The draw with the least hot part [m3/s], at the warmest inlet that is known of [degC]."""

    fixture_id: str
    hot_m3_s: float
    inlet_c: float


@dataclass(frozen=True, slots=True)
class MonthLine:
    """Middle of a month: inlet [degC], rise [K], demand by the governing method [m3/s], and who carries it."""

    month: int
    inlet_c: float
    rise_k: float
    demand_m3_s: float | None
    carried_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HeaterLine:
    """One heater against the demand at the coldest inlet. Flows [m3/s], input at the altitude [W].

    ``burner_m3_s``: what its burner warms, None where nothing need be warmed. ``number_needed``: equal heaters in
    parallel that would carry the demand, None where none would or the demand is not known. ``starts``: the smallest
    draw starts the burner, None where there is no draw. ``least_rise_k``: what it gives that draw at its least fire.
    """

    heater: Heater
    input_w: float
    burner_m3_s: float | None
    capacity_m3_s: float
    margin_m3_s: float | None
    number_needed: int | None
    starts: bool | None
    least_rise_k: float | None
    capacity_by_month_m3_s: tuple[float, ...]
    sharing: int = 1

    @property
    def carries(self) -> bool:
        """Whether as many of it as share the demand carry it."""
        return self.number_needed is not None and self.number_needed <= self.sharing


@dataclass(frozen=True, slots=True)
class HotWaterReport:
    """Demand by every method, of which one governs, and what the heaters make of it at an altitude [m]."""

    duty: Duty
    altitude_m: float
    methods: tuple[Demand, ...]
    fixtures: tuple[FixtureLine, ...]
    smallest: SmallestDraw | None
    months: tuple[MonthLine, ...]
    heaters: tuple[HeaterLine, ...]
    findings: tuple[Finding, ...]
    warnings: tuple[str, ...]
