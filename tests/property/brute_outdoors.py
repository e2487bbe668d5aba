"""Brute force outdoors: a listed heater before every grid place of every outer wall, judged by the checker."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

import numpy as np

from service.building.build import build
from service.building.model import Behind, Facade, Stretch
from service.check.outdoors import outdoor_findings
from service.check.terminal import terminal_findings
from service.design import MANIFOLD_DROP_MM, Design, GasWorks, Mount, Route, Service, Surface, Terminal
from service.survey.equipment import MONEY_SCALE
from service.survey.model import Survey
from tests.property.brute_force import Line, Places, broken, open_arcs, water_things
from tests.property.brute_force import cheapest as cheapest_in_rooms
from tests.property.brute_gas import GasRun
from tests.property.brute_offers import House, Run, Spot, other_offers
from tests.property.brute_routes import Mesh, turns
from tests.property.brute_surfaces import Arc, Node, Wall, obstacles_of


def cheapest(survey: Survey, also: Iterable[Line] = ()) -> tuple[int, Design] | None:
    """Money units and design of the best on the grid, in rooms or outdoors; None if nothing is lawful."""
    inside = replace(survey, heaters=tuple(h for h in survey.heaters if h.indoors))
    best, lines, building = cheapest_in_rooms(inside, also), tuple(also), build(survey)
    for heater in (h for h in survey.heaters if h.outdoor is not None and survey.site.fuel in h.fuels):
        if survey.drains or not heater.condensing:
            places = PlacesOutdoors(survey, building, heater, lines)
            best = places.best(best[0] if best else np.inf, lambda at: True) or best
    return best


class PlacesOutdoors(Places):
    """Every place before an outer wall for one heater. A spot is where its pipes come through the wall."""

    def _before(self) -> Iterator[tuple[Wall, Stretch, Facade]]:
        for w in self.walls:
            for t in w.face.stretches:
                if t.behind is Behind.OUTDOORS and t.facade_id is not None:
                    yield w, t, self.building.facade(t.facade_id)

    def _outer(self, w: Wall, facade: Facade, c: int, z: int) -> Node:
        """The node before a wall, of a room of its own."""
        rooms = len(self.building.rooms)
        at = (c, facade.start[1]) if w.axis == 0 else (facade.start[0], c)
        return (rooms + w.room, *at, z)

    def _spots(self) -> list[Spot]:
        found = []
        for w, t, _ in self._before():
            on = [c for c in self.grid.between(w.axis, w.lo, w.hi) if t.s0 <= w.along(c) <= t.s1]
            found += [Spot(w, c, z) for c in on for z in self.grid.between(2, w.face.z0, w.face.z1)]
        return found

    def _arcs(self) -> list[Arc]:
        through = []
        for w, t, facade in self._before():
            length = abs(w.plane - facade.start[1 - w.axis])
            for c in (c for c in self.grid.between(w.axis, w.lo, w.hi) if t.s0 <= w.along(c) <= t.s1):
                for z in self.grid.between(2, w.face.z0, w.face.z1):
                    ends = self._outer(w, facade, c, z), w.node(c, z)
                    through.append(Arc(*ends, 1 - w.axis, length, Surface.OUTER_WALL))
        return [*super()._arcs(), *through]

    def _house(self) -> House:
        arcs, obstacles = self._arcs(), obstacles_of(self.building, self.walls)
        mesh, thin = Mesh(arcs), open_arcs(arcs, obstacles, 0)
        starts = [mesh.state(self._outer(s.wall, self._facade(s)[0], s.c, s.z), 1 - s.wall.axis) for s in self.spots]
        manifolds = np.array(starts).reshape(-1, 1)
        return House(
            self.survey, self.building, self.walls, self.grid, mesh, self.heater, thin, thin, self.spots, manifolds,
            manifolds,
        )  # fmt: skip

    def _facade(self, spot: Spot) -> tuple[Facade, int]:
        """Facade before a spot, and the distance on it [mm]."""
        s = spot.wall.along(spot.c)
        t = next(t for w, t, _ in self._before() if w is spot.wall and t.s0 <= s <= t.s1)
        assert t.facade_id is not None
        return self.building.facade(t.facade_id), t.facade_s0 + s - t.s0

    def _offers(self) -> None:
        self.offers = other_offers(self._house())
        self.others = [o for o in self.offers if o.service is not Service.GAS]

    def _may_not_hang(self, spot: Spot) -> bool:
        bare = self._bare(spot)
        found = (f for judge in (outdoor_findings, terminal_findings) for f in judge(self.survey, self.building, bare))
        return bool(broken(found))

    def _ends_lawful(self, places: list[int]) -> bool:
        return True

    def _ended(self, bare: Design, vent: Run | GasRun) -> Design:
        return bare

    def _bare(self, spot: Spot) -> Design:
        (facade, s), bottom = self._facade(spot), spot.z + MANIFOLD_DROP_MM
        assert self.heater.outdoor is not None
        flue = Terminal(facade.id, s, bottom + self.heater.outdoor.flue.up_mm)
        works, mount = GasWorks(service_regulator=self.larger_regulator), Mount("", s, bottom, facade.id)
        items = water_things(self.survey)
        return Design(self.heater, mount, flue, (), False, self.larger_meter, (), 0, works, water_items=items)

    def _route(self, service: Service, run: Run | GasRun, spot: Spot) -> Route:
        return Route(service, run.option, run.end.id, run.pieces, turns(run.pieces), pumped=run.pumped)

    def _fixed(self, spot: Spot) -> int | None:
        keys = ["mount.hang", "mount.outdoors", "power.receptacle", "gas.tap", "gas.connection"]
        keys += ["water.tap", "water.connection"] * 2
        keys += ["gas.meter_upgrade"] * self.larger_meter + ["gas.service_regulator"] * self.larger_regulator
        keys += ["drain.connection", "drain.neutraliser"] * self.heater.condensing
        keys += [f"water.{item}" for item in water_things(self.survey)]
        each = sum(self.survey.prices[k].units_each for k in keys)
        return self.heater.price_cents * MONEY_SCALE + each
