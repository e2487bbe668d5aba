"""Whether what a certificate names is what the survey yields, and whether nothing is missing that a bound needs.

More planes than needed only make a network finer: they are counted, not refused. A plane that is missing might make a
bound too high, so every one that a sheet, an end, a named obstacle or a named zone asks for must be there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import dist, isqrt

from service.clearance.model import Zone
from service.routing.obstacles import Obstacle
from service.routing.planes import Planes, chase_point
from service.routing.roof import add_roof_planes
from service.routing.sheets import Sheets
from service.siting.active import Active, hung_on, on_surface
from service.siting.ground import Ground
from service.siting.needs import Need
from service.siting.roof import surfaces_of
from service.siting.terminals import sides_of, terminal_key
from service.siting.zones import Zones
from service.survey.intake_listing import IntakeSide
from service.verify.closed import is_edge_open
from service.verify.rims import crossings


def faults_of(ground: Ground, zones: Zones, active: Active, needs: Iterable[Need], loose: bool) -> Iterator[str]:
    """What is wrong with one network for some heaters, in words; nothing where all is as the survey yields it."""
    served = tuple(needs)
    yield from _foreign_obstacles(ground, active)
    if loose:
        if active.mount or active.terminal or active.shut or active.shut_hubs:
            yield "a network without zones names zones"
    else:
        for need in served:
            yield from _foreign_zones(ground, zones, active, need)
    missing = _missing(ground, active, served)
    if missing:
        yield f"{missing} planes are missing that sheets, ends, obstacles or zones ask for"


def _foreign_obstacles(ground: Ground, active: Active) -> Iterator[str]:
    for radius, named in active.obstacles.items():
        known = {o.grown(radius) for o in ground.obstacles}
        strays = (o.reason for o in named if o not in known)
        yield from (f"the survey has no such obstacle as {reason} for radius {radius}" for reason in strays)


def _foreign_zones(ground: Ground, zones: Zones, active: Active, need: Need) -> Iterator[str]:
    surfaces, own = surfaces_of(ground.building), {terminal_key(need.heater, s): s for s in _sides(need)}
    if set(active.terminal) - set(own) or set(active.mount) - {need.key}:
        yield f"zones of another heater are named for {need.heater.label}"
        return
    for key, by_surface in active.terminal.items():
        told = zones.terminal(need.heater, own[key])
        for index, named in by_surface.items():
            known = {_shape(z) for z in told[surfaces[index].id]}
            yield from (_no_zone(z) for z in named if _shape(z) not in known)
    for index, named in active.mount.get(need.key, {}).items():
        known = {_shape(z) for z in zones.hang(need, index)}
        yield from (_no_zone(z) for z in named if _shape(z) not in known)


def _shape(zone: Zone) -> tuple[object, ...]:
    """All that a zone forbids, and why."""
    return zone.s0, zone.s1, zone.z0, zone.z1, zone.radius2, zone.within, zone.rule_id, zone.object_id


def _sides(need: Need) -> tuple[IntakeSide | None, ...]:
    return () if need.outdoors else sides_of(need.heater.vent)


def _no_zone(zone: Zone) -> str:
    return f"the survey yields no such zone of {zone.rule_id} round {zone.object_id} on {zone.surface_id}"


def _missing(ground: Ground, active: Active, needs: tuple[Need, ...]) -> int:
    """How many planes are asked for and not there."""
    asked = Planes(
        dict(active.planes.x), dict(active.planes.y), dict(active.planes.z), dict(active.planes.hub),
        {face: dict(lines) for face, lines in active.planes.skew.items()},
    )  # fmt: skip
    before = asked.count
    _ask_for_sheets(asked, ground.sheets)
    _ask_for_ends(asked, ground)
    add_roof_planes(asked, ground.building, (n.heater.vent.pipe_radius_mm for n in needs))
    for named in active.obstacles.values():
        for obstacle in named:
            _ask_for_obstacle(asked, ground.sheets, obstacle)
    _ask_for_zones(asked, ground, active)
    return asked.count - before


def _ask_for_sheets(asked: Planes, sheets: Sheets) -> None:
    for w in sheets.walls:
        for x, y in (w.face.start, w.face.end):
            asked.add(0, x, "")
            asked.add(1, y, "")
        for z in (w.face.z0, w.face.z1):
            asked.add(2, z, "")
        for s in (0, w.face.length_mm) if w.is_skew else ():
            asked.add_skew(w.face.id, s, "")
    for chase in sheets.chases:
        for axis, value in enumerate(chase_point(chase.outline)):
            asked.add(axis, value, "")


def _ask_for_ends(asked: Planes, ground: Ground) -> None:
    skew = {w.face.id: w.face.start for w in ground.sheets.walls if w.is_skew}
    for ends in ground.ends.values():
        for anchor in ends.every:
            for axis, (foot, end) in enumerate(zip(anchor.point, anchor.real, strict=True)):
                asked.add(axis, foot, "")
                asked.add(axis, end, "")
            if anchor.sheet in skew:
                asked.add_skew(anchor.sheet, round(dist(anchor.point[:2], skew[anchor.sheet])), "")
    for tee in () if ground.waiting is None else ground.waiting.tees:
        for axis, value in enumerate(tee):
            asked.add(axis, value, "")


def _ask_for_obstacle(asked: Planes, sheets: Sheets, obstacle: Obstacle) -> None:
    """The four sides of its box on its sheet."""
    across, along = (obstacle.d0, obstacle.d1), (obstacle.c0, obstacle.c1)
    wall = sheets.walls[obstacle.sheet] if obstacle.sheet >= 0 else None
    for value in across:
        asked.add(1 if wall is None else 2, value, "")
    for value in along:
        if wall is None:
            asked.add(0, value, "")
        elif not wall.is_skew:
            asked.add(wall.axis, value, "")
        elif 0 < value < wall.face.length_mm:
            asked.add_skew(wall.face.id, value, "")


def _ask_for_zones(asked: Planes, ground: Ground, active: Active) -> None:
    """The edges of every named zone that lie on its surface and not wholly in others, of round ones the extremes."""
    for by_surface in active.terminal.values():
        for index, named in by_surface.items():
            on = on_surface(ground.building, ground.sheets, index)
            for axis, value in _edges(named):
                (on.add_height if axis else on.add_line)(asked, value, "")
    for by_surface in active.mount.values():
        for index, named in by_surface.items():
            case = hung_on(ground.building, ground.sheets, index)
            for axis, value in _edges(named):
                (case.add_hub if axis else case.add_line)(asked, value, "")


def _edges(zones: list[Zone]) -> Iterator[tuple[int, int]]:
    """Axis and value of lower and upper distance and height of zones, where a design may lie on them, and of where
    their rims cross."""
    yield from crossings(zones)
    for zone in zones:
        r = isqrt(zone.radius2 - 1) + 1 if zone.radius2 else 0
        spans = (zone.s0 - r, zone.s1 + r), (zone.z0 - r, zone.z1 + r)
        more = ((), ()) if zone.within is None else (zone.within[:2], zone.within[2:])
        for axis in (0, 1):
            values = (*spans[axis], *more[axis])
            yield from ((axis, value) for value in values if is_edge_open(zones, axis, value, *spans[1 - axis]))
