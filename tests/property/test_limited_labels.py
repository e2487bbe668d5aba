"""Cheapest routes within limits, against a plain search that keeps every label which another does not beat in all."""

from __future__ import annotations

import time
from dataclasses import replace
from heapq import heappop, heappush
from math import inf
from random import Random

import numpy as np
import pytest

from service.building.build import build
from service.design import Service
from service.routing.fields import penalised
from service.routing.labels import Limits, Plain, Price, routes_within
from service.siting.ground import ground_of
from service.siting.paired import SHORTER_MM
from service.siting.search import _Search
from service.siting.stage import Stage
from service.siting.variants import Variant
from service.siting.zones import Zones
from service.usecases.margin import with_spare
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import SECONDS, cost_of, solved
from tests.property.test_deadlock import unlimited

SEEDS = (0, 2, 4, 9)[: deep(4, 2)]
BEND_MM = 400.0
RATES = (300, 3000)
WIDE_MM = 1200


def runs(seed: int, service: Service) -> list[Variant]:
    """A service's ways in a house, on the first round's lattice."""
    survey = house(seed)
    building = build(survey)
    ground = ground_of(survey, building)
    search = _Search(ground, Zones(building, survey), time.monotonic() + SECONDS, time.monotonic)
    need = ground.needs[0]
    stage = Stage(ground, search._fresh(need), (need,))  # noqa: SLF001
    return stage.tables[0].offers[service].variants[:1]


def plainly(variant: Variant, starts: list[int], limits: Limits, extra: np.ndarray) -> float:  # type: ignore[type-arg]
    """Least cost within both limits, by labels in order of cost alone."""
    walk, root, plain = variant.track.walk, variant.track.field.lattice.count, limits.plain
    heap = [(0.0, 0.0, 0, s) for s in starts]
    kept: dict[int, list[tuple[float, int]]] = {}
    while heap:
        cost, run, bends, state = heappop(heap)
        if state == root:
            return cost
        if any(r <= run and b <= bends for r, b in kept.get(state, ())):
            continue
        kept.setdefault(state, []).append((run, bends))
        for k in range(int(walk.indptr[state]), int(walk.indptr[state + 1])):
            on, turns, source = run + float(walk.run[k]), bends + int(walk.bends[k]), int(walk.source[k])
            more = float(extra[source]) if source >= 0 else 0.0
            most = inf if plain is None else plain.length_mm
            if on + more + BEND_MM * turns <= limits.length_mm and on + more <= most:
                heappush(heap, (cost + float(walk.cost[k]), on, turns, int(walk.after[k])))
    return inf


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("service", [Service.HOT, Service.GAS])
def test_two_limits_and_a_price_on_either(seed: int, service: Service) -> None:
    """With elbows counted, a second limit on the run alone, and prices on either length to guide: always the same."""
    random = Random(seed)
    for variant in runs(seed, service):
        track, extra = variant.track, np.zeros(len(variant.extra))
        field = track.field
        least = penalised(field, 0, 0, extra) * 0  # no bound on length at all is a bound
        hubs = [h for h in range(len(variant.starts)) if np.isfinite(variant.raw[h])]
        for hub in random.sample(hubs, min(4, len(hubs))):
            starts = sorted({int(s) for s in variant.starts[hub] if s >= 0})
            run = float(track.trace.run[variant.best_starts()[hub]])
            for share, wide in ((0.7, 1.3), (1.0, 1.1), (1.3, 0.8)):
                plain = Plain(run * share, extra, least)
                limits = Limits(run * wide + 3 * BEND_MM, BEND_MM, plain=plain)
                truth = plainly(variant, starts, limits, extra)
                prices = [Price(r, penalised(field, r, 0 if p else BEND_MM, extra), p) for r in RATES for p in (0, 1)]
                for price in (None, *prices):
                    asked = starts, limits, field, track.walk, least, extra, 1e300, lambda: False, price
                    found = next(routes_within(*asked), None)
                    assert (inf if found is None else found.cost) == truth
                    assert found is None or found.run <= plain.length_mm


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("service", [Service.HOT, Service.COLD])
def test_after_the_cheapest_come_all_that_are_shorter(seed: int, service: Service) -> None:
    """One after the other, each the cheapest within what is shorter than the one before, until there is none."""
    for variant in runs(seed, service):
        track, extra = variant.track, np.zeros(len(variant.extra))
        hubs = [h for h in range(len(variant.starts)) if np.isfinite(variant.raw[h])]
        for hub in Random(seed).sample(hubs, min(4, len(hubs))):
            starts = sorted({int(s) for s in variant.starts[hub] if s >= 0})
            most = float(track.trace.run[variant.best_starts()[hub]]) + 20 * BEND_MM
            limits, least = Limits(most, BEND_MM), np.zeros(track.field.lattice.count)
            for found in routes_within(starts, limits, track.field, track.walk, least, extra, 1e300, lambda: False):
                assert found.used <= most
                assert found.cost == plainly(variant, starts, Limits(most, BEND_MM), extra)
                most = found.used - SHORTER_MM
            assert plainly(variant, starts, Limits(most, BEND_MM), extra) == inf


@pytest.mark.slow
@pytest.mark.parametrize("seed", (1, 3, 8, 10)[: deep(4, 2)])
def test_wide_margins_end_with_a_proof(seed: int) -> None:
    """Terminals kept far off by a wish and vents that hardly reach so far: proven within the time, at the cost of the
    search that cuts all in at once, and no dearer than with less asked."""
    survey = with_spare(house(seed), WIDE_MM)
    least = cost_of(solved(survey))
    assert least == cost_of(solved(survey, eager=True))
    assert cost_of(solved(house(seed))) <= least
    free = replace(survey, heaters=tuple(map(unlimited, survey.heaters)))
    assert cost_of(solved(free)) <= least
