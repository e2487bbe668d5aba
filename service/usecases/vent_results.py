"""What is told of a design's vent and of its condensate; the HTTP layer and the command line only render it."""

from __future__ import annotations

from dataclasses import dataclass

from service.design import Finding
from service.trades.condensate import CondensateRule
from service.trades.vent_systems import CategoryFacts, VentSystem
from service.usecases.gas_results import PartLine


@dataclass(frozen=True, slots=True)
class FittingLine:
    """What fittings of one kind count in the equivalent length [mm]; ``by_friction_mm`` is a cross-check, None where
    the bore is not known."""

    fitting: str
    quantity: int
    each_mm: int
    total_mm: int
    by_friction_mm: int | None
    note: str


@dataclass(frozen=True, slots=True)
class IntakeReport:
    """The second pipe of a twin-pipe vent: its length and elbows; where its terminal lies seen from the exhaust's, how
    far from it and how far at least by the listing, from centre to centre [mm]."""

    length_mm: int
    elbows: int
    side: str
    apart_mm: int
    least_apart_mm: int
    length_basis: str


@dataclass(frozen=True, slots=True)
class LengthReport:
    """Equivalent length of the run against the listing [mm]; ``counts`` says of which pipes."""

    length_mm: int
    fittings: tuple[FittingLine, ...]
    equivalent_mm: int
    limit_mm: int
    elbows: int
    max_elbows: int | None
    counts: str


@dataclass(frozen=True, slots=True)
class SlopeReport:
    """Fall of the level parts: metres a metre, which way, and the height that it takes along this run [mm]."""

    fall: float
    falls_to: str  # heater | terminal
    level_mm: int
    drop_mm: int
    known_from: str
    note: str


@dataclass(frozen=True, slots=True)
class SnowReport:
    """The terminal's height over the snow line [mm]: asked for and found, by the rule named."""

    depth_mm: int
    required_mm: int
    actual_mm: int
    rule_id: str
    citation: str


@dataclass(frozen=True, slots=True)
class ColdReport:
    """The cold-climate fitting. Temperatures [degC]; ``price_cents`` None where it is not needed or has no price."""

    winter_c: float
    below_c: float
    needed: bool
    included: bool
    price_cents: int | None
    known_from: str


@dataclass(frozen=True, slots=True)
class LegReport:
    """One straight leg: its length, the most that supports may be apart [mm], and how many stand between its ends."""

    upright: bool
    length_mm: int
    apart_mm: int
    supports_between: int


@dataclass(frozen=True, slots=True)
class VentReport:
    """The vent of a design: what it must be, what it is, and every part of it."""

    category: CategoryFacts
    system: VentSystem
    length: LengthReport
    slope: SlopeReport
    snow: SnowReport | None
    intake: IntakeReport | None
    cold: ColdReport
    legs: tuple[LegReport, ...]
    parts: tuple[PartLine, ...]
    findings: tuple[Finding, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CondensateReport:
    """Condensate of a design. Flows [m3/s] at full fire; sizes nominal [in]; ``drop_mm`` is what the run's level
    parts need, None for a pumped run."""

    flow_m3_s: float
    cap_m3_s: float
    ph_low: float
    ph_high: float
    line_size: str
    connection_size: str | None
    fall: float
    level_mm: int
    drop_mm: int | None
    pumped: bool
    neutraliser: str
    parts: tuple[PartLine, ...]
    rules: tuple[CondensateRule, ...]
    findings: tuple[Finding, ...]
