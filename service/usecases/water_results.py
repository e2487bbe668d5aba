"""What is told of the water of a design; the HTTP layer and the command line only render it."""

from __future__ import annotations

from dataclasses import dataclass

from service.design import Finding
from service.trades.water_index import Index, Sample
from service.trades.water_quality import Descaling, Limit, SoftenerSize


@dataclass(frozen=True, slots=True)
class WaterPart:
    """Item for the heater's water: how many, where, the price key that holds it, None where nothing does, that price
    (None: not in the book), and whether it is in the total."""

    item: str
    quantity: int
    where: str
    price_key: str | None
    price_cents: int | None
    in_total: bool
    citation: str
    known_from: str
    note: str


@dataclass(frozen=True, slots=True)
class Hardness:
    """Hardness of the water [mg/L as CaCO3] with its class; None where it is not known."""

    hardness_mg_l: float | None
    hardness_class: str | None
    citation: str
    known_from: str


@dataclass(frozen=True, slots=True)
class SoftenerReport:
    """Softener: there already, advised (None: hardness not known), bought; and what one must take.

    ``size`` and ``sodium_mg_l`` None where the hardness is not known. ``use_from`` says whence the use of water is."""

    present: bool
    advised: bool | None
    bought: bool
    above_mg_l: float
    size: SoftenerSize | None
    use_from: str
    sodium_mg_l: float | None
    notes: tuple[str, ...]
    citation: str
    known_from: str


@dataclass(frozen=True, slots=True)
class IndexReport:
    """Langelier and Ryznar indices; ``missing`` names what a sample lacks, and then there are none."""

    sample: Sample | None
    missing: tuple[str, ...]
    indices: tuple[Index, ...]
    tendency: str | None
    citation: str
    known_from: str


@dataclass(frozen=True, slots=True)
class WaterQualityReport:
    """The water of a design in full; ``descaling`` as the water is today, ``softened`` behind a softener that works."""

    setpoint_c: float
    hardness: Hardness
    softener: SoftenerReport
    scale: IndexReport
    descaling: Descaling
    softened: Descaling
    limits: tuple[Limit, ...]
    parts: tuple[WaterPart, ...]
    findings: tuple[Finding, ...]
