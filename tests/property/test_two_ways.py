"""The lazy search against the full critical grid, and against planes that nobody needs."""

from __future__ import annotations

from random import Random

import pytest

from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import cost_of, solved, solved_house

FIRST = 1020
HOUSES = deep(6, 3)
CHUNK = min(HOUSES, 6)
PLANES_AN_AXIS = 5


def seeds(chunk: int) -> range:
    """Seeds of one chunk of houses, others than the brute force's."""
    return range(FIRST + chunk * CHUNK, FIRST + (chunk + 1) * CHUNK)


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(HOUSES // CHUNK))
def test_lazy_and_full_grid_agree_to_the_unit(chunk: int) -> None:
    """Cutting everything in at the start changes no cost. Where a limit on length decides, the proof is of
    the network only, and there the full grid may lack a place that the lazy way found."""
    pairs = [(seed, solved_house(seed), solved(house(seed), eager=True)) for seed in seeds(chunk)]
    assert [seed for seed, lazy, full in pairs if cost_of(lazy) > cost_of(full)] == []
    assert [seed for seed, lazy, full in pairs if cost_of(lazy) < cost_of(full) and not full.limited] == []


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(HOUSES // CHUNK))
def test_arbitrary_planes_never_lower_the_cost(chunk: int) -> None:
    """The critical planes are complete (lemmas L1 and L2): random further ones find nothing cheaper."""
    cheaper = []
    for seed in seeds(chunk):
        plain, refined = solved_house(seed), solved(house(seed), extra_planes=_planes(seed))
        if cost_of(refined) < cost_of(plain):
            cheaper.append((seed, cost_of(plain), cost_of(refined), plain.limited))
    assert cheaper == []


def _planes(seed: int) -> list[tuple[int, int]]:
    """Random coordinates within a generated house [mm]."""
    r = Random(seed)
    return [(axis, r.randint(low, high)) for axis, low, high in ((0, 0, 9000), (1, -900, 4800), (2, 1, 2400))
            for _ in range(PLANES_AN_AXIS)]  # fmt: skip
