"""Positions at which a limit is met with equality (lemma L3)."""

from __future__ import annotations

from math import ceil, floor

from service.design import Service
from service.siting.active import add_line, on_surface
from service.siting.offers import Variant
from service.siting.stage import Stage, Table
from service.trades import condensate

MOST_TIGHT_PLANES = 16


def add_tight_planes(stage: Stage, table: Table, hub: int, service: Service, most: int = MOST_TIGHT_PLANES) -> bool:
    """Where a hub's route is too long by some length, or could be longer by as little as the hub's reach,
    make the places that far off critical: along the wall, up and down, and for a vent along its
    facade. True if any plane is new.

    Length changes by one for each millimetre that heater or terminal moves (a drain's height counts
    as the run that it lets fall), so on the same topology the limit is met exactly there. No more
    than ``most`` are added for one heater.
    """
    variant, planes = table.offers[service].chosen(hub), stage.active.planes
    excess = float(variant.excess[hub])
    shift = ceil(excess) if excess > 0 else floor(-excess)
    if not shift or -excess > variant.reach[hub] or stage.active.tight >= most:
        return False
    before = planes.count
    _add_around(stage, table, hub, shift, service)
    if service is Service.GAS:
        _add_along_pipe(stage, variant, variant.path(hub).source, shift)
    if service is Service.VENT:
        _add_on_facade(stage, variant.path(hub).source, shift, variant.track.field.sources.names)
    stage.active.tight += planes.count - before
    return planes.count > before


def tighten(stage: Stage, table: Table, hub: int) -> bool:
    """Tight planes of every service at a hub that is otherwise the best."""
    added = [add_tight_planes(stage, table, hub, service, 2 * MOST_TIGHT_PLANES) for service in table.offers]
    return any(added)


def _add_around(stage: Stage, table: Table, hub: int, shift: int, service: Service) -> None:
    wall = stage.ground.sheets.walls[int(table.hubs.wall[hub])]
    reason = f"limit of {service.value}"
    steps = ceil(shift / condensate.longest_run_mm(1)) if service is Service.DRAIN else shift
    for way in (-1, 1):
        add_line(stage.active.planes, wall, wall.distance(int(table.hubs.c[hub])) + way * shift, reason)
        height = int(table.hubs.manifold_z[hub]) + way * steps
        if wall.face.z0 <= height <= wall.face.z1:
            stage.active.planes.add_hub(height, reason)


def _add_along_pipe(stage: Stage, variant: Variant, source: int, shift: int) -> None:
    """A tap moved along its pipe changes the run before it and the branch: by as much each, or by both at once."""
    assert variant.tapping is not None
    anchor = stage.anchors[Service.GAS][variant.tapping.anchor_of(variant.track.field.sources.names[source])]
    for line in stage.ground.ends[Service.GAS].lines:
        axis = line.axis
        if line.end_id != anchor.end_id or axis is None:
            continue
        lo, hi = sorted((line.a.point[axis], line.b.point[axis]))
        for by in (shift, (shift + 1) // 2):
            for value in (anchor.point[axis] - by, anchor.point[axis] + by):
                if lo < value < hi:
                    stage.active.planes.add(axis, value, "limit of gas")


def _add_on_facade(stage: Stage, source: int, excess: int, names: tuple[int, ...]) -> None:
    outlet = names[source]
    on = on_surface(stage.ground.building, stage.ground.sheets, int(stage.outlets.facade[outlet]))
    for shift in (-excess, excess):
        on.add_line(stage.active.planes, int(stage.outlets.s[outlet]) + shift, "limit of vent")
        on.add_height(stage.active.planes, int(stage.outlets.z[outlet]) + shift, "limit of vent")
