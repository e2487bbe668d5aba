"""How far an option carries a load, and what its fittings add to length: what all length methods share."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from service.piping.options import Option
from service.survey.model import GasFittings, GasMethod, GasSegment
from service.trades.gas_capacity import Terms, by_rows, longest_mm, rows_mm
from service.trades.gas_pipe import elbow_mm, is_known, tee_mm

BRANCH = frozenset({GasMethod.BRANCH_TABLES, GasMethod.BRANCH_EQUATION})
TABLES = frozenset({GasMethod.LONGEST_TABLES, GasMethod.BRANCH_TABLES})
UNLIMITED_MM = 10**9
"""Reach of a pipe that carries nothing."""
FAR_MM = 10_000_000
"""Longer than any run of a house, though less than without limit [mm]."""
NEVER_MM = -1
"""Reach of a pipe that carries its load over no length."""


def fitting_mm(segment: GasSegment, option: Option, fittings: GasFittings) -> int:
    """Equivalent length of a segment's fittings if it is of that option [mm].

    0 under the code's allowance, where nobody counted, and for a size whose fittings are not known (which carries
    nothing in any case).
    """
    elbows, tees = segment.elbows or 0, segment.tees or 0
    counted = fittings is GasFittings.COUNTED and (elbows or tees) and is_known(option.material, option.size)
    if not counted:
        return 0
    return elbows * elbow_mm(option.material, option.size) + tees * tee_mm(option.material, option.size)


def carries(option: Option, load_w: float, length_mm: int, terms: Terms, method: GasMethod) -> bool:
    """Whether an option carries a load over a length by a length method."""
    return reach_mm(option.material, option.size, load_w, terms, method in TABLES) >= length_mm


def without_end(reaches: Sequence[int]) -> list[int]:
    """Reaches of some sizes [mm], that of the farthest without end; of equals the last is."""
    found = list(reaches)
    if found:
        last = max(range(len(found)), key=lambda i: (found[i], i))
        found[last] = max(found[last], FAR_MM)
    return found


@lru_cache(maxsize=65536)
def reach_mm(material: str, size: str, load_w: float, terms: Terms, tables: bool) -> int:
    """Longest length over which an option carries a load [mm], NEVER_MM for none.

    By the tables that is the last of the rows that carry it: capacity does not rise from row to row.
    """
    if load_w <= 0:
        return UNLIMITED_MM
    if not tables:
        return longest_mm(material, size, load_w, terms) or NEVER_MM
    reach = NEVER_MM
    for row, capacity in zip(rows_mm(material, terms), by_rows(material, size, terms), strict=False):
        if capacity is None or not capacity.passes(load_w):
            break
        reach = row
    return reach
