"""What a caller wants to be told besides the cheapest designs."""

from __future__ import annotations

from dataclasses import dataclass

FEWEST_DIFFERENT, MOST_DIFFERENT = 2, 5


@dataclass(frozen=True, slots=True)
class Explain:
    """Wishes to be told more. ``different``: how many designs that differ from each other, 0 for none."""

    different: int = 0
