"""What a re-check of a certificate comes to."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """Of a step, and of all of them together: the worst of theirs."""

    CONFIRMED = "confirmed"
    NOT_CONFIRMED = "not_confirmed"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that was re-checked: what came of it, and what differs or is not known, in words."""

    name: str
    outcome: Outcome
    detail: str


@dataclass(frozen=True, slots=True)
class Verification:
    """All steps in their order. ``covers``: what a confirmed proof is about, ``network`` or ``continuous``."""

    steps: tuple[Step, ...]
    covers: str

    @property
    def outcome(self) -> Outcome:
        """Refused if any step is, else not confirmed if any is not, else confirmed."""
        found = {s.outcome for s in self.steps}
        return next((o for o in (Outcome.REFUSED, Outcome.NOT_CONFIRMED) if o in found), Outcome.CONFIRMED)


TRUSTED = (
    "the survey's reading: schemas, units, the building made of it, its wall faces, ceilings, chases and crossings",
    "the catalogue, the price book, and what the inspector counts for a run (check.prices)",
    "the tables of rules, and the forbidden zones that they make (clearance)",
    "the zones that heaters of other dwellings make (siting.neighbours), where there are several",
    "which heaters the house can feed, and what a room needs for combustion air (siting.needs, siting.air_plan)",
    "where runs may end, and in which ways a heater may have power (routing.ends, siting.power)",
    "pressure zones, feeds and capacities of gas pipe (piping.network, piping.feeds, trades.gas_capacity)",
    "the sketches of why the planes hold an optimum (DEVELOPERS.md), SciPy's Dijkstra, NumPy and Shapely",
)
"""What a re-check takes as it is; none of it is part of the search."""
