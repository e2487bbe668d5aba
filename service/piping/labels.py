"""Cheapest sizes of one zone by the pressure method: what is lost along every run stays within what may be lost.

Losses are whole units, rounded up: milli-pascals at low pressure, and at high pressure thousands of Pa2, the
difference of squares of absolute pressures. A label stands for one choice for all pipes of a subtree: the loss that
it needs from its start on, and its cost. Pipes in series add both; subtrees side by side need the larger loss and cost
their sum. A label that needs no less and costs no less than another is of no use, so each subtree keeps a staircase:
rising need, falling cost. The cheapest on the root's staircase is the cheapest of all choices.
Source: serial and parallel merging of non-dominated lists, Rothfarb et al. 1970 (memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor
from typing import NamedTuple

from service.piping.network import Network, Zone
from service.piping.options import Option
from service.piping.trees import Tree, trees
from service.survey.equipment import PriceBook
from service.trades.gas_capacity import Terms, loss
from service.trades.gas_equation import budget, is_high

LOW_UNIT_PA = 1e-3
HIGH_UNIT_PA2 = 1e3


class Label(NamedTuple):
    """Choice for a subtree, or for several that hang side by side (``option`` None)."""

    need: int
    units: int
    pipe: int
    option: Option | None
    below: tuple[Label, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """One option of a pipe: its loss in whole units, and money units."""

    option: Option
    loss: int
    units: int


NOTHING = Label(0, 0, -1, None, ())


def budget_units(zone: Zone) -> int:
    """What may be lost along a run of a zone, in whole units."""
    return allowed_units(zone.supply_pa, zone.drop_pa)


@lru_cache(maxsize=65536)
def loss_units(option: Option, length_mm: int, load_w: float, terms: Terms) -> int | None:
    """What an option loses over a length, fittings included, in whole units; None where that is not known."""
    if load_w <= 0 or length_mm <= 0 or option.lossless:
        return 0
    lost = loss(option.material, option.size, length_mm, load_w, terms) / unit_of(terms.supply_pa)
    return ceil(lost) if lost < float("inf") else None


def by_pressure(tree: Tree, network: Network) -> list[Option] | None:
    """Cheapest option of each pipe of a zone; None when no choice keeps every run within its budget."""
    ways, most = _ways(tree), budget_units(tree.zone)
    if not all(ways):
        return None
    kept = reserves(tree, network)
    if _is_enough(tree, ways, kept, most):
        return [of[0].option for of in ways]
    least = [min(way.loss for way in of) for of in ways]
    limits = [most - a + own for a, own in zip(tree.sums_down(least), least, strict=True)]
    root = _staircases(tree, ways, kept, limits)[-1]
    return _picks(root[-1], len(ways)) if root else None


def _is_enough(tree: Tree, ways: list[list[Way]], reserves: list[int], most: int) -> bool:
    """Whether every run holds with the first option of each pipe, and each other costs more: then no choice is as
    cheap, and no labels are needed."""
    lost = tree.sums_down([of[0].loss for of in ways])
    holds = all(down + reserve <= most for down, reserve in zip(lost, reserves, strict=True))
    return holds and all(way.units > of[0].units for of in ways for way in of[1:])


def fronts(network: Network, found_trees: Iterable[Tree]) -> list[tuple[tuple[int, int], ...]]:
    """``front`` of every pipe of the network, from the trees of its zones."""
    found: list[tuple[tuple[int, int], ...]] = [()] * len(network.pipes)
    for tree in found_trees:
        limits = [budget_units(tree.zone)] * len(tree.indices)
        stairs = _staircases(tree, _ways(tree), reserves(tree, network), limits)
        for index, labels in zip(tree.indices, stairs[:-1], strict=True):
            found[index] = tuple((label.need, label.units) for label in labels)
    return found


def front(network: Network, prices: PriceBook, pipe_index: int) -> tuple[tuple[int, int], ...]:
    """Staircase of what the subtree that begins with a pipe may need and cost: (loss in whole units, money units),
    rising need, falling cost; empty when it needs more than its zone has.

    The subtree ends with the zone: what is behind line regulators is not in the cost. An appliance whose inlet must
    see more than the zone's permitted drop leaves adds the difference to the need.
    """
    return fronts(network, trees(network, prices))[pipe_index]


def unit_of(supply_pa: float) -> float:
    """Size of the whole units of a zone's losses [Pa or Pa2]."""
    return HIGH_UNIT_PA2 if is_high(supply_pa) else LOW_UNIT_PA


def allowed_units(supply_pa: float, drop_pa: float) -> int:
    """Whole units that a drop is worth; -1, less than any run needs, where the supply is below what must be left."""
    if drop_pa <= 0:
        return 0 if drop_pa == 0 else -1
    return floor(budget(supply_pa, drop_pa) / unit_of(supply_pa))


def reserves(tree: Tree, network: Network) -> list[int]:
    """By pipe, the part of the zone's budget that appliances at its end do not let a run to there use.

    An appliance at a line regulator's node is behind the regulator.
    """
    behind = {regulator.node for regulator in network.supply.regulators}
    at = {segment.end: i for i, segment in enumerate(tree.segments)}
    most, supply_pa = budget_units(tree.zone), tree.zone.supply_pa
    reserves = [0] * len(tree.indices)
    for appliance in network.supply.appliances:
        if appliance.inlet_min_pa is not None and appliance.node in at and appliance.node not in behind:
            i = at[appliance.node]
            reserves[i] = max(reserves[i], most - allowed_units(supply_pa, supply_pa - appliance.inlet_min_pa))
    return reserves


def _ways(tree: Tree) -> list[list[Way]]:
    """Options of each pipe whose loss is known, the cheapest first, without any that loses no less than a cheaper."""
    return [list(_useful(tree, i)) for i in range(len(tree.indices))]


def _useful(tree: Tree, i: int) -> Iterable[Way]:
    least: int | None = None
    for option in tree.options[i]:
        length = tree.segments[i].length_mm + tree.fittings_mm(i, option)
        lost = loss_units(option, length, tree.loads_w[i], tree.terms)
        if lost is not None and (least is None or lost < least):
            least = lost
            yield Way(option, lost, tree.units(i, option))


def _staircases(tree: Tree, ways: list[list[Way]], reserves: list[int], limits: Sequence[int]) -> list[list[Label]]:
    """Staircase of the subtree that begins with each pipe, and last that of the whole zone.

    ``limits``: the most that each subtree may need.
    """
    stairs: list[list[Label]] = [[NOTHING] for _ in range(len(ways) + 1)]
    for i in range(len(ways) - 1, -1, -1):
        ends = [_raised(label, reserves[i]) for label in stairs[i]] if reserves[i] else stairs[i]
        found = [
            (label.need + way.loss, label.units + way.units, k, j)
            for k, way in enumerate(ways[i])
            for j, label in enumerate(ends)
            if label.need + way.loss <= limits[i]
        ]
        stairs[i] = [
            Label(need, units, i, ways[i][k].option, (stairs[i][j],)) for need, units, k, j in _descending(found)
        ]
        stairs[tree.parents[i]] = _side_by_side(stairs[tree.parents[i]], stairs[i])
    return stairs


def _raised(label: Label, reserve: int) -> Label:
    return label if label.need >= reserve else label._replace(need=reserve)


def _descending(found: list[tuple[int, int, int, int]]) -> Iterable[tuple[int, int, int, int]]:
    """By rising need, those that cost less than all before them."""
    least: int | None = None
    for entry in sorted(found):
        if least is None or entry[1] < least:
            least = entry[1]
            yield entry


def _side_by_side(a: list[Label], b: list[Label]) -> list[Label]:
    """Staircase of two subtrees on one node."""
    if not a or not b or a[0] is NOTHING:
        return b if a else a
    joined, i, j = [], 0, 0
    while True:
        need = max(a[i].need, b[j].need)
        while i + 1 < len(a) and a[i + 1].need <= need:
            i += 1
        while j + 1 < len(b) and b[j + 1].need <= need:
            j += 1
        joined.append(Label(need, a[i].units + b[j].units, -1, None, (a[i], b[j])))
        following = [(x[k + 1].need, n) for n, (x, k) in enumerate(((a, i), (b, j))) if k + 1 < len(x)]
        if not following:
            return joined
        if min(following)[1] == 0:
            i += 1
        else:
            j += 1


def _picks(label: Label, count: int) -> list[Option]:
    """Option of each pipe in a label of the whole zone."""
    picks: dict[int, Option] = {}
    left = [label]
    while left:
        at = left.pop()
        left += at.below
        if at.option is not None:
            picks[at.pipe] = at.option
    return [picks[i] for i in range(count)]
