"""What taps cost, all at once, against each by itself: whole trees are gone through for every place anew there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from service.piping.network import Network
from service.piping.tap_costs import NOWHERE
from service.piping.taps import Carrier, TapTree, carriers_of
from service.survey.model import GasFittings, GasMethod
from tests.property.gas_trees import random_case

ADDED_W = 45_000.0


@pytest.mark.parametrize("fittings", GasFittings, ids=str)
@pytest.mark.parametrize("seeds", [range(start, start + 20) for start in range(0, 40, 20)], ids=str)
def test_all_at_once_costs_what_each_does(seeds: range, fittings: GasFittings) -> None:
    """Money and run before the tap are equal at the ends of all carriers and within those that can be cut."""
    for tree, carriers, held_mm in (found for seed in seeds for found in _trees(seed, fittings)):
        costs = tree.costs(carriers, held_mm)
        for share in (0.0, 0.3, 1.0):
            cuts = np.array([float(int(share * _length_mm(tree, c))) for c in carriers])
            units, upstream = costs.at(np.arange(len(carriers)), cuts)
            one_by_one = [_alone(tree, c, held_mm, int(cut)) for c, cut in zip(carriers, cuts, strict=True)]
            assert list(zip(units.tolist(), upstream.tolist(), strict=True)) == one_by_one


def test_nowhere_cannot_be_tapped() -> None:
    """A place that is on no carrier has no price."""
    tree, carriers, held_mm = next(_trees(0, GasFittings.ALLOWANCE))
    units, upstream = tree.costs(carriers, held_mm).at(np.array([NOWHERE]), np.zeros(1))
    assert (units.tolist(), upstream.tolist()) == ([np.inf], [0.0])


def _trees(seed: int, fittings: GasFittings) -> Iterator[tuple[TapTree, tuple[Carrier, ...], int]]:
    case = random_case(seed)
    network = Network(replace(case.supply, fittings=fittings), case.gas)
    for method in (m for m in GasMethod if m is not GasMethod.PRESSURE):
        tree = TapTree(network, case.prices, method, ADDED_W)
        for zone in range(len(network.zones)):
            carriers = carriers_of(network, zone, ahead=False)
            lengths = sorted(mm for mm in tree.reaches(zone) if mm > 0)
            yield from ((tree, carriers, held_mm) for held_mm in lengths[:: max(len(lengths) // 3, 1)] if carriers)


def _length_mm(tree: TapTree, carrier: Carrier) -> int:
    return tree.network.pipes[carrier.pipe].segment.length_mm if carrier.cut else 0


def _alone(tree: TapTree, carrier: Carrier, held_mm: int, cut_mm: int) -> tuple[float, float]:
    cost = tree.cost(carrier, held_mm)
    if cost is None:
        return np.inf, 0.0
    parts = 0
    if cost.before is not None and cost.after is not None:
        parts = cost.before.units(cut_mm) + cost.after.units(cost.length_mm - cut_mm)
    return float(cost.units + parts), float(cost.upstream_mm + cut_mm)
