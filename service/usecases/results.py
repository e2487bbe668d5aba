"""What the operations return; the HTTP layer and the command line only render these."""

from __future__ import annotations

from dataclasses import dataclass

from service.building.model import Building
from service.clearance.model import TerminalSpec, Zone
from service.design import CostLine, Design, Finding, JointDesign, Part
from service.usecases.alarms import Alarm
from service.usecases.checked import BROKEN as BROKEN
from service.usecases.checked import CheckedDesign as CheckedDesign
from service.usecases.checked import Status as Status
from service.usecases.explain_results import Explained, ToldBeside
from service.usecases.gas_results import GasReport


@dataclass(frozen=True, slots=True)
class Coverage:
    """How much of one surface is taken: areas in [mm2]; ``by_rule`` sorted by share, largest first.

    Lengths along the surface [mm]: ``free_length_mm`` where some height is free, ``closed_by_rule`` where a rule alone
    leaves no height.
    """

    surface_id: str
    kind: str  # "facade" | "wall" | "roof"
    applies_to: str  # heater id or a terminal class in words
    total_mm2: int
    free_mm2: int
    by_rule: tuple[tuple[str, int], ...]
    length_mm: int = 0
    free_length_mm: int = 0
    closed_by_rule: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Proof:
    """What was proven and how, in cents. ``cost_cents`` is paid; ``weighed_cents`` is what the survey's price makes of
    the wait for hot water, None where it puts none; the search seeks the least sum of both, ``objective_cents``, which
    ``bound_cents`` bounds; ``gap`` is (objective - bound) / objective."""

    cost_cents: int | None
    bound_cents: int | None
    gap: float | None
    scope: str
    rounds: int
    planes: int
    states: int
    cross_check: str
    seed: int
    weighed_cents: int | None = None

    @property
    def objective_cents(self) -> int | None:
        """Least sum found."""
        return None if self.cost_cents is None else self.cost_cents + (self.weighed_cents or 0)


@dataclass(frozen=True, slots=True)
class Refusal:
    """What some heaters break alike at a place asked about, mount or terminal; ``z_mm`` is the height judged, the one
    asked for or else the one that breaks the fewest rules [mm]."""

    heaters: tuple[str, ...]
    part: Part
    z_mm: int
    broken: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class HereAnswer:
    """What came of one place asked about: the cheapest design through it, what is paid and the objective [cents], what
    that is proven to be at least, and what each trade costs more than in the best design of the house [cents], or what
    forbids it. ``why``: what does, where no rule by itself does. ``dwelling``: whose heater it is about, of several;
    the design is then that of the cheapest set through the place, and the sums are of all of that set."""

    id: str
    status: Status
    design: CheckedDesign | None
    cost_cents: int | None
    objective_cents: int | None
    bound_cents: int | None
    extra_by_trade: tuple[tuple[str, int], ...]
    refused: tuple[Refusal, ...]
    why: str
    dwelling: str | None = None


@dataclass(frozen=True, slots=True)
class WayOut:
    """Rules that open a design once all of them are lifted, the cheapest such design, and how it breaks them."""

    rules: tuple[str, ...]
    design: Design
    broken: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """What would be otherwise, in a sentence, and the cheapest design that it opens; no rule is broken then.
    ``building`` is the house that the design is in, which may have a roof that the one surveyed lacks."""

    what: str
    design: Design
    building: Building


@dataclass(frozen=True, slots=True)
class Deadlock:
    """Why nothing is lawful: ways out, the cheapest first, and a smallest set of rules that together leave nothing
    (empty: not known). ``complete``: all was tried and had an answer; ``why``: what is not known, or lacks.
    ``changes`` open a design too; ``untried`` are those that time did not allow. ``dwelling``: whose heater has none,
    of several, ``beside`` those that hang then as they would by themselves."""

    ways_out: tuple[WayOut, ...]
    blocking: tuple[str, ...]
    complete: bool
    why: str
    changes: tuple[Change, ...] = ()
    untried: tuple[str, ...] = ()
    dwelling: str | None = None
    beside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class JointAnswer:
    """Designs of several dwellings together: each with its dwelling's id, beside the others with all shared works done,
    what is shared, what was found on them together, and the shared gas system with all heaters on it. ``explained``:
    what is told of each while the others stay."""

    designs: tuple[tuple[str, CheckedDesign], ...]
    joint: JointDesign
    findings: tuple[Finding, ...]
    gas: GasReport
    explained: tuple[ToldBeside, ...] = ()

    @property
    def cost_cents(self) -> int:
        """What is paid for all of it."""
        return sum(checked.design.total_cents for _, checked in self.designs) + self.joint.total_cents

    @property
    def weighed_cents(self) -> int | None:
        """What the price of waiting makes of all waits together, None where there is none."""
        priced = [c.design.weighed_cents for _, c in self.designs if c.design.weighed_cents is not None]
        return sum(priced) if priced else None

    @property
    def objective_cents(self) -> int:
        """What the search seeks the least of."""
        return self.cost_cents + (self.weighed_cents or 0)

    @property
    def lines(self) -> tuple[CostLine, ...]:
        """All bills."""
        return (*(line for _, checked in self.designs for line in checked.design.lines), *self.joint.lines)


@dataclass(frozen=True, slots=True)
class Placement:
    """Answer of the main job. ``designs`` is ranked; empty unless OPTIMAL or FEASIBLE, and where several dwellings were
    to have a heater: then ``dwellings`` holds theirs, if there are any."""

    status: Status
    designs: tuple[CheckedDesign, ...]
    proof: Proof
    coverage: tuple[Coverage, ...]
    building: Building
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    alarms: tuple[Alarm, ...] = ()
    what_about: tuple[HereAnswer, ...] = ()
    deadlock: Deadlock | None = None
    explained: Explained | None = None
    dwellings: JointAnswer | None = None


@dataclass(frozen=True, slots=True)
class SurfaceRegions:
    """One facade, wall face or roof plane: zones that forbid, and the free rest as rings of (s, z) or (x, y) [mm]."""

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
    roofs: tuple[SurfaceRegions, ...] = ()
    complete: bool = True


@dataclass(frozen=True, slots=True)
class SetReport:
    """Answer of the check operation on a set: findings on each dwelling's design beside the others, by dwelling, and
    those on all together."""

    lawful: bool
    designs: tuple[tuple[str, tuple[Finding, ...]], ...]
    findings: tuple[Finding, ...]
    building: Building
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CheckReport:
    """Answer of the check operation; ``lawful`` only if nothing failed, is unknown or was left out.

    ``not_given``: parts that were left out, each with what it leaves open.
    """

    lawful: bool
    findings: tuple[Finding, ...]
    building: Building
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    not_given: tuple[tuple[Part, str], ...] = ()

    @property
    def lawful_as_far_as_given(self) -> bool:
        """Whether nothing of what was given failed or is unknown."""
        return not any(f.verdict in BROKEN for f in self.findings)
