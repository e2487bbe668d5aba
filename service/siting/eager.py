"""The other exact way: everything cut in at once. Slower; it exists so that the lazy way can be held against it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import product

import numpy as np

from service.building.model import Behind, Facade
from service.building.roof_model import RoofPlane
from service.clearance.model import Zone
from service.routing.planes import Ints, Planes
from service.routing.sheets import WallSheet
from service.siting.active import Active, TerminalKey, add_line, critical_lines, hung_on, on_surface
from service.siting.ground import Ground, hanging_surfaces
from service.siting.hubs import walls_of
from service.siting.needs import Need
from service.siting.rims import crossing_lines
from service.siting.roof import surfaces_of
from service.siting.terminals import covered, sides_of, terminal_key
from service.siting.zones import Zones

SAMPLE_HEIGHT_MM = 700


def activate_everything(ground: Ground, zones: Zones, active: Active, need: Need) -> None:
    """Make every obstacle and every zone of a heater active, with the planes of all that is free.

    Arcs bring their extremes only; where they cut other critical lines is found as it matters.
    """
    bar(ground, active, _radii(need))
    _activate_mounts(ground, zones, active, need)
    if not need.outdoors:
        _activate_terminals(ground, zones, active, need)


def bar(ground: Ground, active: Active, radii: Iterable[int]) -> None:
    """Make every obstacle active for pipes of these radii [mm].

    Where pressure binds this is done at the start for small ones: the way of the cold run says what is left for the hot
    one, so one that leads through an obstacle, and may be the longer of two, would bound nothing.
    """
    for radius, obstacle in product(radii, ground.obstacles):
        active.add_obstacle(radius, obstacle, ground.sheets)


def _radii(need: Need) -> tuple[int, ...]:
    """Radii of the pipes that obstacles stop [mm]."""
    return (0,) if need.outdoors else (0, need.heater.vent.bundle_radius_mm)


def in_force(ground: Ground, zones: Zones, active: Active, need: Need, surfaces: Sequence[int]) -> Active:
    """Every rule and obstacle for one heater on some surfaces and few planes: what is found so is lawful, if dear."""
    mount = {surface: list(zones.hang(need, surface)) for surface in surfaces}
    return Active(
        _sampled(walls_of(ground.sheets, surfaces), active.planes),
        {r: [o.grown(r) for o in ground.obstacles] for r in _radii(need)},
        {} if need.outdoors else _terminal_zones(ground, zones, need),
        {need.key: mount},
    )


def _terminal_zones(ground: Ground, zones: Zones, need: Need) -> dict[TerminalKey, dict[int, list[Zone]]]:
    """Zones of the terminal by surface, for each side that an intake may be on."""
    heater, surfaces = need.heater, list(enumerate(surfaces_of(ground.building)))
    return {
        terminal_key(heater, side): {i: list(zones.terminal(heater, side)[f.id]) for i, f in surfaces}
        for side in sides_of(heater.vent)
    }


def _sampled(walls: Sequence[WallSheet], planes: Planes) -> Planes:
    """The planes at hand and the middle of the outer ones of the walls, with a manifold at a common height there."""
    more = planes.copy()
    for wall in walls:
        if any(s.behind is Behind.OUTDOORS for s in wall.face.stretches):
            add_line(more, wall, wall.face.length_mm // 2, "sample")
            more.add_hub(wall.face.z0 + SAMPLE_HEIGHT_MM, "sample")
    return more


def _activate_mounts(ground: Ground, zones: Zones, active: Active, need: Need) -> None:
    for surface, along, up in hanging_surfaces(ground, need):
        here, on = zones.hang(need, surface), hung_on(ground.building, ground.sheets, surface)
        active.mount.setdefault(need.key, {})[surface] = list(here)
        s_lines, z_lines = _open_lines(here, along, up)
        for s in s_lines:
            on.add_line(active.planes, s, "mount zone")
        for z in z_lines:
            on.add_hub(active.planes, z, "mount zone")


def _activate_terminals(ground: Ground, zones: Zones, active: Active, need: Need) -> None:
    for side, (index, surface) in product(sides_of(need.heater.vent), enumerate(surfaces_of(ground.building))):
        here = zones.terminal(need.heater, side)[surface.id]
        active.terminal.setdefault(terminal_key(need.heater, side), {})[index] = list(here)
        on = on_surface(ground.building, ground.sheets, index)
        s_lines, z_lines = _open_lines(here, *bounds_of(surface))
        for s in s_lines:
            on.add_line(active.planes, s, "terminal zone")
        for z in z_lines:
            on.add_height(active.planes, z, "terminal zone")


def bounds_of(surface: Facade | RoofPlane) -> tuple[tuple[int, int], tuple[int, int]]:
    """From where to where a surface's zones are told, along and up [mm]."""
    if isinstance(surface, RoofPlane):
        xs, ys = zip(*surface.outline, strict=True)
        return (min(xs), max(xs)), (min(ys), max(ys))
    heights = [z for span in surface.spans for z in span[2:]]
    return (0, surface.length_mm), (min(heights), max(heights))


def edge_lines(zones: Sequence[Zone], along: tuple[int, int], up: tuple[int, int]) -> tuple[Ints, Ints]:
    """Distances and heights of all edges of zones, and the bounds themselves; of arcs the extremes [mm]."""
    far = along[1] + 10 * max((z.radius2 for z in zones), default=0) + 1
    lines = [*(critical_lines(z, (far, far)) for z in zones), crossing_lines(zones)]
    return _inside([v for line in lines for v in line[0]], along), _inside([v for line in lines for v in line[1]], up)


def _open_lines(zones: Sequence[Zone], along: tuple[int, int], up: tuple[int, int]) -> tuple[list[int], list[int]]:
    """Zone edges on which some crossing with another edge is free: hidden edges decide nothing."""
    s, z = edge_lines(zones, along, up)
    grid_s, grid_z = np.meshgrid(s, z, indexing="ij")
    free = np.ones(grid_s.shape, dtype=bool)
    for zone in zones:
        free &= ~covered(zone, grid_s, grid_z)
    return s[free.any(axis=1)].tolist(), z[free.any(axis=0)].tolist()


def _inside(values: list[int], bounds: tuple[int, int]) -> Ints:
    return np.array(sorted({*bounds, *(v for v in values if bounds[0] <= v <= bounds[1])}), dtype=np.int64)
