"""The lazy search: solve without what the rules forbid, cut in what the optimum breaks, repeat.

A relaxed optimum that breaks nothing is the optimum. Costs are whole money units until the bill.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable

import numpy as np

from service.deadline import OutOfTime, ending_when, look
from service.design import Service
from service.progress import Progress, step, tell
from service.routing.planes import Planes
from service.siting.active import Active
from service.siting.assemble import choice_at, design_of
from service.siting.bounds import Bounds
from service.siting.broken import mount_broken, routes_broken, terminal_broken
from service.siting.eager import activate_everything, bar, in_force
from service.siting.ground import Ground, first_planes
from service.siting.limits import LIMIT_OF, MOST_TIGHT_PLANES, add_tight_planes, tighten, tighten_hidden
from service.siting.master import columns_of, cross_check
from service.siting.needs import Need
from service.siting.outcome import Found, Outcome
from service.siting.regions import RegionsOf
from service.siting.rehearsal import Rehearsals
from service.siting.stage import Budget, Stage
from service.siting.table import Table, cheapest_of, least_of, least_parts
from service.siting.ways import Regions
from service.siting.zones import Zones

MAX_ROUNDS = 80
REROUTES_A_ROUND = 24
START_SURFACES = 12
START_BUDGET = 1.1
"""How far above the bound a first lawful design is looked for."""


def search(
    ground: Ground, zones: Zones, count: int, deadline: float, clock: Callable[[], float] = time.monotonic,
    eager: bool = False, extra_planes: Iterable[tuple[int, int]] = (), ceiling: float = np.inf,
    carried: Planes | None = None,
) -> Outcome:  # fmt: skip
    """Up to ``count`` cheapest designs, each on a mounting wall, or outdoors on a facade, of its own.

    ``deadline`` is in the clock's seconds; past it the outcome holds what was proven so far. ``eager``
    cuts everything in at the start, ``extra_planes`` adds (axis, coordinate [mm]) pairs: neither may
    change the cost. Without a design there is none below the ``ceiling`` [money units]. What limits made critical in
    other searches of the house is taken from planes ``carried``.
    """
    work = _Search(ground, zones, deadline, clock)
    work.extra, work.eager, work.ceiling, work.carried = list(extra_planes), eager, ceiling, carried or Planes()
    return work.run(count)


class _Search:
    """Two lazy loops in one: heaters enter when their bound could win, rules when they are broken."""

    def __init__(self, ground: Ground, zones: Zones, deadline: float, clock: Callable[[], float]) -> None:
        self.ground, self.zones, self.deadline, self.clock = ground, zones, deadline, clock
        self.extra: list[tuple[int, int]] = []
        self.eager, self.ceiling, self.carried = False, np.inf, Planes()
        self.outcome = Outcome()
        self.banned: list[int] = []
        self.bounds = Bounds(ground.needs, len(ground.sheets.walls) + len(ground.building.facades))
        self.regions: dict[int, RegionsOf] = {}
        self.least: dict[int, dict[Service, float]] = {}  # what each service costs a heater anywhere at least
        self.rehearsals: Rehearsals  # made with the bounds
        self.actives: dict[int, Active] = {}
        self.lawful: Found | None = None
        self.rehearsed: set[int] = set()  # heaters, for the design that is looked for
        self.hope = np.inf  # what a first design of the heater that is looked at may cost, by its rehearsal
        self.finished: set[int] = set()  # heaters with nothing better to offer
        self.bites: dict[int, float] = {}
        # surfaces on which a limit made places critical, by heater: bounds know nothing of these yet
        self.again: dict[int, tuple[int, ...]] = {}

    def run(self, count: int) -> Outcome:
        """Find designs until there are enough, none is left, or time is up."""
        if self.ground.needs:
            step("bounding every heater on every wall")
            with ending_when(self._time_is_up):
                self._search(count)
        return self._closed()

    def _search(self, count: int) -> None:
        try:
            self._bound_all()
            while len(self.outcome.designs) < count and (found := self._rank()) is not None:
                self._accept(found)
        except OutOfTime:
            self.outcome.cut_off = True

    def _closed(self) -> Outcome:
        """Fall back on the best lawful design if time ran out before the first proof."""
        out = self.outcome
        out.actives = self.actives
        if not out.designs:
            out.bound_units = self._bound()
            out.limited = min(self.bites.values(), default=np.inf) < self.ceiling
            if out.cut_off and self.lawful is not None:
                out.designs, out.cost_units = [self.lawful.design], self.lawful.units
        return out

    def _bound(self) -> float:
        """What no design undercuts: the least bound of heaters not looked through, or the best lawful design."""
        bounds = self.bounds.open(self.banned)
        if self.outcome.cut_off:
            bounds[sorted(self.finished)] = self._most()
        return float(bounds.min(initial=np.inf))

    def _accept(self, found: Found) -> None:
        out = self.outcome
        if not out.designs:
            out.cost_units = out.bound_units = found.units
            out.check = cross_check(found.columns)
            out.limited = min(self.bites.values(), default=np.inf) < found.units
        out.designs.append(found.design)
        self.banned.append(found.surface)

    def _bound_all(self) -> None:
        """Bounds of every heater on every wall and facade, from one relaxed stage; those behind others share theirs."""
        look()
        needs = self.ground.needs
        ahead = [h for h, need in enumerate(needs) if need.behind is None]
        stage = Stage(self.ground, self._fresh(None), tuple(needs[h] for h in ahead), loose=True, in_part=True)
        tables = dict(zip(ahead, stage.tables, strict=True))
        shared = {h: tables[h if need.behind is None else need.behind] for h, need in enumerate(needs)}
        self.rehearsals = Rehearsals(stage, shared)
        for h, table in tables.items():
            self.bounds.keep(h, table, np.inf)

    def _bound_closer(self, h: int) -> None:
        """Look at all that a heater takes, in whose bound so far some of it costs next to nothing."""
        table = self.rehearsals.tables[h]
        self.rehearsals.stage.complete(table)
        self.bounds.keep(h, table, np.inf)
        for k in (k for k, other in self.rehearsals.tables.items() if other is table):
            self.least[k], self.regions[k] = least_parts(table), RegionsOf(table)

    def _fresh(self, need: Need | None) -> Active:
        active = Active(first_planes(self.ground, self.ground.needs if need is None else (need,), self.extra))
        active.planes.take(self.carried, LIMIT_OF)
        self.zones.hold(self.ground, active, need)
        if any(self.ground.pressures.values()):
            bar(self.ground, active, (0,))
        if self.eager and need is not None:
            activate_everything(self.ground, self.zones, active, need)
        return active

    def _rank(self) -> Found | None:
        """Cheapest design on the walls and facades still open, over all heaters; None if there is none or no time.

        The heater whose bound is least is looked at closer, a round at a time, until every bound has
        reached the best lawful design.
        """
        self.lawful = None
        self.finished.clear()
        self.rehearsed.clear()
        while self.outcome.rounds < MAX_ROUNDS and not self._time_is_up():
            bounds = self.bounds.open(self.banned)
            bounds[sorted(self.finished)] = np.inf
            h = int(np.argmin(bounds))
            if bounds[h] == np.inf or bounds[h] >= self._most():
                if not self.again:
                    return self.lawful
                h = min(self.again)
            if h not in self.regions:
                self._bound_closer(h)
            elif self._advance(h):
                self.finished.add(h)
            tell(self._moment)
        self.outcome.cut_off = True
        return None

    def _moment(self) -> Progress:
        most = None if self.lawful is None else self.lawful.units
        least, out = self._bound(), self.outcome
        return Progress("searching", out.rounds, len(out.designs), most, None if least == np.inf else least)

    def _advance(self, h: int) -> bool:
        """One round for one heater; True once it is known that it has nothing better to offer."""
        self._begin(h)
        try:
            return self._looked_at(h)
        finally:
            self.hope = np.inf

    def _begin(self, h: int) -> None:
        """Rehearse a heater, once for each design; with neither design nor hope start from a lawful one."""
        need = self.ground.needs[h]
        if is_new := h not in self.actives:
            self.actives[h] = self._fresh(need)
        if h not in self.rehearsed and not self.eager and need.behind is None:
            self.rehearsed.add(h)
            self.hope = self.rehearsals.learn(h, self.actives[h], self.zones, self.banned, self._most())
        if self.lawful is None and self.hope == np.inf and (is_new or self.ceiling == np.inf):
            self._start(h)

    def _looked_at(self, h: int) -> bool:
        regions = self.regions[h].at({*self._surfaces_of(h), *self.again.pop(h, ())}, self._most())
        if not regions.hubs:
            return self.hope == np.inf
        stage = self._stage(h, regions)
        bound, tight = least_of(stage.tables, self.banned), stage.active.tight.total()
        found, broken = self._round(stage)
        self._keep_lawful(found)
        if not broken:
            self.bounds.keep_behind(h, stage.tables[0], stage.budget.units)
        if found is not None and stage.active.tight.total() > tight:
            self.again[h] = (found.surface,)
            return False
        if found is None:
            return not broken and self.hope == np.inf
        return not broken or found.units <= bound

    def _start(self, h: int) -> None:
        """A lawful design from few planes, with every rule and obstacle in force, if one is at hand."""
        need = self.ground.needs[h]
        budget = Budget(START_BUDGET * float(self.bounds.open(self.banned)[h]), self.least[h])
        surfaces = self._surfaces_of(h)
        surfaces = sorted(sorted(surfaces, key=lambda w: (self.bounds.least[h, w], w))[:START_SURFACES])
        regions = self.regions[h].at(surfaces, budget.units)
        if regions.hubs:
            active = in_force(self.ground, self.zones, self.actives[h], need, sorted(regions.hubs))
            found, _ = self._round(Stage(self.ground, active, (need,), budget=budget, regions=regions))
            self._keep_lawful(found)
            if self.actives[h].planes.take(active.planes, LIMIT_OF) and found is not None:
                self.again[h] = (found.surface,)

    def _surfaces_of(self, h: int) -> list[int]:
        """Walls, or facades, on which a heater may still beat the best lawful design."""
        return [w for w in self.bounds.within(h, self._most()) if w not in self.banned]

    def _most(self) -> float:
        """Above this no design is of use [money units]."""
        return min(self.hope, self.ceiling, np.inf if self.lawful is None else self.lawful.units)

    def _keep_lawful(self, found: Found | None) -> None:
        best = np.inf if self.lawful is None else self.lawful.units
        if found is not None and found.units <= self.ceiling and found.units < best:
            self.lawful = found

    def _time_is_up(self) -> bool:
        return self.clock() >= self.deadline

    def _stage(self, h: int, regions: Regions) -> Stage:
        """Build a round and keep the bounds it proves."""
        most = self._most()
        budget = None if most == np.inf else Budget(most, self.least[h])
        stage = Stage(self.ground, self.actives[h], (self.ground.needs[h],), budget=budget, regions=regions)
        self.bites[h] = stage.bite
        self.bounds.keep(h, stage.tables[0], most)
        out = self.outcome
        out.rounds, out.states = out.rounds + 1, max(out.states, stage.states)
        out.planes = max(out.planes, self.actives[h].planes.count)
        return stage

    def _round(self, stage: Stage) -> tuple[Found | None, bool]:
        """Take the cheapest hubs in turn until one is lawful; tell whether any broke something new."""
        broken, reroutes = False, 0
        while reroutes < REROUTES_A_ROUND and not self._time_is_up():
            place = cheapest_of(stage.tables, self.banned)
            if place is None or float(place[0].total[place[1]]) > self._most():
                return None, broken | any(tighten_hidden(stage, table, self._most()) for table in stage.tables)
            table, hub = place
            moved, tight = self._settled(stage, table, hub)
            broken |= tight
            if moved:
                continue
            if mount_broken(stage, self.zones, table, hub):
                broken = True
                continue
            choice = choice_at(table, hub)
            if wrong := terminal_broken(stage, self.zones, choice) or routes_broken(stage, choice):
                broken, reroutes = True, reroutes + 1
                stage.reroute(wrong)
                continue
            broken |= tighten(stage, table, hub)
            units, surface = float(table.total[hub]), int(table.hubs.surface[hub])
            return Found(units, surface, design_of(stage, choice), columns_of(stage.tables)), broken
        return None, True

    def _settled(self, stage: Stage, table: Table, hub: int) -> tuple[bool, bool]:
        """Make a hub's offers exact; tell whether its total moved and whether new planes came of it."""
        before, tight = float(table.total[hub]), False
        for service, offer in table.offers.items():
            if not offer.chosen(hub).settled[hub]:
                if stage.active.tight[service, False] >= MOST_TIGHT_PLANES:
                    # no such place makes another critical: all go at once
                    offer.close_beyond()
                    table.raise_total()
                if offer.settle(hub, self._time_is_up, table.room(hub, service, self._most())):
                    table.raise_total()
                tight |= add_tight_planes(stage, table, hub, service)
        table.refresh(hub)
        return float(table.total[hub]) != before, tight
