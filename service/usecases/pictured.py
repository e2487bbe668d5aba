"""What a drawing needs besides designs: what is told of them, and the surfaces with what is closed to each terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from service.building.model import Building
from service.clearance.model import Zone
from service.clearance.regions import Regions, facade_regions, roof_regions
from service.design import Design, Finding
from service.errors import CheckFailed
from service.siting.neighbour_ends import APART, SPACE
from service.siting.neighbours import Apart, Neighbour
from service.siting.roof import surfaces_of
from service.siting.terminals import intake_at, sides_of
from service.siting.zones import Zones
from service.survey.divided import of_dwelling
from service.survey.equipment import Heater
from service.survey.intake_listing import IntakeSide
from service.survey.model import Survey
from service.usecases.clearances import outdoor_name
from service.usecases.place import checked
from service.usecases.results import CheckedDesign, Coverage, Deadlock, SurfaceRegions

BY_CHECKER = {APART: "joint.terminals", SPACE: "joint.cases"}
"""What the checker calls the rules that two heaters are not in one place."""
TOGETHER = {
    "joint.terminals": "two terminals are not in one place",
    "joint.cases": "a case outdoors is before no terminal, and keeps its space",
}
"""These rules in words."""
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


@dataclass(frozen=True, slots=True)
class Installed:
    """One heater and what was found of it; ``dwelling`` whose it is, empty where the house has but one."""

    dwelling: str
    design: Design
    findings: tuple[Finding, ...]


def all_surfaces(
    survey: Survey, building: Building, installed: Sequence[Installed], deadlock: Deadlock | None
) -> tuple[tuple[SurfaceRegions, ...], ...]:
    """Every facade and roof plane for the terminal of each heater beside all others; where there is none, for that of
    the cheapest way out, or else of the survey's first heater."""
    if not installed:
        return (_surfaces(survey, building, *_meant(survey, deadlock), {}),)
    found = []
    for one in installed:
        own = next((of_dwelling(survey, d) for d in survey.dwellings if d.id == one.dwelling), survey)
        beside = _beside(own, building, one, installed)
        found.append(_surfaces(own, building, one.design.heater, one.design.outdoors, beside))
    return tuple(found)


def _beside(
    survey: Survey, building: Building, one: Installed, installed: Sequence[Installed]
) -> Mapping[str, tuple[Zone, ...]]:
    """Zones by facade and roof plane that the terminals of the others make for a heater's."""
    heater = one.design.heater
    more: dict[str, tuple[Zone, ...]] = {f.id: () for f in surfaces_of(building)}
    for other in installed:
        if other is not one:
            apart = Apart(survey, building, Neighbour(other.dwelling, other.design), None)
            is_out = one.design.outdoors
            found = apart.outdoors(heater) if is_out else apart.terminal(heater, side_of(one.design))
            for surface, zones in found.items():
                more[surface] += tuple(_by_checker(z) for z in zones)
    return more


def _surfaces(
    survey: Survey, building: Building, heater: Heater, outdoors: bool, beside: Mapping[str, tuple[Zone, ...]]
) -> tuple[SurfaceRegions, ...]:
    zones = Zones(building, survey)
    found = zones.outdoors(heater) if outdoors else zones.terminal(heater)
    found = {surface: (*own, *beside.get(surface, ())) for surface, own in found.items()}
    name, radius = outdoor_name(heater) if outdoors else heater.label, heater.outlet(outdoors).radius_mm
    return (
        *(_told(facade_regions(f, found[f.id]), f.id, "facade", name, found[f.id]) for f in building.facades),
        *(_told(roof_regions(p, found[p.id], radius), p.id, "roof", name, found[p.id])
          for p in building.roof if p.id in found),
    )  # fmt: skip


def side_of(design: Design) -> IntakeSide | None:
    """On which side of the exhaust a twin-pipe vent's intake is, None where it has none."""
    vent, end = design.heater.vent, design.terminal
    return next((s for s in sides_of(vent) if s and intake_at(end, vent, s) == design.intake), None)


def _by_checker(zone: Zone) -> Zone:
    """Two terminals in one place, and a case before one, are judged by rules of the checker's own names."""
    return replace(zone, rule_id=BY_CHECKER.get(zone.rule_id, zone.rule_id))


def _meant(survey: Survey, deadlock: Deadlock | None) -> tuple[Heater, bool]:
    """Whose terminal is meant where none is placed, and whether it hangs outdoors."""
    meant = next((w.design for w in deadlock.ways_out), None) if deadlock else None
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
