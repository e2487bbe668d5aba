"""The intake of a twin-pipe vent as its listing has it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class IntakeSide(StrEnum):
    """Where the intake's terminal lies, seen from the exhaust's, facing the wall from outside."""

    LEFT = "left"
    RIGHT = "right"
    BELOW = "below"
    ABOVE = "above"


class LengthBasis(StrEnum):
    """What of a twin-pipe vent counts against its greatest length: exhaust alone, both added, or the longer."""

    EXHAUST_ONLY = "exhaust_only"
    COMBINED = "combined"
    EACH = "each"


@dataclass(frozen=True, slots=True)
class IntakeListing:
    """The intake of a twin-pipe vent: a pipe of its own beside the exhaust's, with a terminal of its own.

    The terminals' centres are at least ``apart_mm`` apart, the intake on one of the ``sides``.
    """

    pipe_radius_mm: int
    terminal_radius_mm: int
    apart_mm: int
    sides: tuple[IntakeSide, ...]
    length_basis: LengthBasis

    def shift_mm(self, side: IntakeSide) -> tuple[int, int]:
        """From the exhaust's centre to the intake's: along the facade as seen from outside, and up [mm]."""
        along, up = {
            IntakeSide.LEFT: (-1, 0), IntakeSide.RIGHT: (1, 0), IntakeSide.BELOW: (0, -1), IntakeSide.ABOVE: (0, 1),
        }[side]  # fmt: skip
        return along * self.apart_mm, up * self.apart_mm
