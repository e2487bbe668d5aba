"""What the operations return; the HTTP layer and the command line only render these."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from service.building.model import Building
from service.clearance.model import TerminalSpec, Zone
from service.design import Design, Finding
from service.usecases.gas_results import GasReport


class Status(StrEnum):
    """How a search ended."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class CheckedDesign:
    """A design with what the independent checker found, smallest margins first, and the gas system with it."""

    design: Design
    findings: tuple[Finding, ...]
    gas: GasReport


@dataclass(frozen=True, slots=True)
class Coverage:
    """How much of one surface is taken: areas in [mm2]; ``by_rule`` sorted by share, largest first."""

    surface_id: str
    kind: str  # "facade" | "wall"
    applies_to: str  # heater id or a terminal class in words
    total_mm2: int
    free_mm2: int
    by_rule: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """What was proven and how. Costs in cents; ``gap`` is (cost - bound) / cost."""

    cost_cents: int | None
    bound_cents: int | None
    gap: float | None
    scope: str
    rounds: int
    planes: int
    states: int
    cross_check: str
    seed: int


@dataclass(frozen=True, slots=True)
class Placement:
    """Answer of the main job. ``designs`` is ranked; empty unless OPTIMAL or FEASIBLE."""

    status: Status
    designs: tuple[CheckedDesign, ...]
    proof: Proof
    coverage: tuple[Coverage, ...]
    building: Building
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SurfaceRegions:
    """One facade or wall face: zones that forbid, and the free rest as rings of (s, z) [mm]."""

    surface_id: str
    kind: str
    applies_to: str
    zones: tuple[Zone, ...]
    free_rings: tuple[tuple[tuple[float, float], ...], ...]
    coverage: Coverage


@dataclass(frozen=True, slots=True)
class ClearanceMap:
    """Answer of the clearance operation."""

    building: Building
    terminal_classes: tuple[tuple[str, TerminalSpec], ...]
    facades: tuple[SurfaceRegions, ...]
    walls: tuple[SurfaceRegions, ...]
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CheckReport:
    """Answer of the check operation; ``lawful`` only if nothing failed and nothing is unknown."""

    lawful: bool
    findings: tuple[Finding, ...]
    building: Building
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
