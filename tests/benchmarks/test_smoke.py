"""Every part of the benchmarks runs once; no times are asserted, they depend on the machine."""

from __future__ import annotations

import time
from dataclasses import replace
from math import inf, isfinite
from typing import Any

import pytest

from service.building.build import build
from service.design import Service
from service.http.schemas import load_survey
from service.settings import Settings
from service.siting.ground import Ground, ground_of
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.model import Survey
from tests.benchmarks import load, measure, peers
from tests.benchmarks.bodies import Ask, same
from tests.benchmarks.flow_models import cp_sat_model, flow_model
from tests.benchmarks.grid_problem import Problem, problem_of
from tests.benchmarks.typical_house import ALL_OUTER_OPENINGS, document

SEED = 8
COARSE_MM = 2000


def loaded(seed: int) -> Survey:
    """A house through the intake."""
    return load_survey(document(seed), Settings())


@pytest.mark.parametrize("seed", range(20))
def test_every_seed_is_the_typical_house(seed: int) -> None:
    """13 rooms on three storeys, 25 outer openings, a gas tree of 16 nodes, 12 heaters."""
    survey = loaded(seed)
    inner = sum(o.id.startswith("door-") for s in survey.storeys for o in s.openings)
    assert len(survey.storeys) == 3
    assert sum(len(s.rooms) for s in survey.storeys) == 13
    assert sum(len(s.openings) for s in survey.storeys) - inner == ALL_OUTER_OPENINGS == 25
    assert len(survey.gas.nodes) == 16 == len(survey.gas.segments) + 1
    assert len(survey.heaters) == 12


def test_a_seed_is_always_the_same_house() -> None:
    """Same seed, same bytes; another seed, another house."""
    assert measure.body_of(document(1)) == measure.body_of(document(1)) != measure.body_of(document(2))


@pytest.fixture(scope="module")
def ground() -> Ground:
    """The house without its dearer heaters, to be quick."""
    survey = loaded(SEED)
    survey = replace(survey, heaters=tuple(h for h in survey.heaters if h.id == "nc-direct-120"))
    return ground_of(survey, build(survey))


@pytest.fixture(scope="module")
def problem(ground: Ground) -> Problem:
    """The same house on a coarse grid."""
    zones = Zones(ground.building, ground.survey)
    designs = search(ground, zones, 1, time.monotonic() + 60).designs
    return problem_of(ground, zones, designs[0], COARSE_MM)


def test_all_ways_by_shortest_paths_agree(problem: Problem) -> None:
    """SciPy's, networkx's and rustworkx's Dijkstra find the same cost."""
    assert peers.scipy_dijkstra(problem).cents == pytest.approx(peers.networkx_dijkstra(problem).cents)
    assert peers.scipy_dijkstra(problem).cents == pytest.approx(peers.rustworkx_dijkstra(problem).cents)


def test_the_flow_model_without_limits_is_the_shortest_paths(problem: Problem) -> None:
    """HiGHS on one linear model comes to the sum of shortest paths."""
    short = peers.shortlisted(peers.unlimited(problem), 5)
    solved = flow_model(short, 60, whole=False)
    assert solved.finished
    assert solved.cents == pytest.approx(peers.scipy_dijkstra(problem).cents)


def test_both_solvers_of_the_flow_model_agree(problem: Problem) -> None:
    """CP-SAT on the model in whole numbers, of one service, comes to what HiGHS does."""
    short = peers.shortlisted(peers.unlimited(problem), 3)
    short = replace(short, legs={Service.POWER: short.legs[Service.POWER]})
    by_sat, by_lp = cp_sat_model(short, 120), flow_model(short, 60)
    assert by_sat.finished
    assert by_sat.cents == pytest.approx(by_lp.cents, abs=1)


def with_limit(problem: Problem, length_mm: float) -> Problem:
    """Two mounts, and every limit on length that there is set to another."""
    short = peers.shortlisted(problem, 2)
    legs = {s: replace(g, length_mm=length_mm if isfinite(g.length_mm) else inf) for s, g in short.legs.items()}
    return replace(short, legs=legs)


def test_limits_that_bind_nowhere_cost_nothing(problem: Problem) -> None:
    """The mixed-integer model with wide limits comes to the sum of shortest paths too."""
    solved = flow_model(with_limit(problem, 100_000), 60)
    assert solved.cents == pytest.approx(peers.scipy_dijkstra(problem).cents)


def test_limits_are_kept_by_the_flow_model(problem: Problem) -> None:
    """No vent or gas pipe is shorter than a millimetre."""
    solved = flow_model(with_limit(problem, 1), 60)
    assert solved.finished
    assert solved.cents is None


def test_mixed_load_beyond_capacity(capsys: pytest.CaptureFixture[str]) -> None:
    """Four callers for each place, a solver killed: no wrong answer, nothing lost but its request, health answers."""
    assert load.main(["--minutes", "0.08", "--kills", "1", "--houses", "1", "--untimed"]) == 0
    told = capsys.readouterr().out
    assert "solvers killed, requests lost, connections lost | 1, " in told
    assert "503 busy" in told


def test_phases_are_all_measured() -> None:
    """Each phase of a request takes time; the search's part is not lost."""
    spent = measure.phases(measure.body_of(document(SEED)), replace(Settings(), alternatives=1))
    assert tuple(spent) == measure.PHASES
    assert all(spent[p] > 0 for p in ("load", "build", "ground", "search", "check", "serialise"))


def test_a_server_that_ends_early_is_told_with_its_own_words(monkeypatch: pytest.MonkeyPatch) -> None:
    """What it said, not that its process is gone."""
    monkeypatch.setenv("SITING_NOTHING", "1")
    with pytest.raises(RuntimeError, match="SITING_NOTHING"), measure.serving(1):
        pass


def test_the_server_is_measured_from_outside() -> None:
    """One request over a socket to one worker, whose memory is read."""
    with measure.serving(1) as (address, arbiter):
        rate, found = measure.throughput(address, [measure.body_of(document(SEED))], 1)
        memory = measure.solvers_memory_mib(arbiter)
    assert rate > 0
    assert sum(found.statuses.values()) == 1
    assert len(memory) == 1
    assert memory[0][1] >= memory[0][0] > 10


def test_a_map_cut_off_fits_the_whole_one() -> None:
    """As far as it goes; one that tells a surface otherwise, or leaves some out without a word, does not."""
    whole: dict[str, Any] = {"complete": True, "facades": [1, 2], "walls": [3], "roofs": [], "warnings": []}
    ask = Ask("map", "/v1/clearances", b"", 200, whole)
    cut = whole | {"complete": False, "facades": [1], "walls": [], "warnings": ["time"]}
    assert same(ask, 200, whole) and same(ask, 200, cut)
    assert not same(ask, 200, cut | {"facades": [2]})
    assert not same(ask, 200, whole | {"facades": [1]})
    assert not same(ask, 503, cut)
