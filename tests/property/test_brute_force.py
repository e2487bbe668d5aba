"""The optimum against brute force on generated houses. The brute force knows neither search nor router."""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx  # type: ignore[import-untyped,unused-ignore]
import numpy as np
import pytest

from service.building.build import build
from service.check.check import findings
from service.design import Verdict
from service.survey.checks import check_survey
from tests.property.brute_force import cheapest, lines_of, walks_of
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.rebuilt import gas_faults
from tests.property.solving import CENT, cost_of, solved_house

HOUSES = deep(10, 5)
CHUNK = min(HOUSES, 10)
ON_PLAIN_GRID = range(20, 20 + deep(2, 1))
MISSED = 0.1


def seeds(chunk: int) -> range:
    """Seeds of one chunk of houses."""
    return range(chunk * CHUNK, (chunk + 1) * CHUNK)


@dataclass(frozen=True)
class Compared:
    """Answer and brute force for one house: what is wrong, as sentences; whether brute force came to the same cost."""

    faults: list[str]
    same: bool


def compared(seed: int) -> Compared:
    """Both for one house, the brute force on a grid that holds the answer's own lines too."""
    survey, ours = house(seed), solved_house(seed)
    brute = cheapest(survey, lines_of(ours.designs[0]) if ours.designs else ())
    least = np.inf if brute is None else brute[0]
    faults = []
    if brute and cost_of(ours) > least + CENT:
        other = brute[1]
        faults.append(f"{survey.name}: {cost_of(ours) / CENT} cents, brute force {least / CENT}: {other.mount}")
    for design in ours.designs:
        found = findings(survey, build(survey), design)
        faults += [f"{survey.name}: {f}" for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)]
        faults += gas_faults(survey, design)
    return Compared(faults, least == cost_of(ours))


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(HOUSES // CHUNK))
def test_brute_force_finds_nothing_cheaper(chunk: int) -> None:
    """On a grid that holds the answer's own lines too, no lawful design is cheaper, none exists where we say so,
    the answer passes the checker, its gas works cost what the whole system sized anew does; and the brute force comes
    to the same cost in nearly all houses (where a limit decides it may miss a run)."""
    found = [compared(seed) for seed in seeds(chunk)]
    assert [fault for c in found for fault in c.faults] == []
    assert sum(not c.same for c in found) <= MISSED * CHUNK


def test_brute_force_walks_are_those_of_another_library() -> None:
    """Its shortest paths, found by the library that the router uses too, are the same by networkx."""
    for seed in (0, 3):
        walks = walks_of(house(seed))
        graph = nx.from_scipy_sparse_array(walks.matrix, create_using=nx.DiGraph)
        costs = nx.single_source_dijkstra_path_length(graph, walks.mesh.count)
        reached = np.flatnonzero(np.isfinite(walks.cost))
        assert {s: float(walks.cost[s]) for s in reached.tolist()} == costs


def test_generated_surveys_are_sound() -> None:
    """The intake's own checks find nothing wrong with the generated houses."""
    every = (*range(HOUSES), *range(1000, 1060), *range(2000, 2012), *range(3000, 3030), *range(4000, 4010))
    assert {seed: faults for seed in every if (faults := check_survey(house(seed))[0])} == {}


def test_brute_force_reaches_the_answer_on_its_own_lines() -> None:
    """Given the answer's lines the brute force prices the same design to the unit."""
    differing = []
    for seed in ON_PLAIN_GRID:
        ours = solved_house(seed)
        brute = cheapest(house(seed), lines_of(ours.designs[0]) if ours.designs else ())
        if (np.inf if brute is None else brute[0]) != cost_of(ours):
            differing.append((seed, cost_of(ours), brute and brute[0]))
    assert differing == []


@pytest.mark.slow
def test_plain_grid_is_never_cheaper(capsys: pytest.CaptureFixture[str]) -> None:
    """On the plain grid the brute force is dearer or equal; by how much is told."""
    gaps = []
    for seed in ON_PLAIN_GRID:
        ours, brute = solved_house(seed), cheapest(house(seed))
        if ours.designs and brute:
            gaps.append((brute[0] - cost_of(ours)) / cost_of(ours))
    with capsys.disabled():
        print(f" grid dearer by {100 * sum(gaps) / len(gaps):.2f} % on average, at most {100 * max(gaps):.2f} %")
    assert min(gaps) >= -1e-9
