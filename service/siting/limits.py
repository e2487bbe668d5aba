"""Positions at which a limit is met with equality (lemma L3)."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor

import numpy as np

from service.design import Service
from service.routing.ends import Anchor
from service.siting.active import add_line, on_surface
from service.siting.gas_plan import Tapping
from service.siting.offers import Variant
from service.siting.stage import Stage, Table
from service.trades import condensate

MOST_TIGHT_PLANES = 16
LIMIT_OF = "limit of"
"""How the reasons of planes begin that a limit makes critical."""
LEVEL = 1e-6
"""Room and branch that change alike leave the excess as it is."""


def add_tight_planes(stage: Stage, table: Table, hub: int, service: Service, most: int = MOST_TIGHT_PLANES) -> bool:
    """Where a hub's route is too long by some length, or could be longer by as little as the hub's reach,
    make the places that far off critical: along the wall, up and down, and for a vent along its
    facade. True if any plane is new.

    Length changes by one for each millimetre that heater or terminal moves (a drain's height counts
    as the run that it lets fall), so on the same topology the limit is met exactly there. No more
    than ``most`` are added for one heater.
    """
    variant, planes = table.offers[service].chosen(hub), stage.active.planes
    before = planes.count
    for excess in variant.lacking(hub):
        if excess and stage.active.tight + planes.count - before < most:
            _add_tight(stage, table, hub, service, excess)
    stage.active.tight += planes.count - before
    return planes.count > before


def _add_tight(stage: Stage, table: Table, hub: int, service: Service, excess: float) -> None:
    variant = table.offers[service].chosen(hub)
    if service is Service.GAS and np.isfinite(excess):
        _add_along_pipe(stage, variant, variant.path(hub).source, excess)
    if -excess <= variant.reach[hub]:
        _add_around(stage, table, hub, service, excess)


def tighten(stage: Stage, table: Table, hub: int) -> bool:
    """Tight planes of every service at a hub that is otherwise the best."""
    added = [add_tight_planes(stage, table, hub, service, 2 * MOST_TIGHT_PLANES) for service in table.offers]
    return any(added)


def _add_around(stage: Stage, table: Table, hub: int, service: Service, excess: float) -> None:
    shift = ceil(excess) if excess > 0 else floor(-excess)
    if shift:
        _add_at_wall(stage, table, hub, shift, service)
    if shift and service is Service.VENT:
        variant = table.offers[service].chosen(hub)
        _add_on_facade(stage, variant.path(hub).source, shift, variant.track.field.sources.names)


def _add_at_wall(stage: Stage, table: Table, hub: int, shift: int, service: Service) -> None:
    wall = stage.ground.sheets.walls[int(table.hubs.wall[hub])]
    reason = f"{LIMIT_OF} {service.value}"
    steps = ceil(shift / condensate.longest_run_mm(1)) if service is Service.DRAIN else shift
    for way in (-1, 1):
        add_line(stage.active.planes, wall, wall.distance(int(table.hubs.c[hub])) + way * shift, reason)
        height = int(table.hubs.manifold_z[hub]) + way * steps
        if wall.face.z0 <= height <= wall.face.z1:
            stage.active.planes.add_hub(height, reason)


def _add_along_pipe(stage: Stage, variant: Variant, charge: int, excess: float) -> None:
    """A tap moved along its pipe changes the room for the branch, and the branch by as much, or not at all."""
    tapping, anchors = variant.tapping, stage.anchors[Service.GAS]
    assert tapping is not None
    name = variant.track.field.sources.names[charge]
    anchor, rate = anchors[tapping.anchor_of(name)], _room_by_the_mm(tapping, anchors, name)
    shifts = {ceil(abs(excess) / abs(rate + turn)) for turn in (-1, 0, 1) if abs(rate + turn) > LEVEL}
    for line in stage.ground.ends[Service.GAS].lines:
        axis = line.axis
        if line.end_id != anchor.end_id or axis is None:
            continue
        lo, hi = sorted((line.a.point[axis], line.b.point[axis]))
        for value in sorted(anchor.point[axis] + way * by for by in shifts for way in (-1, 1)):
            if lo < value < hi:
                stage.active.planes.add(axis, value, f"{LIMIT_OF} gas")


def _room_by_the_mm(tapping: Tapping, anchors: Sequence[Anchor], charge: int) -> float:
    """How much less room a branch has for each millimetre that it is tapped farther along its pipe, for the same
    works [mm/mm]; one for one where no other place on the pipe tells more."""
    here = anchors[tapping.anchor_of(charge)]
    for other in np.flatnonzero(tapping.works == tapping.works[charge]).tolist():
        there = anchors[tapping.anchor_of(other)]
        if there.end_id == here.end_id and there.upstream_mm != here.upstream_mm:
            return float(tapping.room[charge] - tapping.room[other]) / (there.upstream_mm - here.upstream_mm)
    return 1.0


def _add_on_facade(stage: Stage, source: int, excess: int, names: tuple[int, ...]) -> None:
    outlet = names[source]
    on = on_surface(stage.ground.building, stage.ground.sheets, int(stage.outlets.facade[outlet]))
    for shift in (-excess, excess):
        on.add_line(stage.active.planes, int(stage.outlets.s[outlet]) + shift, f"{LIMIT_OF} vent")
        on.add_height(stage.active.planes, int(stage.outlets.z[outlet]) + shift, f"{LIMIT_OF} vent")
