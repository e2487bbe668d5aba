"""A start-up sheet; the HTTP layer and the command line only render it."""

from __future__ import annotations

from dataclasses import dataclass

from service.building.model import Building
from service.design import Design
from service.rules.rulesets import rule_set
from service.survey.model import Survey
from service.trades.start_up import CustomerPoint, StepRule
from service.units import Quantity
from service.usecases.gas_results import GasReport, InletReport
from service.usecases.power_results import PowerReport
from service.usecases.relief_results import ReliefScaldReport
from service.usecases.vent_results import CondensateReport, VentReport
from service.usecases.waiting_results import WaitingReport


@dataclass(frozen=True, slots=True)
class Subject:
    """What is started up: a whole design, with all that is told of its parts."""

    survey: Survey
    building: Building
    design: Design
    gas: GasReport
    vent: VentReport | None
    condensate: CondensateReport | None
    power: PowerReport
    relief: ReliefScaldReport
    waiting: WaitingReport | None

    @property
    def country(self) -> str:
        """Whose codes hold."""
        return rule_set(self.survey.site.rule_set).country

    @property
    def inlet(self) -> InletReport:
        """The heater's own gas inlet."""
        return next(i for i in self.gas.inlets if i.id == self.design.heater.id)


@dataclass(frozen=True, slots=True)
class Reading:
    """A figure to be read on site: what is expected and its limits, in SI of ``quantity``, or in ``unit`` where there
    is none. None: not known to us, or no limit; ``source`` says whence the figures are."""

    id: str
    name: str
    quantity: Quantity | None
    unit: str
    expected: float | None
    low: float | None
    high: float | None
    source: str
    citation: str
    known_from: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step of this design, in its place of the order: its rule with the design's words, and readings to take."""

    rule: StepRule
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class StartUpSheet:
    """All steps in order, the points for the customer, whose licence is asked for, and the cautions."""

    steps: tuple[Step, ...]
    customer: tuple[CustomerPoint, ...]
    licences: tuple[str, ...]
    cautions: tuple[str, ...]
