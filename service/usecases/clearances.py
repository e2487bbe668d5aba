"""Clearance operation: what is free and what is forbidden on every facade, wall and roof plane, and by which rule."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain

from service.building.build import build
from service.building.model import Building
from service.clearance.assumed import assumptions, warnings
from service.clearance.model import TerminalSpec, Zone, intake_spec_of, spec_of
from service.clearance.mount import mount_zones
from service.clearance.outdoors import outdoor_zones
from service.clearance.regions import Regions, facade_regions, face_regions, roof_regions
from service.clearance.roof import roof_zones
from service.clearance.terminal import terminal_zones
from service.deadline import OutOfTime, look
from service.survey.equipment import Heater
from service.survey.model import Survey
from service.usecases.results import ClearanceMap, Coverage, SurfaceRegions

CUT_OFF = "Time was up before all facades, roofs and walls were looked at: those not told are unknown, not free."
INTAKE = " (intake)"
"""Ends the name of a class of intakes."""


def clearances(survey: Survey) -> ClearanceMap:
    """Zones and free regions for every class of terminal and every heater of the survey; where somebody watches the
    clock (``ending_when``), as many as time allows."""
    building = build(survey)
    indoors = [h for h in survey.heaters if h.indoors]
    classes = terminal_classes(indoors)
    facades = _in_time(
        chain(
            (r for name, spec in classes for r in _facades(building, survey, name, spec)),
            (r for heater in outdoor_cases(survey) for r in _outdoors(building, survey, heater)),
        )
    )
    roofs = _in_time(r for name, spec in classes for r in _roofs(building, survey, name, spec))
    walls = _in_time(r for heater in vented(survey.heaters) for r in _walls(building, survey, heater))
    complete = all(done for _, done in (facades, walls, roofs))
    return ClearanceMap(
        building=building,
        terminal_classes=classes,
        facades=facades[0],
        walls=walls[0],
        roofs=roofs[0],
        assumptions=(*survey.assumptions, *building.assumptions, *assumptions(building, survey)),
        warnings=(*(() if complete else (CUT_OFF,)), *survey.warnings, *building.warnings, *warnings(building, survey)),
        complete=complete,
    )


def _in_time(surfaces: Iterable[SurfaceRegions]) -> tuple[tuple[SurfaceRegions, ...], bool]:
    """As many as were done before time was up, and whether these are all."""
    out: list[SurfaceRegions] = []
    try:
        for surface in surfaces:
            out.append(surface)  # noqa: PERF402 - what was done must stay
    except OutOfTime:
        return tuple(out), False
    return tuple(out), True


def outdoor_cases(survey: Survey) -> tuple[Heater, ...]:
    """Heaters that may hang outdoors as far as listing and wishes go."""
    return tuple(h for h in survey.heaters if h.outdoor is not None and survey.preferences.outdoors)


def outdoor_name(heater: Heater) -> str:
    """What the regions of a heater's case outdoors apply to."""
    return f"{heater.id} hung outdoors"


def terminal_classes(heaters: Sequence[Heater]) -> tuple[tuple[str, TerminalSpec], ...]:
    """Distinct specs with a name each: the labels of the heaters that share it, sorted; intakes of twin pipe say so."""
    users: dict[TerminalSpec, list[str]] = {}
    for heater in vented(heaters):
        users.setdefault(spec_of(heater), []).append(heater.label)
        if heater.vent.intake is not None:
            users.setdefault(intake_spec_of(heater), []).append(f"{heater.label}{INTAKE}")
    return tuple(sorted(((", ".join(sorted(names)), spec) for spec, names in users.items()), key=lambda c: c[0]))


def vented(heaters: Sequence[Heater]) -> tuple[Heater, ...]:
    """All heaters with each of their vents."""
    return tuple(v for heater in heaters for v in heater.vented)


def facade_coverage(building: Building, zones: Mapping[str, Sequence[Zone]], applies_to: str) -> tuple[Coverage, ...]:
    """How much of each facade each rule takes from a class of terminals."""
    return tuple(_coverage(facade_regions(f, zones[f.id]), f.id, "facade", applies_to) for f in building.facades)


def roof_coverage(
    building: Building, zones: Mapping[str, Sequence[Zone]], applies_to: str, radius_mm: int
) -> tuple[Coverage, ...]:
    """How much of each roof plane each rule takes from a class of terminals."""
    return tuple(_coverage(roof_regions(p, zones[p.id], radius_mm), p.id, "roof", applies_to) for p in building.roof)


def wall_coverage(building: Building, zones: Mapping[str, Sequence[Zone]], applies_to: str) -> tuple[Coverage, ...]:
    """How much of each wall face each rule takes from a heater's case."""
    return tuple(_coverage(face_regions(f, zones[f.id]), f.id, "wall", applies_to) for f in building.faces)


def _facades(building: Building, survey: Survey, name: str, spec: TerminalSpec) -> Iterator[SurfaceRegions]:
    zones = terminal_zones(building, survey, spec)
    return (_surface(facade_regions(f, zones[f.id]), f.id, "facade", name, zones[f.id]) for f in building.facades)


def _roofs(building: Building, survey: Survey, name: str, spec: TerminalSpec) -> Iterator[SurfaceRegions]:
    zones, radius = roof_zones(building, survey, spec), spec.radius_mm
    return (_surface(roof_regions(p, zones[p.id], radius), p.id, "roof", name, zones[p.id]) for p in building.roof)


def _outdoors(building: Building, survey: Survey, heater: Heater) -> Iterator[SurfaceRegions]:
    zones, name = outdoor_zones(building, survey, heater), outdoor_name(heater)
    return (_surface(facade_regions(f, zones[f.id]), f.id, "facade", name, zones[f.id]) for f in building.facades)


def _walls(building: Building, survey: Survey, heater: Heater) -> Iterator[SurfaceRegions]:
    zones, who = mount_zones(building, survey, heater), heater.label
    return (_surface(face_regions(f, zones[f.id]), f.id, "wall", who, zones[f.id]) for f in building.faces)


def _surface(regions: Regions, surface_id: str, kind: str, applies_to: str, zones: tuple[Zone, ...]) -> SurfaceRegions:
    found = _coverage(regions, surface_id, kind, applies_to)
    return SurfaceRegions(surface_id, kind, applies_to, zones, regions.free_rings, found)


def _coverage(regions: Regions, surface_id: str, kind: str, applies_to: str) -> Coverage:
    look()
    return Coverage(
        surface_id, kind, applies_to, regions.total_mm2, regions.free_mm2, regions.by_rule, regions.length_mm,
        regions.free_length_mm, regions.closed_by_rule,
    )  # fmt: skip
