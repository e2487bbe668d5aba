"""Places that the surveyor asks about: what would a heater, or a vent, just here cost - or what forbids it?"""

from __future__ import annotations

from dataclasses import dataclass

from service.survey.house import Point2


@dataclass(frozen=True, slots=True)
class AskedMount:
    """The case's middle at the wall of a room that is nearest to ``at``; ``height_mm`` is from the room's floor to its
    underside, None for any height [mm]."""

    room: str
    at: Point2
    height_mm: int | None = None


@dataclass(frozen=True, slots=True)
class AskedTerminal:
    """The terminal's centre on the facade nearest to ``at``; ``height_mm`` is over the ground there, None for any
    height [mm]."""

    at: Point2
    height_mm: int | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """One "what about here?"; at least one of mount and terminal is named. ``dwelling``: whose heater, of several."""

    id: str
    mount: AskedMount | None = None
    terminal: AskedTerminal | None = None
    dwelling: str | None = None
