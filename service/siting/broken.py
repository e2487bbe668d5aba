"""What a relaxed optimum breaks; whatever it breaks becomes active at once."""

from __future__ import annotations

from service.design import MANIFOLD_DROP_MM, Service
from service.siting.active import hung_on, on_surface, zones_over
from service.siting.assemble import Choice
from service.siting.roof import surface_of
from service.siting.stage import Stage
from service.siting.table import Table
from service.siting.terminals import terminal_key
from service.siting.ways import hits
from service.siting.zones import Zones


def mount_broken(stage: Stage, zones: Zones, table: Table, hub: int) -> bool:
    """Whether the case may not hang at a hub; the zones over it are cut in and close their hubs."""
    need, surface, ground = table.need, int(table.hubs.surface[hub]), stage.ground
    at = int(table.hubs.s[hub]), int(table.hubs.manifold_z[hub]) + MANIFOLD_DROP_MM
    broken = zones_over(zones.hang(need, surface), *at)
    on = hung_on(ground.building, ground.sheets, surface)
    if broken and not stage.active.add_mount(need.key, surface, broken, at, on):
        stage.active.shut_hubs.add((need.key, surface, *at))
    if broken:
        stage.close_hub(table, hub)
    return bool(broken)


def terminal_broken(stage: Stage, zones: Zones, choice: Choice) -> list[Service]:
    """The vent, if its terminal breaks a rule; the zones over it are cut in and its outlet is shut. A flue
    outlet outdoors was judged with its case."""
    if choice.table.need.outdoors:
        return []
    heater, outlet, side = choice.table.need.heater, choice.outlet, choice.side
    index, at = int(stage.outlets.facade[outlet]), (int(stage.outlets.s[outlet]), int(stage.outlets.z[outlet]))
    broken = zones_over(zones.terminal(heater, side)[surface_of(stage.ground.building, index).id], *at)
    on = on_surface(stage.ground.building, stage.ground.sheets, index)
    key = terminal_key(heater, side)
    if broken:
        stage.shut_outlets.setdefault(key, set()).add(outlet)
    if broken and not stage.active.add_terminal(key, index, broken, at, on):
        stage.active.shut.setdefault(key, set()).add((index, *at))
    return [Service.VENT] if broken else []


def routes_broken(stage: Stage, choice: Choice) -> list[Service]:
    """Services whose runs go through an obstacle; the obstacles are cut in."""
    broken = []
    for service, (variant, path) in choice.ways.items():
        radius = choice.table.need.heater.vent.bundle_radius_mm if service is Service.VENT else 0
        found = hits(variant.track.field, path.states, radius, stage.ground.obstacles)
        for obstacle in found:
            stage.active.add_obstacle(radius, obstacle, stage.ground.sheets)
        if found:
            broken.append(service)
    return broken
