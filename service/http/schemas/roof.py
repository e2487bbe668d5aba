"""Schemas of the roof, and from a loaded roof to the survey's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.errors import Fault
from service.http.fields import Choice, Flag, Length, Number
from service.http.schemas.base import Strict, identifier, many, one, point2, pointer, ring
from service.http.schemas.notes import Notes, named
from service.survey.roof import (
    FLAT_OVER_CEILING_MM,
    Roof,
    RoofObstruction,
    RoofOpening,
    RoofOpeningKind,
    RoofPlane,
)
from service.units import Quantity, told

Entry = Mapping[str, Any]
STEEPEST_IN_12 = 60
FLATTEST_IN_12 = 0.05
"""A plane that rises by less is level."""
ABSENT_UNLESS_GIVEN = ("openings", "obstructions")


class EaveSchema(Strict):
    """Line from which a plane rises square to it."""

    start = point2(required=True)
    end = point2(required=True)


class RoofPlaneSchema(Strict):
    """One plane of the roof: its height is that of its upper side along the eave, its pitch the rise in a run of 12."""

    id = identifier()
    outline = ring(required=True)
    height = Length(required=True)
    pitch = Number(0, STEEPEST_IN_12)
    eave = one(EaveSchema)


class RoofOpeningSchema(Strict):
    """What opens in a plane; height is how far it stands over the roof."""

    id = identifier()
    kind = Choice(RoofOpeningKind, required=True)
    outline = ring(required=True)
    height = Length(low_mm=0)
    operable = Flag()


class RoofObstructionSchema(Strict):
    """Parapet, dormer wall, chimney or other upright thing on the roof; top in the survey's datum."""

    id = identifier()
    outline = ring(required=True)
    top = Length(required=True)


class RoofSchema(Strict):
    """The roof; without planes it is taken as flat."""

    planes = many(RoofPlaneSchema)
    openings = many(RoofOpeningSchema)
    obstructions = many(RoofObstructionSchema)


def build_roof(entry: Entry | None, notes: Notes) -> Roof | None:
    """The roof, if the survey tells of one; what it leaves out is noted."""
    if entry is None:
        notes.assume("No roof in the survey: no vent through the roof is offered")
        return None
    if absent := [f"roof.{key}" for key in ABSENT_UNLESS_GIVEN if key not in entry]:
        notes.warn(f"Not surveyed, taken as absent: have it confirmed on site: {', '.join(absent)}.")
    if not entry.get("planes"):
        over = told(Quantity.LENGTH, FLAT_OVER_CEILING_MM / 1000, notes.system)
        notes.assume(f"No roof planes given: the roof is taken as flat, {over} over the ceilings of the topmost rooms")
    return Roof(
        tuple(_plane(e, named(e, "plane", i), notes) for i, e in enumerate(entry.get("planes", []))),
        tuple(_opening(e, named(e, "roof-opening", i), notes) for i, e in enumerate(entry.get("openings", []))),
        tuple(_obstruction(e, named(e, "roof-obstruction", i), notes)
              for i, e in enumerate(entry.get("obstructions", []))),
    )  # fmt: skip


def pitch_faults(entry: Entry | None) -> list[Fault]:
    """Planes that rise from nowhere, or have an eave that they do not rise from."""
    faults = []
    for i, plane in enumerate((entry or {}).get("planes", [])):
        if plane.get("pitch") and "eave" not in plane:
            sentence = "a plane with a pitch needs the eave line that it rises from"
            faults.append(Fault(pointer("roof", "planes", i, "eave"), "missing", sentence))
        if 0 < plane.get("pitch", 0) < FLATTEST_IN_12:
            sentence = f"a pitch is 0 or at least {FLATTEST_IN_12:g} in 12"
            faults.append(Fault(pointer("roof", "planes", i, "pitch"), "out_of_range", sentence))
        if "eave" in plane and "pitch" not in plane:
            sentence = "say how steep the plane rises from its eave, 0 if it is level"
            faults.append(Fault(pointer("roof", "planes", i, "pitch"), "missing", sentence))
    return faults


def _plane(entry: Entry, name: str, notes: Notes) -> RoofPlane:
    if "pitch" not in entry:
        notes.assume("Roof plane without pitch, taken as level", name)
    eave, pitch = entry.get("eave"), entry.get("pitch", 0.0)
    line = (eave["start"], eave["end"]) if eave and pitch else None
    return RoofPlane(name, notes.outline(entry["outline"], f"roof plane {name}"), entry["height"], pitch, line)


def _opening(entry: Entry, name: str, notes: Notes) -> RoofOpening:
    if entry["kind"] is RoofOpeningKind.SKYLIGHT:
        notes.unknown(entry.get("operable"), "Skylight taken as openable, for it is not known to be fixed", name)
    height = notes.taken(entry.get("height"), 0, "Height of roof opening over the roof not given, taken as 0", name)
    outline = notes.outline(entry["outline"], f"roof opening {name}")
    return RoofOpening(name, entry["kind"], outline, height, entry.get("operable"))


def _obstruction(entry: Entry, name: str, notes: Notes) -> RoofObstruction:
    return RoofObstruction(name, notes.outline(entry["outline"], f"roof obstruction {name}"), entry["top"])
