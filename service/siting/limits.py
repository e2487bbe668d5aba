"""Positions at which a limit is met with equality (lemma L3)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

import numpy as np

from service.design import Service
from service.routing.ends import Anchor
from service.routing.planes import Ints
from service.siting.active import add_line, on_surface
from service.siting.corners import corners
from service.siting.gas_plan import Tapping
from service.siting.hubs import Hubs
from service.siting.stage import Stage
from service.siting.table import Table
from service.siting.variants import Variant

MOST_TIGHT_PLANES = 16
"""Of each service: two limits that decide together make one another's lines, without end."""
MOST_HIDDEN_PLANES = 8
"""The same at hubs that bounds hide; more are exacter in few houses and twice as slow in hard ones."""
MOST_CORNERS = 64
"""Planes of corners that limits cut off."""
LIMIT_OF = "limit of"
"""How the reasons of planes begin that a limit makes critical."""
LEVEL = 1e-6
"""Runs, or room and branch, that change alike leave the excess as it is."""


def add_tight_planes(
    stage: Stage, table: Table, hub: int, service: Service, best: bool = False, hidden: bool = False
) -> bool:
    """Where a route that is at stake at a hub is too long by some length, or could be longer, make the places that far
    off critical: along the wall, up and down, and for a vent along its facade. True if any plane is new.

    On the same topology length changes by so much for each millimetre that heater or terminal moves
    (``Variant.moves``), so the limit is met exactly there. A place behind another line is told from there, if it
    matters, and where a limit is kept on the way is told from where it is passed, or by the ``best`` hub. No more than
    ``MOST_TIGHT_PLANES`` are added for each service of a heater, twice as many for that hub, and
    ``MOST_HIDDEN_PLANES`` at hubs that were ``hidden``.
    """
    planes, kind = stage.active.planes, (service, hidden)
    most = MOST_HIDDEN_PLANES if hidden else MOST_TIGHT_PLANES * (1 + best)
    before = planes.count
    for variant in table.offers[service].at_stake(hub):
        for excess in sorted(e for e in variant.excesses(hub) if best or e > 0):
            if stage.active.tight[kind] + planes.count - before < most:
                _add_tight(_At(stage, table.hubs, hub, service), variant, excess)
    stage.active.tight[kind] += planes.count - before
    return planes.count > before


def tighten(stage: Stage, table: Table, hub: int) -> bool:
    """Tight planes of every service at a hub that is otherwise the best, and of what bounds hide from it."""
    added = [add_tight_planes(stage, table, hub, service, best=True) for service in table.offers]
    added.append(_add_corners(stage, table, hub))
    return tighten_hidden(stage, table, float(table.total[hub])) or any(added)


def tighten_hidden(stage: Stage, table: Table, most: float) -> bool:
    """Tight planes at hubs that would cost less than ``most`` [money units] but for their limits, the cheapest first:
    where limits raised their bounds above that they do not come up by themselves, yet a place beside them may be it."""
    added = False
    for service, offer in table.offers.items():
        near = np.any([v.near for v in offer.variants], axis=0)
        bounds = table.unlimited(service)
        hubs = np.flatnonzero(near & (bounds < most))
        for hub in hubs[np.argsort(bounds[hubs], kind="stable")].tolist():
            if stage.active.tight[service, True] < MOST_HIDDEN_PLANES:
                added |= add_tight_planes(stage, table, hub, service, hidden=True)
    return added


@dataclass(frozen=True, slots=True)
class _At:
    """The hub at which a service's limit is looked at."""

    stage: Stage
    hubs: Hubs
    hub: int
    service: Service

    @property
    def reason(self) -> str:
        """Of the planes added."""
        return f"{LIMIT_OF} {self.service.value}"


def _add_tight(at: _At, variant: Variant, excess: float) -> None:
    if variant.tapping is not None:
        _add_along_pipe(at.stage, variant, variant.path(at.hub).source, excess)
    for rate in (move for move in variant.moves if move > LEVEL):
        _add_at_wall(at, _shift(excess, rate), _shift(excess, variant.rises or rate))
    if at.service is Service.VENT:
        _add_on_facade(at, variant.track.field.sources.names[variant.path(at.hub).source], _shift(excess, 1))


def _shift(excess: float, rate: float) -> int:
    """Whole millimetres, at so much length each, after which a limit that is passed is kept, or one kept still is."""
    return ceil(excess / rate) if excess > 0 else floor(-excess / rate)


def _add_corners(stage: Stage, table: Table, hub: int) -> bool:
    """Corners that limits cut off about the best hub: what lies there comes of both, so it is told at once, and not of
    one after the other. True if any plane is new."""
    hubs, planes, kind = table.hubs, stage.active.planes, (None, False)
    wall = stage.ground.sheets.walls[int(hubs.wall[hub])]
    if wall.is_skew or stage.active.tight[kind] >= MOST_CORNERS:
        return False
    before, (c, z) = planes.count, (int(hubs.c[hub]), int(hubs.manifold_z[hub]))
    for x, up in sorted(corners(table, hub, wall.axis, stage.lines_but(LIMIT_OF, hubs, wall))):
        if wall.span[0] <= c + x <= wall.span[1] and wall.face.z0 <= z + up <= wall.face.z1:
            planes.add(wall.axis, c + x, f"{LIMIT_OF} runs")
            planes.add_hub(z + up, f"{LIMIT_OF} runs")
    stage.active.tight[kind] += planes.count - before
    return planes.count > before


def _add_at_wall(at: _At, aside: int, up: int) -> None:
    """Lines so far beside the hub, and levels so far over and under it: where the other of the two is not critical for
    the same limit alone, for of that nothing new comes."""
    hubs, planes = at.hubs, at.stage.active.planes
    wall = at.stage.ground.sheets.walls[int(hubs.wall[at.hub])]
    along, levels = hubs.lines(int(hubs.surface[at.hub]))
    own_lines, own_levels = at.stage.lines_but(at.reason, hubs, wall)
    c, s, z = (int(column[at.hub]) for column in (hubs.c, hubs.s, hubs.manifold_z))
    for way in (-1, 1):
        if z in own_levels and _is_beside(along, s, s + way * aside):
            add_line(planes, wall, wall.distance(c) + way * aside, at.reason)
        level = z + way * up
        if c in own_lines and _is_beside(levels, z, level) and wall.face.z0 <= level <= wall.face.z1:
            planes.add_hub(level, at.reason)


def _add_on_facade(at: _At, outlet: int, shift: int) -> None:
    """The same beside, over and under a vent's outlet."""
    outlets, planes = at.stage.outlets, at.stage.active.planes
    surface, s, z = (int(column[outlet]) for column in (outlets.facade, outlets.s, outlets.z))
    along, levels = at.stage.lines(surface)
    on = on_surface(at.stage.ground.building, at.stage.ground.sheets, surface)
    for by in (-shift, shift):
        if _is_beside(along, s, s + by):
            on.add_line(planes, s + by, at.reason)
        if _is_beside(levels, z, z + by):
            on.add_height(planes, z + by, at.reason)


def _is_beside(lines: Ints, here: int, there: int) -> bool:
    """Whether no line lies between two: what is behind one is told by a place nearer to it."""
    return not ((lines > min(here, there)) & (lines < max(here, there))).any()


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
