"""A design with all that is told of it, and how a search ended."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from service.design import Design, Finding, Verdict
from service.usecases.gas_results import GasReport
from service.usecases.hot_water_results import HotWaterReport
from service.usecases.outdoor_report import OutdoorReport
from service.usecases.power_results import PowerReport
from service.usecases.pressure_results import PressureReport
from service.usecases.relief_results import ReliefScaldReport
from service.usecases.start_up_results import StartUpSheet
from service.usecases.vent_results import CondensateReport, VentReport
from service.usecases.waiting_results import WaitingReport
from service.usecases.water_results import WaterQualityReport

BROKEN = (Verdict.FAIL, Verdict.UNKNOWN)


class Status(StrEnum):
    """How a search ended."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class CheckedDesign:
    """A design with what the independent checker found, smallest margins first, and its gas system, vent (None
    outdoors), condensate (None for a heater that makes none), power, water, relief, scald, start-up, wait and water
    pressure (None: no run), demand for it (None: no fixtures) and what hanging outdoors asks for (None in a room)."""

    design: Design
    findings: tuple[Finding, ...]
    gas: GasReport
    vent: VentReport | None
    condensate: CondensateReport | None
    power: PowerReport
    water_quality: WaterQualityReport
    relief: ReliefScaldReport
    start_up: StartUpSheet
    waiting: WaitingReport | None
    hot_water: HotWaterReport | None = None
    pressure: PressureReport | None = None
    outdoors: OutdoorReport | None = None
