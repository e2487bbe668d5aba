"""Ways through the house for every service: a lattice and the fields spread on it, made as they are asked for."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, partial
from itertools import chain, pairwise, tee

import numpy as np

from service.clearance.model import spec_of
from service.deadline import look
from service.design import NO_EXPOSED_VENT, Service
from service.routing.columns import EVERYWHERE, Boxes, cuts_of, union
from service.routing.ends import Anchor
from service.routing.fields import Field, least_used, spread
from service.routing.house_grids import sheet_of
from service.routing.lattice import Bools, Lattice, build_lattice
from service.routing.obstacles import Obstacle, blocked
from service.routing.planes import Ints, Lines
from service.routing.roof import in_the_way
from service.routing.sources import Charges, Entries, entries_of, tail_states
from service.routing.tariff import Floats, Sources, Tariff
from service.siting.active import Active
from service.siting.gas_plan import GasPlan, Tapping
from service.siting.ground import Ground
from service.siting.roof import Ends, ends_of
from service.siting.tariffs import dearer, tariff_of
from service.siting.terminals import NO_OUTLETS, Outlets, lines_of, outlets_of
from service.siting.tracks import Track
from service.survey.equipment import Heater


@dataclass(frozen=True, slots=True)
class Regions:
    """``sheets``: what runs may lie on, by service, None for all. ``hubs``: where the case may hang, by surface: from
    and to along it, and of the height of its manifold [mm]."""

    sheets: Mapping[Service, Boxes] | None
    hubs: Boxes


TOGETHER = ((Service.VENT,), (Service.POWER,), (Service.HOT, Service.COLD, Service.DRAIN, Service.GAS))
"""Services that share a lattice: pipes lie about the same places, a vent keeps to fewer and a cable strays farther."""

FREE_BENDS = (Service.POWER,)
"""Whose runs bend for nothing."""


class Ways:
    """Lattices for the planes at hand and the closed ``heights``: one for all services or, with ``regions``,
    smaller ones for those that go together. ``ceilings`` are costs [money units] above which a service's routes need
    not be known; ``shut_outlets`` were found unlawful this round."""

    def __init__(
        self, ground: Ground, active: Active, heights: Ints, outdoors: bool = False,
        regions: Regions | None = None,
    ) -> None:  # fmt: skip
        self.ground, self.active, self.heights = ground, active, heights
        self.cuts = cuts_of(ground.sheets, active.planes, heights, outdoors)
        self.anchors = {s: ground.tied(s).at(self.cuts.coordinates, outdoors) for s in sorted(ground.ends)}
        self.lattices = self._lattices(outdoors, regions)
        self.outlets: Outlets = self._outlets()
        self.ceilings: dict[Service, float] = {}
        self.shut_outlets = {key: self.outlets.at(places) for key, places in active.shut.items()}
        self.vents: dict[Hashable, Sources] = {}  # outlets that are open to a kind of vent
        self._lines: dict[int, Lines] = {}
        self._entries: dict[Service, Entries] = {}
        self._tracks: dict[Hashable, Track] = {}
        self._lengths: dict[Hashable, Floats] = {}
        self._closed: dict[tuple[int, int], Bools] = {}
        self._ends: dict[tuple[str, str], Ends] = {}
        self._tappings: dict[int, list[Iterator[Tapping]]] = {}

    def _lattices(self, outdoors: bool, regions: Regions | None) -> dict[Service, Lattice]:
        sheets, tails = self.ground.sheets, {s: tail_states(anchors) for s, anchors in self.anchors.items()}
        if regions is None or regions.sheets is None:
            whole = build_lattice(sheets, self.cuts, chain(*tails.values()), outdoors)
            return dict.fromkeys(Service, whole)
        made: dict[Service, Lattice] = {}
        for group in TOGETHER:
            present = [s for s in group if s in regions.sheets]
            if present:
                part = union(regions.sheets[s] for s in present)
                part = {**part, **under_roof(self.ground)} if Service.VENT in group else part
                ends = chain.from_iterable(tails.get(s, ()) for s in present)
                free = group == FREE_BENDS
                made |= dict.fromkeys(present, build_lattice(sheets, self.cuts, ends, outdoors, part, free))
        self.anchors = {s: _met(made[s], found) for s, found in self.anchors.items() if s in made}
        return made

    def _outlets(self) -> Outlets:
        """Where the vent may leave the house; a heater outdoors has none."""
        lattice, ground = self.lattices.get(Service.VENT), self.ground
        return NO_OUTLETS if lattice is None else outlets_of(ground.building, ground.sheets, self.cuts, lattice)

    def lines(self, facade: int) -> Lines:
        """Lines of a whole facade or roof plane, which hold for whatever part of the house is looked at."""
        if facade not in self._lines:
            self._lines[facade] = lines_of(
                self.ground.building, self.ground.sheets, self.cuts, self.outlets, facade
            )
        return self._lines[facade]

    @property
    def states(self) -> int:
        """Number of states of the largest lattice."""
        return max(lattice.count for lattice in self.lattices.values())

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
                self._entries[service] = entries_of(self.lattices[service], self.anchors[service])
            return self._entries[service].priced(tariff, charges)

        asked: tuple[Hashable, Hashable] = None, None
        if charges is not None:
            at = charges.anchors.tobytes()
            asked = (at, charges.units.tobytes()), (at, np.isfinite(charges.units).tobytes())
        water_mm = self.ground.water_bend_mm
        bend = {Service.GAS: self.ground.gas_bend_mm, Service.HOT: water_mm, Service.COLD: water_mm}.get(service, 0)
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
            assert isinstance(key[0], Service)
            lattice = self.lattices[key[0]]
            closed = self._closed_for(lattice, radius_mm)
            closed = closed if shut is None else closed | shut
            field = spread(lattice, tariff, closed, sources(), self.ceilings.get(key[0], np.inf))
            same = (key if shared is None else shared, flat_only, tariff.one_way, frozenset(tariff.per_mm), blocked)
            shortest = partial(_shortest, self._lengths, same, field, bend_mm, flat_only)
            self._tracks[key, blocked] = Track(field, shortest, flat_only)
        return self._tracks[key, blocked]

    def _closed_for(self, lattice: Lattice, radius_mm: int) -> Bools:
        key = id(lattice), radius_mm
        if key not in self._closed:
            self._closed[key] = blocked(lattice, self.active.obstacles.get(radius_mm, []))
        return self._closed[key]

    @cached_property
    def exposed(self) -> Bools:
        """Arcs on walls that may carry no open vent."""
        rooms = self.ground.building.rooms
        refused = [w.index for w in self.ground.sheets.walls if rooms[w.room].use in NO_EXPOSED_VENT]
        return np.isin(self.lattices[Service.VENT].arcs.sheet, refused)


def under_roof(ground: Ground) -> Boxes:
    """Sheets that are kept whole for vents: all from which one may go up, so that lines on the roof are those of the
    whole house."""
    building, sheets = ground.building, ground.sheets
    rooms = {i for i, r in enumerate(building.rooms) if any(r.id in plane.over for plane in building.roof)}
    found = [sheet_of(c) for c in sheets.ceilings if c.room_index in rooms]
    return dict.fromkeys([*found, *(w.index for w in sheets.walls if w.is_skew and w.room in rooms)], EVERYWHERE)


def hits(field: Field, states: tuple[int, ...], radius_mm: int, obstacles: tuple[Obstacle, ...]) -> list[Obstacle]:
    """Obstacles that a chain of a field's states runs through. Where two walls meet an arc lies on both; one that was
    closed when the chain was found is not the one it takes."""
    lattice, arcs = field.lattice, _arcs_between(field.lattice, states)
    arcs = arcs[~field.closed[arcs]]
    sheet, box = lattice.arcs.sheet[arcs], lattice.box[:, arcs]
    met = set(sheet.tolist())
    return [o for o in obstacles if o.sheet in met and o.grown(radius_mm).meets(box[:, sheet == o.sheet]).any()]


def _arcs_between(lattice: Lattice, states: tuple[int, ...]) -> Ints:
    n, out = len(lattice.arcs.a), []
    for u, v in pairwise(states):
        row = slice(lattice.indptr[u], lattice.indptr[u + 1])
        out += [int(k) % n for k in lattice.perm[row][lattice.indices[row] == v] if k < 2 * n]
    return np.array(out, dtype=np.int64)


def _met(lattice: Lattice, anchors: tuple[Anchor, ...]) -> tuple[Anchor, ...]:
    """Anchors that some arc of a lattice leads to."""
    table = np.array([(a.room, *a.point) for a in anchors], dtype=np.int64).reshape(-1, 4)
    there = lattice.has_arcs(lattice.keys.pack(*table.T))
    return tuple(a for a, is_met in zip(anchors, there.tolist(), strict=True) if is_met)


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
