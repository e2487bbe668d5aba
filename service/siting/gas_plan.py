"""Every way of giving one heater gas: delivery pressure, zone, branch pipe, and what must be renewed for it.

A *tapping* prices all anchors at once for one branch pipe, so the search spreads one field for it. Tappings of one
run differ in the length that pipe is held to, and rise in cost with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from service.design import Service
from service.piping.feeds import Feed, feeds_of
from service.piping.lengths import TABLES, reach_mm
from service.piping.network import Network
from service.piping.options import Option, branch_options
from service.piping.pressure_taps import PressureTaps, Step, branch_room_mm
from service.piping.taps import Carrier, TapCost, TapTree, carriers_of
from service.routing.ends import Anchor
from service.routing.fields import Floats
from service.routing.lattice import Bools
from service.siting.tariffs import tariff_of
from service.survey.equipment import Heater, PriceBook
from service.survey.model import GasFittings, GasMethod, Survey
from service.trades.gas_pipe import elbow_mm, tee_mm


@dataclass(frozen=True, slots=True)
class Place:
    """An anchor on the tree: the carrier it stands for, and how far along a cut pipe [mm]."""

    carrier: Carrier
    cut_mm: int


Places = tuple[Place | None, ...]


@dataclass(frozen=True, slots=True)
class Tapping:
    """One branch pipe from every anchor. Arrays have shape (anchors,): ``units`` of the works there [money units],
    inf where it cannot be; ``upstream`` run before the tap and ``room`` for the branch with its fittings [mm].
    ``costs`` by anchor as a length method finds them, empty for the pressure method."""

    feed: Feed
    branch: Option
    bend_mm: int
    tee_mm: int
    places: Places
    costs: tuple[TapCost | None, ...]
    units: Floats
    upstream: Floats
    room: Floats

    @property
    def shut(self) -> Bools:
        """Anchors that cannot be tapped."""
        return np.asarray(~np.isfinite(self.units))

    @property
    def limit_mm(self) -> float:
        """Longest run with the branch from any anchor [mm]."""
        return float((self.upstream + self.room)[~self.shut].max(initial=0.0))

    def extra(self, anchors: Sequence[Anchor]) -> Floats:
        """What to add to an anchor's own upstream length so that one limit serves all anchors [mm]."""
        developed = np.array([a.upstream_mm for a in anchors], dtype=float)
        return np.where(self.shut, np.inf, self.limit_mm - self.room - developed + self.tee_mm)


class GasPlan:
    """All ways of giving one heater gas."""

    def __init__(self, survey: Survey, heater: Heater) -> None:
        """Find the zones that can feed the heater; nothing is priced yet."""
        self.supply, self.prices, self.heater = survey.gas, survey.prices, heater
        self.feeds = feeds_of(survey.gas, survey.site.gas, survey.prices, heater)
        input_w = heater.input_max_w
        if survey.gas.method is GasMethod.PRESSURE:
            self._pressures = [PressureTaps(f.network, survey.prices, input_w) for f in self.feeds]
        else:
            self._trees = [TapTree(f.network, survey.prices, survey.gas.method, input_w) for f in self.feeds]

    @property
    def is_rigid(self) -> bool:
        """Whether the sizes of old pipe are chosen exactly: always, unless their fittings are counted."""
        return self.supply.method is GasMethod.PRESSURE or all(t.is_rigid for t in self._trees)

    @property
    def can_be_tapped(self) -> bool:
        """Whether gas may be had anywhere, for a branch of no length."""
        ends = ((i, c) for i, f in enumerate(self.feeds) for c in carriers_of(f.network, f.zone) if not c.cut)
        if self.supply.method is GasMethod.PRESSURE:
            return any(self._pressures[i].steps(c, 0) for i, c in ends)
        materials = self.supply.branch_materials
        return any(self._trees[i].cost(c, mm) for i, c in ends for m in materials for _, mm in self._steps(i, m))

    @property
    def is_orderly(self) -> bool:
        """Whether costs, pipe and elbows rise along every run of tappings."""
        options = [branch_options(self.prices, m) for m in self.supply.branch_materials]
        return self.is_rigid and all(len(list(_not_undercut(o, self.prices))) <= 1 for o in options)

    def runs(self, anchors: Sequence[Anchor]) -> Iterator[Iterator[Tapping]]:
        """Tappings for these anchors by rising cost, a run for each feed and branch material; by the pressure method
        for each branch size."""
        for i, feed in enumerate(self.feeds):
            places = _places(feed, anchors)
            for material in self.supply.branch_materials:
                if self.supply.method is GasMethod.PRESSURE:
                    yield from self._by_pressure(i, material, places)
                else:
                    yield self._by_length(i, material, places)

    def _by_length(self, index: int, material: str, places: Places) -> Iterator[Tapping]:
        """A tapping for each length at which a size gives out; of those with equal costs the longest."""
        tree, waiting = self._trees[index], None
        carriers = {p.carrier for p in places if p}
        for branch, held in self._steps(index, material):
            costs = {c: tree.cost(c, held) for c in carriers}
            if waiting and (branch, costs) != waiting[::2]:
                yield self._held(index, places, *waiting)
            waiting = branch, held, costs
        if waiting:
            yield self._held(index, places, *waiting)

    def _steps(self, index: int, material: str) -> Iterator[tuple[Option, int]]:
        """Branch options with the lengths that they may be held to, by rising length."""
        feed, by_table = self.feeds[index], self.supply.method in TABLES
        reach = {
            o: reach_mm(o.material, o.size, self.heater.input_max_w, feed.terms, by_table)
            for o in branch_options(self.prices, material)
        }
        most = max(reach.values(), default=0)
        lengths = {*self._trees[index].reaches(feed.zone), *reach.values()}
        for held in sorted(mm for mm in lengths if 0 < mm <= most):
            yield from ((o, held) for o in _not_undercut((o for o in reach if reach[o] >= held), self.prices))

    def _held(
        self, index: int, places: Places, branch: Option, held_mm: int, found: dict[Carrier, TapCost | None]
    ) -> Tapping:
        """The tapping of one branch, with all runs held to a length."""
        costs = tuple(found[p.carrier] if p else None for p in places)
        pairs = [(c, p.cut_mm) if c and p else None for c, p in zip(costs, places, strict=True)]
        units = [pair and pair[0].units_at(pair[1]) for pair in pairs]
        upstream = np.array([pair[0].upstream_mm + pair[1] if pair else 0 for pair in pairs], dtype=float)
        return self._tapping(index, branch, places, costs, units, upstream, held_mm - upstream)

    def _by_pressure(self, index: int, material: str, places: Places) -> Iterator[Iterator[Tapping]]:
        """A run for each branch size: a tapping for each step of the places' staircases, the cheapest first."""
        taps = self._pressures[index]
        steps = [taps.steps(p.carrier, p.cut_mm)[::-1] if p else () for p in places]
        upstream = np.array([taps.upstream_mm(p.carrier, p.cut_mm) if p else 0 for p in places], dtype=float)
        for branch in branch_options(self.prices, material):
            yield self._steps_of(index, branch, places, steps, upstream)

    def _steps_of(
        self, index: int, branch: Option, places: Places, steps: list[tuple[Step, ...]], upstream: Floats
    ) -> Iterator[Tapping]:
        feed = self.feeds[index]
        for k in range(max((len(s) for s in steps), default=0)):
            at = [s[k] if k < len(s) else None for s in steps]
            room = [branch_room_mm(feed, branch, self.heater, a[0]) if a else 0 for a in at]
            units = [a[1] if a and r > 0 else None for a, r in zip(at, room, strict=True)]
            yield self._tapping(index, branch, places, (), units, upstream, np.array(room, dtype=float))

    def _tapping(
        self, index: int, branch: Option, places: Places, costs: tuple[TapCost | None, ...],
        units: Sequence[int | None], upstream: Floats, room: Floats,
    ) -> Tapping:  # fmt: skip
        feed, counted = self.feeds[index], self.supply.fittings is GasFittings.COUNTED
        bend, tee = (f(branch.material, branch.size) if counted else 0 for f in (elbow_mm, tee_mm))
        priced = np.array([np.inf if u is None else float(u + feed.units) for u in units], dtype=float)
        return Tapping(feed, branch, bend, tee, places, costs, priced, upstream, room)


def _not_undercut(options: Iterable[Option], prices: PriceBook) -> Iterator[Option]:
    """The smallest, and larger ones whose elbows are cheaper."""
    least: int | None = None
    for option in options:
        bend = tariff_of(prices, Service.GAS, option.name).bend
        if least is None or bend < least:
            least = bend
            yield option


def _places(feed: Feed, anchors: Sequence[Anchor]) -> Places:
    """Where on a feed's tree each anchor lies, None outside its zone."""
    network = feed.network
    carriers = {(c.pipe, c.cut): c for c in carriers_of(network, feed.zone)}
    pipes = {p.segment.id: i for i, p in enumerate(network.pipes)}
    found = ((a, *_pipe_and_cut(network, pipes, a)) for a in anchors)
    cuts = [(pipe, cut, cut > 0) for _, pipe, cut in found]
    known = ((carriers.get((pipe, inside)), cut) for pipe, cut, inside in cuts)
    return tuple(None if carrier is None else Place(carrier, cut) for carrier, cut in known)


def _pipe_and_cut(network: Network, pipes: dict[str, int], anchor: Anchor) -> tuple[int, int]:
    """Pipe that an anchor stands on, and how far along it; 0 for the node at its end (pipe -1: the delivery)."""
    nodes = network.into
    if anchor.end_id == network.supply.delivery_node or anchor.end_id in nodes:
        return nodes.get(anchor.end_id, -1), 0
    pipe = network.pipes[pipes[anchor.end_id]]
    start = sum(network.pipes[i].segment.length_mm for i in network.way(pipe.parent))
    cut = anchor.upstream_mm - start
    if cut <= 0:
        return pipe.parent, 0
    return pipes[anchor.end_id], cut if cut < pipe.segment.length_mm else 0
