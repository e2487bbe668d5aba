"""The lazy search: solve without what the rules forbid, cut in what the optimum breaks, repeat.

A relaxed optimum that breaks nothing is the optimum. Costs are whole money units until the bill.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import numpy as np

from service.design import MANIFOLD_DROP_MM, Design, Service
from service.routing.fields import Floats
from service.routing.planes import Planes, base_planes
from service.routing.sources import add_anchor_planes
from service.siting.active import Active, OnFacade, zones_over
from service.siting.assemble import Choice, choice_at, design_of
from service.siting.eager import activate_everything
from service.siting.ground import Ground
from service.siting.hubs import offset_of
from service.siting.limits import add_tight_planes
from service.siting.master import CrossCheck, cross_check
from service.siting.stage import Stage, Table, terminal_key
from service.siting.zones import Zones

MAX_ROUNDS = 80
REROUTES_A_ROUND = 12
PATIENCE = 3
"""After so many zones of one facade broken one by one, all of its zones are cut in."""


@dataclass(slots=True)
class Outcome:
    """What the search found and the figures of its proof. Costs in money units.

    ``designs`` are proven in their order unless ``cut_off``; then the last may be merely lawful.
    ``limited``: a limit on length or bends decided somewhere, so the proof covers the network only.
    """

    designs: list[Design] = field(default_factory=list)
    cut_off: bool = False
    cost_units: float | None = None
    bound_units: float = 0.0
    rounds: int = 0
    planes: int = 0
    states: int = 0
    limited: bool = False
    check: CrossCheck | None = None


@dataclass(frozen=True, slots=True)
class Found:
    """A lawful design of one round; ``proven`` if nothing was broken on the way to it."""

    units: float
    wall: int
    design: Design
    stage: Stage
    proven: bool


def search(
    ground: Ground, zones: Zones, count: int, deadline: float, clock: Callable[[], float] = time.monotonic,
    eager: bool = False, extra_planes: Iterable[tuple[int, int]] = (),
) -> Outcome:  # fmt: skip
    """Up to ``count`` cheapest designs, each on a mounting wall of its own.

    ``deadline`` is in the clock's seconds; past it the outcome holds what was proven so far. ``eager``
    cuts everything in at the start, ``extra_planes`` adds (axis, coordinate [mm]) pairs: neither may
    change the cost.
    """
    work = _Search(ground, zones, deadline, clock)
    for axis, value in extra_planes:
        work.active.planes.add(axis, value, "asked for")
    if eager:
        activate_everything(ground, zones, work.active)
    return work.run(count)


class _Search:
    """Two lazy loops in one: heaters enter when their bound could win, rules when they are broken."""

    def __init__(self, ground: Ground, zones: Zones, deadline: float, clock: Callable[[], float]) -> None:
        self.ground, self.zones, self.deadline, self.clock = ground, zones, deadline, clock
        self.active = Active(first_planes(ground))
        self.outcome = Outcome()
        self.banned: list[int] = []
        self.bounds = np.full((len(ground.needs), len(ground.sheets.walls)), -np.inf)
        self.broken_on: dict[tuple[object, int], int] = {}
        self.lawful: Found | None = None

    def run(self, count: int) -> Outcome:
        """Find designs until there are enough, none is left, or time is up."""
        out = self.outcome
        if self.ground.needs:
            self._stage(range(len(self.ground.needs)))
            while len(out.designs) < count and (found := self._rank()) is not None:
                self._accept(found)
        return self._closed()

    def _closed(self) -> Outcome:
        """Fall back on the best lawful design if time ran out before the first proof."""
        out = self.outcome
        if not out.designs:
            out.bound_units = float(self._open_bounds().min(initial=np.inf))
            if out.cut_off and self.lawful is not None:
                out.designs, out.cost_units = [self.lawful.design], self.lawful.units
        return out

    def _accept(self, found: Found) -> None:
        out = self.outcome
        if not out.designs:
            out.cost_units = out.bound_units = found.units
            out.check = cross_check(found.stage.tables, found.units)
        out.designs.append(found.design)
        self.banned.append(found.wall)
        self.lawful = None

    def _rank(self) -> Found | None:
        """Cheapest design on the walls still open, over all heaters; None if there is none or no time."""
        bounds = self._open_bounds()
        chosen = {int(np.argmin(bounds))} if np.isfinite(bounds).any() else set()
        while chosen:
            found = self._optimum(sorted(chosen))
            if self.outcome.cut_off:
                return None
            price = np.inf if found is None else found.units
            bounds = self._open_bounds()
            rivals = [int(h) for h in np.argsort(bounds, kind="stable") if h not in chosen and bounds[h] < price]
            if not rivals:
                return found
            chosen |= set(rivals[: len(rivals) if found is None else 2])
        return None

    def _open_bounds(self) -> Floats:
        """Least bound of each heater over the walls not yet taken, shape (heaters,)."""
        bounds = self.bounds.copy()
        bounds[:, self.banned] = np.inf
        return np.asarray(bounds.min(axis=1, initial=np.inf))

    def _optimum(self, chosen: list[int]) -> Found | None:
        """Cheapest design with the chosen heaters, by rounds until one breaks nothing."""
        while not self._is_over():
            found, broken = self._round(self._stage(chosen))
            if not broken:
                return found
            if found is not None and (self.lawful is None or found.units < self.lawful.units):
                self.lawful = found
        self.outcome.cut_off = True
        return None

    def _is_over(self) -> bool:
        return self.outcome.rounds >= MAX_ROUNDS or self.clock() >= self.deadline

    def _stage(self, chosen: Iterable[int]) -> Stage:
        """Build a round and keep the bounds it proves."""
        chosen = list(chosen)
        stage = Stage(self.ground, self.active, tuple(self.ground.needs[h] for h in chosen))
        for h, table in zip(chosen, stage.tables, strict=True):
            least = np.full(len(self.ground.sheets.walls), np.inf)
            np.minimum.at(least, table.hubs.wall, table.total)
            self.bounds[h] = np.maximum(self.bounds[h], least)
        out = self.outcome
        out.rounds, out.planes, out.states = out.rounds + 1, self.active.planes.count, stage.lattice.count
        return stage

    def _round(self, stage: Stage) -> tuple[Found | None, bool]:
        """Take the cheapest hubs in turn until one is lawful; tell whether any broke something new."""
        broken, reroutes = False, 0
        while reroutes < REROUTES_A_ROUND and not (broken and self._is_over()):
            place = self._cheapest(stage)
            if place is None:
                return None, broken
            table, hub = place
            moved, tight = self._settled(stage, table, hub)
            broken |= tight
            if moved:
                continue
            if self._mount_broken(stage, table, hub):
                broken = True
                continue
            choice = choice_at(table, hub)
            if self._terminal_broken(stage, choice) or self._route_broken(stage, choice):
                broken, reroutes = True, reroutes + 1
                stage.rebuild()
                continue
            units, wall = float(table.total[hub]), int(table.hubs.wall[hub])
            return Found(units, wall, design_of(stage, choice), stage, not broken), broken
        return None, True

    def _cheapest(self, stage: Stage) -> tuple[Table, int] | None:
        best: tuple[float, Table, int] | None = None
        for table in stage.tables:
            total = np.where(np.isin(table.hubs.wall, self.banned), np.inf, table.total)
            hub = int(np.argmin(total)) if len(total) else -1
            if hub >= 0 and np.isfinite(total[hub]) and (best is None or total[hub] < best[0]):
                best = (float(total[hub]), table, hub)
        return None if best is None else best[1:]

    def _settled(self, stage: Stage, table: Table, hub: int) -> tuple[bool, bool]:
        """Make a hub's offers exact; tell whether its total moved and whether new planes came of it."""
        before, tight = float(table.total[hub]), False
        for service, offer in table.offers.items():
            if not offer.chosen(hub).settled[hub]:
                tight |= add_tight_planes(stage, table, hub, service)
                self.outcome.limited = True
                offer.settle(hub)
        table.refresh(hub)
        return float(table.total[hub]) != before, tight

    def _mount_broken(self, stage: Stage, table: Table, hub: int) -> bool:
        heater = table.need.heater
        wall = self.ground.sheets.walls[int(table.hubs.wall[hub])]
        bottom = int(table.hubs.manifold_z[hub]) + MANIFOLD_DROP_MM
        zones = zones_over(self.zones.mount(heater)[wall.face.id], int(table.hubs.s[hub]), bottom)
        rise = offset_of(heater) - MANIFOLD_DROP_MM
        for zone in zones:
            self.active.add_mount(heater.id, wall, zone, MANIFOLD_DROP_MM, rise)
        if zones:
            stage.mask_wall(table, wall.index)
        return bool(zones)

    def _terminal_broken(self, stage: Stage, choice: Choice) -> bool:
        heater, outlet = choice.table.need.heater, choice.outlet
        index, key = int(stage.outlets.facade[outlet]), terminal_key(heater)
        at = (int(stage.outlets.s[outlet]), int(stage.outlets.z[outlet]))
        every = self.zones.terminal(heater)[self.ground.building.facades[index].id]
        broken = zones_over(every, *at)
        if broken:
            self.broken_on[key, index] = self.broken_on.get((key, index), 0) + 1
            if self.broken_on[key, index] == PATIENCE:
                broken = list(every)
        on = OnFacade(self.ground.building, self.ground.sheets, index)
        for zone in broken:
            self.active.add_terminal(key, index, zone, at, on)
        return bool(broken)

    def _route_broken(self, stage: Stage, choice: Choice) -> bool:
        broken = False
        for service, (_, path) in choice.ways.items():
            radius = choice.table.need.heater.vent.pipe_radius_mm if service is Service.VENT else 0
            for obstacle in stage.hits(path.states, radius, self.ground.obstacles):
                broken |= self.active.add_obstacle(radius, obstacle, self.ground.sheets)
        return broken


def first_planes(ground: Ground) -> Planes:
    """Planes of the sheets and of every end."""
    planes = base_planes(ground.sheets)
    for service in sorted(ground.ends):
        add_anchor_planes(planes, ground.sheets, ground.ends[service].every)
    return planes
