"""What tapping the old piping at one place costs by the pressure method, against the pressure that is left there.

Labels grow from the zone's root to the tap: loss so far, cost so far. What hangs beside the way is on its own
staircase (``labels.fronts``) and takes the cheapest that the loss so far leaves room for. Zones ahead of the tap's
only carry the added load; they are sized by themselves.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from service.piping.feeds import Feed
from service.piping.labels import allowed_units, budget_units, by_pressure, fronts, loss_units, reserves, unit_of
from service.piping.lengths import FAR_MM
from service.piping.network import Network
from service.piping.options import Offered, Option
from service.piping.taps import Carrier
from service.piping.trees import PROBE_MM, Tree, losing_nothing, trees
from service.survey.equipment import Heater, PriceBook
from service.trades.gas_capacity import loss

ROUNDING_MM = 1e-6
"""Taken off a length so that a loss of exactly what is left is not passed by the last bit."""
Step = tuple[int, int]
"""Loss between the zone's root and a place [whole units], and what that costs [money units]."""


class PressureTaps:
    """Staircases of all places of one network for one added input."""

    def __init__(self, network: Network, prices: PriceBook, added_w: float, lifted: bool = False) -> None:
        """Prepare what does not depend on where the branch leaves. ``lifted``: of each pipe the option that loses least
        loses nothing."""
        self.network = network
        segments = [p.segment.id for p in network.pipes] if lifted else []
        self.trees = {network.zones.index(t.zone): t for t in trees(network, prices, segments)}
        self.stairs = fronts(network, self.trees.values())
        # what each pipe carries, and may be, where the added input flows through it too
        self.loads_w = [p.load.plus(added_w).drawn_w(network.supply.diversity) for p in network.pipes]
        offered = Offered(prices)
        self.options = [offered.every(p.segment) for p in network.pipes]
        if lifted:
            terms = (self.trees[p.zone].terms for p in network.pipes)
            self.options = list(map(losing_nothing, self.options, self.loads_w, terms))
        self._known: dict[tuple[Carrier, int], tuple[Step, ...]] = {}

    def steps(self, carrier: Carrier, cut_mm: int) -> tuple[Step, ...]:
        """Staircase at a place: rising loss, falling cost of all that is renewed; empty if it cannot be tapped."""
        key = carrier, cut_mm
        if key not in self._known:
            ahead = self._other_zones(carrier)
            self._known[key] = () if ahead is None else tuple((s, u + ahead) for s, u in self._steps(carrier, cut_mm))
        return self._known[key]

    def upstream_mm(self, carrier: Carrier, cut_mm: int) -> int:
        """Run from the zone's root to a place, old fittings not counted [mm]."""
        way = [i for i in self.network.way(carrier.pipe) if self.network.pipes[i].zone == carrier.zone]
        whole = sum(self.network.pipes[i].segment.length_mm for i in way)
        return whole - (self.network.pipes[carrier.pipe].segment.length_mm - cut_mm if carrier.cut else 0)

    def _steps(self, carrier: Carrier, cut_mm: int) -> list[Step]:
        tree = self.trees.get(carrier.zone)
        if tree is None:
            return [(0, 0)]
        way = [i for i in reversed(self.network.way(carrier.pipe)) if self.network.pipes[i].zone == carrier.zone]
        on_way = set(way)
        labels = self._beside([(0, 0)], tree, -1, on_way)
        for i in way[:-1] if carrier.cut else way:
            labels = self._beside(self._along(labels, tree, i, None), tree, i, on_way)
        if carrier.cut:
            labels = self._past(self._along(labels, tree, way[-1], cut_mm), tree, way[-1], cut_mm)
        return labels

    def _along(self, labels: list[Step], tree: Tree, index: int, length_mm: int | None) -> list[Step]:
        """Every label with every option of a pipe that carries the added load too."""
        i = tree.indices.index(index)
        length = tree.segments[i].length_mm if length_mm is None else length_mm
        found = []
        for option in self.options[index]:
            lost = loss_units(option, length + tree.fittings_mm(i, option), self.loads_w[index], tree.terms)
            if lost is not None:
                found += [(so_far + lost, units + option.units(length)) for so_far, units in labels]
        return _front(s for s in found if s[0] <= budget_units(tree.zone))

    def _beside(self, labels: list[Step], tree: Tree, index: int, on_way: set[int]) -> list[Step]:
        """Labels at a pipe's end with what hangs beside the way there."""
        subtrees = [i for i in self._children(tree, index) if i not in on_way]
        return _front(self._joined(labels, tree, index, subtrees))

    def _joined(self, labels: list[Step], tree: Tree, index: int, subtrees: list[int]) -> Iterable[Step]:
        for so_far, units in labels:
            hanging = self._hanging(tree, index, subtrees, budget_units(tree.zone) - so_far)
            if hanging is not None:
                yield so_far, units + hanging

    def _hanging(self, tree: Tree, index: int, subtrees: list[int], left: int) -> int | None:
        """Least cost of subtrees, if a loss is left to them; None if it is too little for them or an inlet there."""
        if index >= 0 and left < reserves(tree, self.network)[tree.indices.index(index)]:
            return None
        costs = [min((u for need, u in self.stairs[i] if need <= left), default=None) for i in subtrees]
        known = [c for c in costs if c is not None]
        return sum(known) if len(known) == len(costs) else None

    def _past(self, labels: list[Step], tree: Tree, index: int, cut_mm: int) -> list[Step]:
        """Labels at a tap within a pipe, with the rest of the pipe and what hangs on it."""
        i, pipe = tree.indices.index(index), self.network.pipes[index]
        rest, load = pipe.segment.length_mm - cut_mm, tree.loads_w[i]
        below = self._children(tree, index)
        found = []
        for so_far, units in labels:
            for option in tree.options[i]:
                lost = loss_units(option, rest, load, tree.terms)
                left = None if lost is None else budget_units(tree.zone) - so_far - lost
                hanging = None if left is None or left < 0 else self._hanging(tree, index, below, left)
                if hanging is not None:
                    found.append((so_far, units + option.units(rest) + hanging))
        return _front(found)

    def _children(self, tree: Tree, index: int) -> list[int]:
        """Pipes of the zone that continue one, or begin at its root."""
        zone = self.network.zones.index(tree.zone)
        pipes = self.network.pipes
        roots = [i for i in tree.indices if pipes[i].parent < 0 or pipes[pipes[i].parent].zone != zone]
        return roots if index < 0 else [i for i in tree.indices if pipes[i].parent == index]

    def _other_zones(self, carrier: Carrier) -> int | None:
        """Least cost of all other zones, those on the way with the added load; None if one cannot be."""
        way, total = set(self.network.way(carrier.pipe)), 0
        for zone, tree in self.trees.items():
            if zone == carrier.zone:
                continue
            picks = by_pressure(self._loaded(tree, way), self.network)
            if picks is None:
                return None
            total += sum(tree.units(i, p) for i, p in enumerate(picks))
        return total

    def _loaded(self, tree: Tree, way: set[int]) -> Tree:
        """The tree of a zone with the added input on the way."""
        loads = [self.loads_w[i] if i in way else w for i, w in zip(tree.indices, tree.loads_w, strict=True)]
        options = tuple(self.options[i] if i in way else o for i, o in zip(tree.indices, tree.options, strict=True))
        return replace(tree, loads_w=tuple(loads), options=options)


def _front(steps: Iterable[Step]) -> list[Step]:
    """Steps that cost less than all with no more loss."""
    kept: list[Step] = []
    for step in sorted(steps):
        if not kept or step[1] < kept[-1][1]:
            kept.append(step)
    return kept


def branch_rooms_mm(feed: Feed, branch: Option, heater: Heater, lost: NDArray[np.int64]) -> NDArray[np.float64]:
    """Longest branches [whole mm], fittings included, after what is lost before each tap [whole units], shape as
    ``lost``; 0 or less for none. A loss goes as the length, so the length goes as what is left. A branch that loses
    nothing may be as long as any."""
    zone, terms = feed.network.zones[feed.zone], feed.terms
    most = budget_units(zone)
    if feed.set_point is None:
        most = min(most, allowed_units(zone.supply_pa, zone.supply_pa - heater.gas_inlet_min_pa))
    if branch.lossless:
        return np.where(lost <= most, float(FAR_MM), 0.0)
    whole = loss(branch.material, branch.size, PROBE_MM, heater.input_max_w, terms) / unit_of(zone.supply_pa)
    return np.asarray(np.floor((most - lost) * (PROBE_MM / whole) - ROUNDING_MM), dtype=np.float64)
