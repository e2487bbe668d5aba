"""Length of pipe that the fittings of a heater's branch count for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from service.rules.tables import table
from service.trades.water_pipe import STANDARD_BRANCH

_ELBOWS_AT_HEATER = 2


@dataclass(frozen=True, slots=True)
class BranchFittings:
    """Each elbow, and all that a branch has whatever its run: tee at the tap, valve and two elbows at the heater [mm].
    Source: table ``water_fittings``."""

    elbow_mm: float
    standing_mm: float


@cache
def branch_fittings(option: str) -> BranchFittings:
    """Fittings of a branch by its option name. Raises KeyError for a size that the table has not."""
    material, _, nominal = option.rpartition(".")
    group = "pex" if (material or STANDARD_BRANCH) == "pex" else "rigid"
    row = table("water_fittings").where(group=group, nominal=nominal)
    elbow = row.si("elbow") * 1000
    return BranchFittings(elbow, 1000 * (row.si("tee_branch") + row.si("valve")) + _ELBOWS_AT_HEATER * elbow)


def old_share() -> float:
    """How much longer the fittings of old pipe, which nobody counts, make it. Source: common practice, one half."""
    return 1 + table("water_pressure").constant("old_fittings")
