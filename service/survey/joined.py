"""How rooms share air. Areas are free areas in square millimetres; None: not known, which counts as none."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class JoinedBy(StrEnum):
    """What joins two rooms for good: an opening without a door, or openings high and low."""

    DOORLESS = "doorless"
    OPENINGS = "openings"


@dataclass(frozen=True, slots=True)
class Joined:
    """Another room that shares air with this one; it holds both ways."""

    room: str
    by: JoinedBy
    top_area_mm2: float | None = None
    bottom_area_mm2: float | None = None
