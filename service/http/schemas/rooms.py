"""Schemas of what a room is kept for and how one gets to it, and from there to the survey's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.http.fields import Flag, Length
from service.http.schemas.base import Strict, extent, one
from service.survey.model import Access, Enclosure, Passage

Entry = Mapping[str, Any]


class EnclosureSchema(Strict):
    """Room kept for the heater alone; every fact that is not stated is not known."""

    gasketed_self_closing_door = Flag()
    air_from_outdoors = Flag()
    nothing_stored = Flag()


class AccessOpeningSchema(Strict):
    """Opening of an attic or a crawl space, clear."""

    width = extent()
    height = extent()


class PassageSchema(Strict):
    """Way from the opening to the heater: length on the centre line, least clear width and height.

    below_grade is how deep its floor lies below the ground, lining_above_grade how high over it its walls are lined.
    """

    length = Length(low_mm=0)
    width = extent()
    height = extent()
    floor_width = extent()
    below_grade = Length(low_mm=0)
    lining_above_grade = Length(low_mm=0)


class PlatformSchema(Strict):
    """Level service space before the heater."""

    depth = extent()
    width = extent()


class AccessSchema(Strict):
    """Way to a heater in an attic or a crawl space; every fact that is not stated is not known."""

    opening = one(AccessOpeningSchema)
    passage = one(PassageSchema)
    platform = one(PlatformSchema)
    light = Flag()
    receptacle = Flag()
    removable_through_opening = Flag()


def build_enclosure(entry: Entry | None) -> Enclosure | None:
    """The enclosure as stated, None if the room is said to be none."""
    return None if entry is None else Enclosure(**entry)


def build_access(entry: Entry | None) -> Access | None:
    """The way in as stated, None if nothing is."""
    if entry is None:
        return None
    opening, passage, platform = (entry.get(key, {}) for key in ("opening", "passage", "platform"))
    return Access(
        opening_width_mm=opening.get("width"),
        opening_height_mm=opening.get("height"),
        passage=Passage(**{f"{name}_mm": value for name, value in passage.items()}),
        platform_depth_mm=platform.get("depth"),
        platform_width_mm=platform.get("width"),
        light=entry.get("light"),
        receptacle=entry.get("receptacle"),
        removable_through_opening=entry.get("removable_through_opening"),
    )
