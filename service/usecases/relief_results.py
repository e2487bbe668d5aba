"""What is told of relief and scald of a design; the HTTP layer and the command line only render it."""

from __future__ import annotations

from dataclasses import dataclass

from service.design import Finding
from service.trades.relief import DischargeRule, ReliefValve
from service.trades.scald import BurnTime, OutletLimit
from service.usecases.water_results import WaterPart


@dataclass(frozen=True, slots=True)
class OutletReport:
    """An outlet that has a limit, and whether the setpoint is over it."""

    id: str
    limit: OutletLimit
    over: bool


@dataclass(frozen=True, slots=True)
class ScaldReport:
    """Setpoint [degC] (``told`` by the survey or taken), what it does to skin, the outlets with a limit, and the mixing
    valve: asked for by the setpoint, there already, bought."""

    setpoint_c: float
    told: bool
    adult: BurnTime
    infant: BurnTime
    outlets: tuple[OutletReport, ...]
    mixing_needed: bool
    mixing_present: bool
    mixing_bought: bool
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ExpansionReport:
    """Thermal expansion: a closed system or not (None: not known), its tank there already or bought."""

    closed: bool | None
    tank_present: bool
    tank_bought: bool
    citation: str
    known_from: str
    note: str


@dataclass(frozen=True, slots=True)
class ReliefScaldReport:
    """Relief and scald of a design in full. ``rule_told``: the survey tells the local rule on relief."""

    valve: ReliefValve
    rule_told: bool
    valve_size: str
    discharge: tuple[DischargeRule, ...]
    expansion: ExpansionReport
    scald: ScaldReport
    parts: tuple[WaterPart, ...]
    findings: tuple[Finding, ...]
