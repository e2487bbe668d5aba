"""What a survey tells of a room besides its shape: how one gets to it and what it is kept for.

Lengths in whole millimetres. None: not known, which never counts as a pass.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class GarageKind(StrEnum):
    """Whose cars a garage takes."""

    PRIVATE = "private"
    PUBLIC = "public"


@dataclass(frozen=True, slots=True)
class Enclosure:
    """A room kept for the heater alone and sealed from the rooms around it.

    ``gasketed_self_closing_door``: solid, weather-stripped, closes by itself. ``air_from_outdoors``: all of the
    combustion air. ``nothing_stored``: and nothing will be.
    """

    gasketed_self_closing_door: bool | None = None
    air_from_outdoors: bool | None = None
    nothing_stored: bool | None = None


@dataclass(frozen=True, slots=True)
class Passage:
    """The way from the opening to the heater [mm]: its length on the centre line, least clear width and height,
    width of its solid floor; how deep it lies below grade, and how high over grade its walls are lined."""

    length_mm: int | None = None
    width_mm: int | None = None
    height_mm: int | None = None
    floor_width_mm: int | None = None
    below_grade_mm: int | None = None
    lining_above_grade_mm: int | None = None


@dataclass(frozen=True, slots=True)
class Access:
    """How one gets to an attic or a crawl space and works there [mm].

    ``platform_*``: level service space before the heater. ``removable_through_opening``: the heater can be serviced
    from the opening and taken out through it. ``light``, ``receptacle``: one with its switch at the entrance, one
    near the heater.
    """

    opening_width_mm: int | None = None
    opening_height_mm: int | None = None
    passage: Passage = Passage()
    platform_depth_mm: int | None = None
    platform_width_mm: int | None = None
    light: bool | None = None
    receptacle: bool | None = None
    removable_through_opening: bool | None = None
