"""What is told of a design's power; the HTTP layer and the command line only render it."""

from __future__ import annotations

from dataclasses import dataclass

from service.design import Finding
from service.trades.circuits import Fit, Judgement, Load
from service.trades.electrical_code import Edition, GroundFault


@dataclass(frozen=True, slots=True)
class CircuitReport:
    """The circuit that the heater is on. Currents [A], loads [W]; None where a fact is not known."""

    is_new: bool
    breaker_a: float | None
    wire: str | None
    present_w: float | None
    after_a: float | None
    limit_a: float | None
    shared_limit_a: float | None
    fit: Fit


@dataclass(frozen=True, slots=True)
class DropReport:
    """Voltage lost by the heater's current at most. Lengths [mm]; ``old_mm`` None where not known; ``longest_mm``: a
    run of this wire at which the recommended share is lost, inf for a heater that draws nothing."""

    wire: str
    wire_known: bool
    new_mm: int
    old_mm: int | None
    lost_v: float
    share: float
    recommended: float
    longest_mm: float


@dataclass(frozen=True, slots=True)
class Protection:
    """Ground-fault protection: what the edition asks in the heater's room, and what gives it."""

    edition: Edition
    rule: GroundFault
    given_by: str


@dataclass(frozen=True, slots=True)
class Disconnect:
    """What disconnects the heater, with citation and mark."""

    by: str
    citation: str
    known_from: str


@dataclass(frozen=True, slots=True)
class EndReport:
    """An outlet or panel of the survey: straight distance from the heater's port [mm], and whether it can take it."""

    id: str
    is_panel: bool
    is_chosen: bool
    distance_mm: int
    within_cord: bool
    fit: Fit
    judgements: tuple[Judgement, ...]


@dataclass(frozen=True, slots=True)
class PowerReport:
    """Power of a design: what the heater draws, how it is connected, to which circuit, and what else could carry it.

    ``cord_used_mm`` is None where the design does not plug the heater into an old outlet.
    """

    country: str
    load: Load
    voltage_known: bool
    option: str
    end_id: str
    circuit: CircuitReport
    drop: DropReport
    protection: Protection
    disconnect: Disconnect
    cord_mm: int
    cord_used_mm: int | None
    ends: tuple[EndReport, ...]
    findings: tuple[Finding, ...]
