"""The other exact way: everything cut in at once. Slower; it exists so that the lazy way can be held against it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from service.clearance.model import Zone
from service.design import MANIFOLD_DROP_MM
from service.routing.planes import Ints
from service.siting.active import Active, OnFacade, add_line, critical_lines
from service.siting.ground import Ground
from service.siting.hubs import offset_of
from service.siting.needs import Need
from service.siting.stage import terminal_key
from service.siting.terminals import covered
from service.siting.zones import Zones


def activate_everything(ground: Ground, zones: Zones, active: Active) -> None:
    """Make every obstacle and every zone of every heater active, with the planes of all that is free.

    Arcs bring their extremes only; where they cut other critical lines is found as it matters.
    """
    for radius in sorted({0, *(n.heater.vent.pipe_radius_mm for n in ground.needs)}):
        for obstacle in ground.obstacles:
            active.add_obstacle(radius, obstacle, ground.sheets)
    for need in ground.needs:
        _activate_mounts(ground, zones, active, need)
        _activate_terminals(ground, zones, active, need)


def _activate_mounts(ground: Ground, zones: Zones, active: Active, need: Need) -> None:
    rise = offset_of(need.heater) - MANIFOLD_DROP_MM
    for wall in ground.sheets.walls:
        here = zones.mount(need.heater)[wall.face.id]
        active.mount.setdefault(need.heater.id, {})[wall.index] = list(here)
        for s in _open_lines(here, (0, wall.face.length_mm), (wall.face.z0, wall.face.z1))[0]:
            add_line(active.planes, wall, s, "mount zone")
        for z in _open_lines(here, (0, wall.face.length_mm), (wall.face.z0, wall.face.z1))[1]:
            for height in (z - MANIFOLD_DROP_MM, z + rise):
                if wall.face.z0 < height < wall.face.z1:
                    active.planes.add(2, height, "mount zone")


def _activate_terminals(ground: Ground, zones: Zones, active: Active, need: Need) -> None:
    for index, facade in enumerate(ground.building.facades):
        here = zones.terminal(need.heater)[facade.id]
        active.terminal.setdefault(terminal_key(need.heater), {})[index] = list(here)
        heights = [z for span in facade.spans for z in span[2:]]
        on = OnFacade(ground.building, ground.sheets, index)
        s_lines, z_lines = _open_lines(here, (0, facade.length_mm), (min(heights), max(heights)))
        for s in s_lines:
            on.add_line(active.planes, s, "terminal zone")
        for z in z_lines:
            on.add_height(active.planes, z, "terminal zone")


def _open_lines(zones: Sequence[Zone], along: tuple[int, int], up: tuple[int, int]) -> tuple[list[int], list[int]]:
    """Zone edges on which some crossing with another edge is free: hidden edges decide nothing."""
    far = along[1] + 10 * max((z.radius2 for z in zones), default=0) + 1
    lines = [critical_lines(z, (far, far)) for z in zones]
    s = _inside([v for line in lines for v in line[0]], along)
    z = _inside([v for line in lines for v in line[1]], up)
    grid_s, grid_z = np.meshgrid(s, z, indexing="ij")
    free = np.ones(grid_s.shape, dtype=bool)
    for zone in zones:
        free &= ~covered(zone, grid_s, grid_z)
    return s[free.any(axis=1)].tolist(), z[free.any(axis=0)].tolist()


def _inside(values: list[int], bounds: tuple[int, int]) -> Ints:
    return np.array(sorted({*bounds, *(v for v in values if bounds[0] <= v <= bounds[1])}), dtype=np.int64)
