"""Every way of giving one heater gas: delivery pressure, zone, branch pipe, and what must be renewed for it.

A *tapping* prices all anchors at once for one branch pipe, so the search spreads one field for it. Tappings of one
run differ in the length that pipe is held to, and rise in cost with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise, tee
from math import inf

import numpy as np

from service.design import Service
from service.piping.feeds import Feed, feeds_of
from service.piping.lengths import TABLES, reach_mm, without_end
from service.piping.network import Network
from service.piping.options import Option, branch_options
from service.piping.pressure_taps import PressureTaps, branch_rooms_mm
from service.piping.tap_costs import NOWHERE, TapCosts
from service.piping.taps import Carrier, TapTree, carriers_of
from service.piping.trees import losing_nothing
from service.routing.ends import Anchor
from service.routing.sources import Charges
from service.routing.tariff import Floats
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
Step = tuple[Option, int, TapCosts]


@dataclass(frozen=True, slots=True)
class Tapping:
    """One branch pipe from every anchor. ``charges``: works there, by anchor one (by length) or one for each step of
    its staircase (by pressure). Arrays have the shape of charges: ``upstream`` run before the tap and ``room`` for
    the branch with its fittings [mm], ``works`` as charged, but where there is no room too. ``tree`` and the length
    that runs are held to [mm] are a length method's, None and 0 for the pressure method. ``lifted`` as the plan's.
    """

    feed: Feed
    branch: Option
    bend_mm: int
    tee_mm: int
    places: Places
    tree: TapTree | None
    held_mm: int
    charges: Charges
    upstream: Floats
    room: Floats
    works: Floats
    lifted: bool

    @property
    def is_shut(self) -> bool:
        """Whether no anchor can be tapped."""
        return not np.isfinite(self.charges.units).any()

    def anchor_of(self, charge: int) -> int:
        """Index of the anchor that a charge is on."""
        return int(self.charges.anchors[charge])

    @property
    def limit_mm(self) -> float:
        """Longest run with the branch from any anchor [mm]."""
        is_open = np.isfinite(self.charges.units)
        return float((self.upstream + self.room)[is_open].max(initial=0.0))

    @property
    def least_units(self) -> Floats:
        """Least works at each anchor [money units], shape (anchors,), inf where it is shut."""
        least = np.full(len(self.places), np.inf)
        np.minimum.at(least, self.charges.anchors, self.charges.units)
        return least

    def extra(self, anchors: Sequence[Anchor]) -> Floats:
        """What to add to an anchor's own upstream length so that one limit serves all charges [mm]."""
        developed = np.array([a.upstream_mm for a in anchors], dtype=float)[self.charges.anchors]
        return np.asarray(self.limit_mm - self.room - developed + self.tee_mm)


class GasPlan:
    """All ways of giving one heater gas. ``most_mm``: no run of its zone may be longer, where the longest sizes all."""

    most_mm: float = inf

    def __init__(self, survey: Survey, heater: Heater, lifted: bool = False) -> None:
        """Find the zones that can feed the heater; nothing is priced yet. ``lifted``: the size that reaches farthest
        does so without end, by pressure that which loses least loses nothing, of the branch and of every pipe."""
        self.lifted = lifted
        self.supply, self.prices, self.heater = survey.gas, survey.prices, heater
        self.feeds = feeds_of(survey.gas, survey.site.gas, survey.prices, heater)
        self._merged: dict[tuple[int, str], Iterator[Step]] = {}
        input_w = heater.input_max_w
        if survey.gas.method is GasMethod.PRESSURE:
            self._pressures = [PressureTaps(f.network, survey.prices, input_w, lifted) for f in self.feeds]
        else:
            self._trees = [TapTree(f.network, survey.prices, survey.gas.method, input_w, lifted) for f in self.feeds]

    @cached_property
    def is_rigid(self) -> bool:
        """Whether the sizes of old pipe are chosen exactly: always, unless their fittings are counted."""
        return self.supply.method is GasMethod.PRESSURE or all(t.is_rigid for t in self._trees)

    @property
    def can_be_tapped(self) -> bool:
        """Whether gas may be had anywhere, for a branch of no length."""
        ends = ((i, c) for i, f in enumerate(self.feeds) for c in _carriers(f) if not c.cut)
        if self.supply.method is GasMethod.PRESSURE:
            return any(self._pressures[i].steps(c, 0) for i, c in ends)
        materials = self.supply.branch_materials
        return any(self._trees[i].cost(c, mm) for i, c in ends for m in materials for _, mm in self._steps(i, m))

    @cached_property
    def is_orderly(self) -> bool:
        """Whether costs, pipe and elbows rise along every run of tappings."""
        options = [branch_options(self.prices, m) for m in self.supply.branch_materials]
        return self.is_rigid and all(_rise(o, self.prices) for o in options)

    def runs(self, anchors: Sequence[Anchor]) -> Iterator[Iterator[Tapping]]:
        """Tappings for these anchors by rising cost, a run for each feed and branch material."""
        make = self._by_pressure if self.supply.method is GasMethod.PRESSURE else self._by_length
        for i, feed in enumerate(self.feeds):
            places = _places(feed, anchors)
            yield from (make(i, material, places) for material in self.supply.branch_materials)

    def _by_length(self, index: int, material: str, places: Places) -> Iterator[Tapping]:
        """A tapping for each step."""
        self._merged[index, material], steps = tee(self._merged.get((index, material)) or self._merge(index, material))
        numbers = {c: i for i, c in enumerate(_carriers(self.feeds[index]))}
        on = np.array([NOWHERE if p is None else numbers[p.carrier] for p in places], dtype=np.int64)
        cuts = np.array([0 if p is None else p.cut_mm for p in places], dtype=np.float64)
        return (self._held(index, places, branch, held, costs.at(on, cuts)) for branch, held, costs in steps)

    def _merge(self, index: int, material: str) -> Iterator[Step]:
        """Branch, length that runs are held to, and cost of each carrier, for each length at which a size gives out;
        of those with equal costs the longest."""
        feed, waiting = self.feeds[index], None
        carriers = _carriers(feed)
        for branch, held in self._steps(index, material):
            costs = self._trees[index].costs(carriers, held)
            if waiting and (branch, costs) != waiting[::2]:
                yield waiting
            waiting = branch, held, costs
        if waiting:
            yield waiting

    def _steps(self, index: int, material: str) -> Iterator[tuple[Option, int]]:
        """Branch options with the lengths that they may be held to, by rising length."""
        feed, by_table = self.feeds[index], self.supply.method in TABLES
        options, load_w = branch_options(self.prices, material), self.heater.input_max_w
        reaches = [reach_mm(o.material, o.size, load_w, feed.terms, by_table) for o in options]
        reach = dict(zip(options, without_end(reaches) if self.lifted else reaches, strict=True))
        most, rates = max(reach.values(), default=0), {o: _rates(o, self.prices) for o in options}
        lengths = {*self._trees[index].reaches(feed.zone), *reach.values()}
        if self.most_mm < inf:
            lengths.add(int(self.most_mm))
        for held in sorted(mm for mm in lengths if 0 < mm <= min(most, self.most_mm)):
            yield from ((o, held) for o in _not_undercut((o for o in reach if reach[o] >= held), rates))

    def _held(
        self, index: int, places: Places, branch: Option, held_mm: int, found: tuple[Floats, Floats]
    ) -> Tapping:
        """The tapping of one branch, with all runs held to a length: money units and run before the tap by place."""
        units, upstream = found
        charges = Charges(np.arange(len(places)), units + self.feeds[index].units)
        room = held_mm - upstream
        return self._tapping(index, branch, places, self._trees[index], held_mm, charges, upstream, room, charges.units)

    def _by_pressure(self, index: int, material: str, places: Places) -> Iterator[Tapping]:
        """A tapping for each branch size; each place is charged once for each step of its staircase."""
        feed, taps = self.feeds[index], self._pressures[index]
        steps = [(a, p, step) for a, p in enumerate(places) if p for step in taps.steps(p.carrier, p.cut_mm)]
        anchors = np.array([a for a, _, _ in steps], dtype=np.int64)
        lost = np.array([lost for _, _, (lost, _) in steps], dtype=np.int64)
        units = np.array([units + feed.units for _, _, (_, units) in steps], dtype=float)
        upstream = np.array([taps.upstream_mm(p.carrier, p.cut_mm) if p else 0 for p in places], dtype=float)[anchors]
        options = branch_options(self.prices, material)
        for branch in losing_nothing(options, self.heater.input_max_w, feed.terms) if self.lifted else options:
            room = branch_rooms_mm(feed, branch, self.heater, lost)
            charges = Charges(anchors, np.where(room > 0, units, np.inf))
            yield self._tapping(index, branch, places, None, 0, charges, upstream, room, units)

    def _tapping(
        self, index: int, branch: Option, places: Places, tree: TapTree | None, held_mm: int, charges: Charges,
        upstream: Floats, room: Floats, works: Floats,
    ) -> Tapping:  # fmt: skip
        counted = self.supply.fittings is GasFittings.COUNTED
        bend, tee = (f(branch.material, branch.size) if counted else 0 for f in (elbow_mm, tee_mm))
        return Tapping(
            self.feeds[index], branch, bend, tee, places, tree, held_mm, charges, upstream, room, works, self.lifted
        )  # fmt: skip


def _not_undercut(options: Iterable[Option], rates: Mapping[Option, tuple[int, int]]) -> Iterator[Option]:
    """The smallest, and larger ones that no smaller one undercuts both by the metre and by the elbow. A smaller one's
    elbows are no longer, so it is never the larger one that makes it needless."""
    kept: list[tuple[int, int]] = []
    for option in options:
        pipe, bend = rates[option]
        if not any(p <= pipe and b <= bend for p, b in kept):
            kept.append((pipe, bend))
            yield option


def _rise(options: Iterable[Option], prices: PriceBook) -> bool:
    """Whether both pipe and elbows are the dearer the larger they are."""
    rates = [_rates(o, prices) for o in options]
    return all(a[0] <= b[0] and a[1] <= b[1] for a, b in pairwise(rates))


def _rates(option: Option, prices: PriceBook) -> tuple[int, int]:
    """Money units of a millimetre and of an elbow."""
    return option.units_per_mm, tariff_of(prices, Service.GAS, option.name).bend


def _carriers(feed: Feed) -> tuple[Carrier, ...]:
    """Where a feed's branch may leave."""
    return carriers_of(feed.network, feed.zone, feed.set_point is not None)


def _places(feed: Feed, anchors: Sequence[Anchor]) -> Places:
    """Where on a feed's tree each anchor lies, None outside its zone."""
    network = feed.network
    carriers = {(c.pipe, c.cut): c for c in _carriers(feed)}
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
