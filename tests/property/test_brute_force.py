"""The optimum against brute force on generated houses. The brute force knows neither search nor router."""

from __future__ import annotations

import networkx as nx  # type: ignore[import-untyped,unused-ignore]
import numpy as np
import pytest

from service.building.build import build
from service.check.check import findings
from service.design import Verdict
from service.survey.checks import check_survey
from service.survey.model import Survey
from tests.property.brute_force import cheapest, lines_of, walks_of
from tests.property.houses import house
from tests.property.solving import CENT, cost_of, solved

CHUNK = 10
HOUSES = 240
ON_PLAIN_GRID = 20


def seeds(chunk: int) -> range:
    """Seeds of one chunk of houses."""
    return range(chunk * CHUNK, (chunk + 1) * CHUNK)


def faults_of(survey: Survey) -> list[str]:
    """What is wrong with the answer to one house, as sentences."""
    ours = solved(survey)
    also = lines_of(ours.designs[0]) if ours.designs else ()
    brute = cheapest(survey, also)
    faults = []
    if brute and cost_of(ours) > brute[0] + CENT:
        other = brute[1]
        faults.append(f"{survey.name}: {cost_of(ours) / CENT} cents, brute force {brute[0] / CENT}: {other.mount}")
    if ours.designs:
        found = findings(survey, build(survey), ours.designs[0])
        faults += [f"{survey.name}: {f}" for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)]
    return faults


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(HOUSES // CHUNK))
def test_brute_force_finds_nothing_cheaper(chunk: int) -> None:
    """On a grid that holds the answer's own lines too, no lawful design is cheaper, none exists where we say so,
    and the answer passes the checker."""
    assert [fault for seed in seeds(chunk) for fault in faults_of(house(seed))] == []


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
    """Given the answer's lines the brute force prices the same design to the unit, where no limit decides."""
    differing = []
    for seed in range(ON_PLAIN_GRID):
        ours = solved(house(seed))
        if ours.designs and not ours.limited:
            brute = cheapest(house(seed), lines_of(ours.designs[0]))
            if brute is None or brute[0] != cost_of(ours):
                differing.append((seed, cost_of(ours), brute and brute[0]))
    assert differing == []


@pytest.mark.slow
def test_plain_grid_is_never_cheaper(capsys: pytest.CaptureFixture[str]) -> None:
    """On the plain grid the brute force is dearer or equal; by how much is told."""
    gaps = []
    for seed in range(ON_PLAIN_GRID):
        ours, brute = solved(house(seed)), cheapest(house(seed))
        if ours.designs and brute:
            gaps.append((brute[0] - cost_of(ours)) / cost_of(ours))
    with capsys.disabled():
        print(f" grid dearer by {100 * sum(gaps) / len(gaps):.2f} % on average, at most {100 * max(gaps):.2f} %")
    assert min(gaps) >= -1e-9
