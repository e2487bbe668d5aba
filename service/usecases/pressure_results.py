"""What is told of a design's water pressure; the HTTP layer and the command line only render it."""

from __future__ import annotations

from dataclasses import dataclass

from service.usecases.gas_results import PartLine


@dataclass(frozen=True, slots=True)
class PressureStep:
    """One part of the way from the supply to the fixture with least to spare: length with fittings [mm] and flow
    [m3/s], None where it is no single pipe; loss by Darcy-Weisbach and, of pipe, by Hazen-Williams [Pa]."""

    what: str
    length_mm: float | None
    flow_m3_s: float | None
    loss_pa: float
    hazen_williams_pa: float | None


@dataclass(frozen=True, slots=True)
class FixturePressure:
    """What is left at a fixture with all fixtures open, and the least that it needs [Pa]."""

    fixture: str
    residual_pa: float
    least_pa: float
    citation: str
    known_from: str


@dataclass(frozen=True, slots=True)
class PressureReport:
    """Water pressure with a design. Where facts are ``missing`` nothing is reckoned. Pressures in [Pa], flows [m3/s];
    ``supply_pa`` is behind reducing valve and equipment; ``valve_needed``: static pressure is above the limit and no
    reducing valve is told."""

    static_pa: float | None
    limit_pa: float
    supply_pa: float | None
    valve_needed: bool
    main_m3_s: float | None
    hot_m3_s: float | None
    steps: tuple[PressureStep, ...]
    fixtures: tuple[FixturePressure, ...]
    worst: str | None
    missing: tuple[str, ...]
    parts: tuple[PartLine, ...]
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
