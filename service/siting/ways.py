"""Ways through the house for every service: a lattice and the fields spread on it, made as they are asked for."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from dataclasses import replace
from functools import partial
from itertools import pairwise, tee

import numpy as np

from service.clearance.model import spec_of
from service.deadline import look
from service.design import NO_EXPOSED_VENT, Service
from service.routing.fields import Field, least_used, spread
from service.routing.lattice import Bools, Lattice, build_lattice
from service.routing.obstacles import Obstacle
from service.routing.planes import Ints
from service.routing.roof import in_the_way
from service.routing.sources import Charges, Entries, anchors_on, entries_of, tail_states
from service.routing.tariff import Floats, Sources, Tariff
from service.siting.active import Active
from service.siting.gas_plan import GasPlan, Tapping
from service.siting.ground import Ground
from service.siting.offers import Track
from service.siting.roof import Ends, ends_of
from service.siting.tariffs import dearer, tariff_of
from service.siting.terminals import Outlets, outlets_of
from service.survey.equipment import Heater


class Ways:
    """Lattice for the planes at hand and the closed ``heights``; ``ceilings`` are costs [money units]
    above which a service's routes need not be known; ``shut_outlets`` were found unlawful this round."""

    def __init__(self, ground: Ground, active: Active, heights: Ints, outdoors: bool = False) -> None:
        self.ground, self.active, self.heights = ground, active, heights
        cuts = (active.planes.coordinates(0), active.planes.coordinates(1), heights)
        self.anchors = {
            s: anchors_on(cuts, ground.sheets, e.anchors, e.lines, outdoors) for s, e in sorted(ground.ends.items())
        }
        tails = [t for anchors in self.anchors.values() for t in tail_states(anchors)]
        self.lattice: Lattice = build_lattice(ground.sheets, active.planes, heights, tails, outdoors)
        self.outlets: Outlets = outlets_of(ground.building, ground.sheets, self.lattice)
        self.ceilings: dict[Service, float] = {}
        self.shut_outlets = {key: self.outlets.at(places) for key, places in active.shut.items()}
        self._entries: dict[Service, Entries] = {}
        self._tracks: dict[Hashable, Track] = {}
        self._lengths: dict[Hashable, Floats] = {}
        self._closed: dict[int, Bools] = {}
        self._ends: dict[tuple[str, str], Ends] = {}
        self._tappings: dict[int, list[Iterator[Tapping]]] = {}

    def ends(self, heater: Heater) -> Ends:
        """What a heater's vent may end in, worked out once."""
        key = heater.id, heater.vent.system
        if key not in self._ends:
            self._ends[key] = ends_of(self.ground.survey, self.ground.building, heater, spec_of(heater))
        return self._ends[key]

    def unbarred(self, heater: Heater, free: Bools) -> Bools:
        """Those of the free outlets from which a heater's vent meets nothing on its way out; in walls that is all."""
        out, radii = self.outlets, (heater.vent.pipe_radius_mm, heater.vent.terminal_radius_mm)
        return free & ~in_the_way(self.ground.building, radii, (out.wall, out.facade, out.s, out.z))

    def forget_obstacles(self) -> None:
        """Look at the active obstacles anew."""
        self._closed.clear()

    def tappings(self, plan: GasPlan) -> list[Iterator[Tapping]]:
        """Runs of tappings of a plan from this lattice's anchors; what was made of them before is not made again."""
        known = self._tappings.get(id(plan)) or list(plan.runs(self.anchors[Service.GAS]))
        self._tappings[id(plan)], runs = map(list, zip(*map(tee, known), strict=True)) if known else ([], [])
        return runs

    def ended(
        self, service: Service, option: str, one_way: int, flat_only: bool = False, charges: Charges | None = None
    ) -> Track:
        """Routes of a service that ends at existing things, at what it costs to end there."""
        tariff = self._tariff(service, option, one_way)

        def sources() -> Sources:
            if service not in self._entries:
                self._entries[service] = entries_of(self.lattice, self.anchors[service])
            return self._entries[service].priced(tariff, charges)

        asked: tuple[Hashable, Hashable] = None, None
        if charges is not None:
            at = charges.anchors.tobytes()
            asked = (at, charges.units.tobytes()), (at, np.isfinite(charges.units).tobytes())
        bend = {Service.GAS: self.ground.gas_bend_mm, Service.HOT: self.ground.hot_bend_mm}.get(service, 0)
        return self.track((service, option, asked[0]), tariff, 0, sources, None, bend, flat_only, (service, asked[1]))

    def _tariff(self, service: Service, option: str, one_way: int) -> Tariff:
        """What a run pays, its price on waiting included."""
        tariff, waiting = tariff_of(self.ground.survey.prices, service, option, one_way), self.ground.waiting
        tariff = replace(tariff, passing=self.ground.passages(service))
        return tariff if waiting is None or service is not Service.HOT else dearer(tariff, waiting.per_mm(option))

    def track(
        self, key: tuple[Hashable, ...], tariff: Tariff, radius_mm: int, sources: Callable[[], Sources],
        shut: Bools | None, bend_mm: float, flat_only: bool = False, shared: Hashable = None,
    ) -> Track:  # fmt: skip
        """Routes from given sources, made once for each key; ``shut`` closes arcs besides obstacles. Tracks with
        the same ``shared`` key have equal lengths."""
        blocked = len(self.active.obstacles.get(radius_mm, ()))
        if (key, blocked) not in self._tracks:
            look()
            closed = self._closed_for(radius_mm) if shut is None else self._closed_for(radius_mm) | shut
            assert isinstance(key[0], Service)
            field = spread(self.lattice, tariff, closed, sources(), self.ceilings.get(key[0], np.inf))
            same = (key if shared is None else shared, flat_only, tariff.one_way, frozenset(tariff.per_mm), blocked)
            shortest = partial(_shortest, self._lengths, same, field, bend_mm, flat_only)
            self._tracks[key, blocked] = Track(field, shortest, flat_only)
        return self._tracks[key, blocked]

    def _closed_for(self, radius_mm: int) -> Bools:
        if radius_mm not in self._closed:
            closed = np.zeros(len(self.lattice.arcs.a), dtype=bool)
            for obstacle in self.active.obstacles.get(radius_mm, []):
                closed |= obstacle.blocks(self.lattice)
            self._closed[radius_mm] = closed
        return self._closed[radius_mm]

    def hits(
        self, states: tuple[int, ...], radius_mm: int, obstacles: tuple[Obstacle, ...], closed: Bools
    ) -> list[Obstacle]:
        """Obstacles that a chain of states runs through. Where two walls meet an arc lies on both; one that was
        ``closed`` when the chain was found is not the one it takes."""
        arcs = self._arcs_between(states)
        arcs = arcs[~closed[arcs]]
        sheet, box = self.lattice.arcs.sheet[arcs], self.lattice.box[:, arcs]
        return [o for o in obstacles if o.grown(radius_mm).meets(sheet, box).any()]

    def _arcs_between(self, states: tuple[int, ...]) -> Ints:
        lattice, n = self.lattice, len(self.lattice.arcs.a)
        out = []
        for u, v in pairwise(states):
            row = slice(lattice.indptr[u], lattice.indptr[u + 1])
            out += [int(k) % n for k in lattice.perm[row][lattice.indices[row] == v] if k < 2 * n]
        return np.array(out, dtype=np.int64)

    def exposed(self) -> Bools:
        """Arcs on walls that may carry no open vent."""
        rooms = self.ground.building.rooms
        refused = [w.index for w in self.ground.sheets.walls if rooms[w.room].use in NO_EXPOSED_VENT]
        return np.isin(self.lattice.arcs.sheet, refused)


def _shortest(
    known: dict[Hashable, Floats], key: Hashable, field: Field, bend_mm: float, flat_only: bool, extra: Floats,
    bends: bool,
) -> Floats:  # fmt: skip
    """Least equivalent lengths of a field, ``bends`` counted or not, computed once for all fields that share a key and
    extras."""
    each_mm = bend_mm if bends else 0
    full = (key, extra.tobytes(), each_mm)
    if full not in known:
        known[full] = least_used(field, each_mm, extra, flat_only)
    return known[full]
