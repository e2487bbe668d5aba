"""Positions at which a limit is met with equality (lemma L3)."""

from __future__ import annotations

from math import ceil

from service.design import Service
from service.siting.active import OnFacade, add_line
from service.siting.stage import Stage, Table
from service.trades import condensate

MOST_TIGHT_PLANES = 16


def add_tight_planes(stage: Stage, table: Table, hub: int, service: Service) -> bool:
    """Where a hub's cheapest route is too long by some excess, make the places that far off critical:
    along the wall, up and down, and for a vent along its facade. True if any plane is new.

    Length changes by one for each millimetre that heater or terminal moves (a drain's height counts
    as the run that it lets fall), so on the same topology the limit is met exactly there. No more
    than MOST_TIGHT_PLANES are added in all.
    """
    variant = table.offers[service].chosen(hub)
    excess = ceil(float(variant.excess[hub]))
    planes = stage.active.planes
    if excess <= 0 or stage.active.tight >= MOST_TIGHT_PLANES:
        return False
    before = planes.count
    wall = stage.ground.sheets.walls[int(table.hubs.wall[hub])]
    reason = f"limit of {service.value}"
    steps = ceil(excess / condensate.longest_run_mm(1)) if service is Service.DRAIN else excess
    for way in (-1, 1):
        add_line(planes, wall, int(table.hubs.s[hub]) + way * excess, reason)
        height = int(table.hubs.manifold_z[hub]) + way * steps
        if wall.face.z0 <= height <= wall.face.z1:
            planes.add_hub(height, reason)
    if service is Service.VENT:
        _add_on_facade(stage, variant.path(hub).source, excess, variant.track.field.sources.names)
    stage.active.tight += planes.count - before
    return planes.count > before


def _add_on_facade(stage: Stage, source: int, excess: int, names: tuple[int, ...]) -> None:
    outlet = names[source]
    on = OnFacade(stage.ground.building, stage.ground.sheets, int(stage.outlets.facade[outlet]))
    for shift in (-excess, excess):
        on.add_line(stage.active.planes, int(stage.outlets.s[outlet]) + shift, "limit of vent")
        on.add_height(stage.active.planes, int(stage.outlets.z[outlet]) + shift, "limit of vent")
