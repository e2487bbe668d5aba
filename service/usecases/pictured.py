"""What a drawing needs besides a design: what is told of it, and the surfaces with what is closed to its terminal."""

from __future__ import annotations

from dataclasses import dataclass

from service.building.model import Building
from service.clearance.model import Zone
from service.clearance.regions import Regions, facade_regions, roof_regions
from service.design import Design
from service.errors import CheckFailed
from service.siting.zones import Zones
from service.survey.equipment import Heater
from service.survey.model import Survey
from service.usecases.clearances import outdoor_name
from service.usecases.place import checked
from service.usecases.results import CheckedDesign, Coverage, Deadlock, SurfaceRegions

NOT_WHOLE = "The design is not whole and lawful: gas system, water, power and start-up are not told of it."


@dataclass(frozen=True, slots=True)
class Described:
    """All that is told of a design that was handed in. ``checked`` is None where that is no more than what the check
    found, and ``why`` then says so."""

    checked: CheckedDesign | None
    why: str = ""


def described(survey: Survey, building: Building, design: Design, lawful: bool) -> Described:
    """Reports on a design; only of one that is whole and lawful: no start-up sheet is made out for any other."""
    if not lawful:
        return Described(None, NOT_WHOLE)
    try:
        return Described(checked(survey, building, design))
    except CheckFailed as failure:
        return Described(None, f"Gas system, water, power and start-up are not told of the design: {failure}.")


def surfaces(
    survey: Survey, building: Building, design: Design | None, deadlock: Deadlock | None
) -> tuple[SurfaceRegions, ...]:
    """Every facade and roof plane for the design's terminal; without a design, for that of the cheapest way out, or
    else of the survey's first heater."""
    heater, outdoors = _meant(survey, design, deadlock)
    zones = Zones(building, survey)
    found = zones.outdoors(heater) if outdoors else zones.terminal(heater)
    name, radius = outdoor_name(heater) if outdoors else heater.label, heater.outlet(outdoors).radius_mm
    return (
        *(_told(facade_regions(f, found[f.id]), f.id, "facade", name, found[f.id]) for f in building.facades),
        *(_told(roof_regions(p, found[p.id], radius), p.id, "roof", name, found[p.id])
          for p in building.roof if p.id in found),
    )  # fmt: skip


def _meant(survey: Survey, design: Design | None, deadlock: Deadlock | None) -> tuple[Heater, bool]:
    """Whose terminal is drawn, and whether it hangs outdoors."""
    ways_out = deadlock.ways_out if deadlock else ()
    meant = design or next((w.design for w in ways_out), None)
    if meant is not None:
        return meant.heater, meant.outdoors
    heater = next((h for h in survey.heaters if h.indoors), survey.heaters[0])
    return heater, not heater.indoors


def _told(regions: Regions, surface_id: str, kind: str, name: str, zones: tuple[Zone, ...]) -> SurfaceRegions:
    coverage = Coverage(
        surface_id, kind, name, regions.total_mm2, regions.free_mm2, regions.by_rule, regions.length_mm,
        regions.free_length_mm, regions.closed_by_rule,
    )  # fmt: skip
    return SurfaceRegions(surface_id, kind, name, tuple(zones), regions.free_rings, coverage)
