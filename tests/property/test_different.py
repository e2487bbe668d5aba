"""Sets of designs that differ: against every set of every cell's cheapest design, and cells against brute force."""

from __future__ import annotations

import time
from functools import cache
from itertools import combinations, product
from math import inf

import pytest

from service.building.build import build
from service.check.check import findings
from service.design import Design, Mount, Service, Verdict
from service.siting.differing import LEAST_DIFFERENCES, DesignSet, Differing, shared
from service.siting.features import FEATURES, OUTDOORS, Featured, Features, Region
from service.siting.gas_branches import AT_DELIVERY, AT_JUNCTION_MM, GasBranches
from service.siting.ground import Ends, ground_of
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.equipment import Heater
from service.survey.model import Survey
from tests.property.brute_force import cheapest, lines_of
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import CENT, SECONDS

SEEDS = (8, 1, 0, 3)[: deep(2, 1)]
SIZES = (2, 3)


@cache
def featured(seed: int) -> Featured:
    """A house with what a search of it takes."""
    survey = house(seed)
    building = build(survey)
    return Featured(ground_of(survey, building), Zones(building, survey))


def values(seed: int) -> list[list[str]]:
    """Every value that each feature may have."""
    ground = featured(seed).ground
    ways_out = [*(f.id for f in ground.building.facades), *(p.id for p in ground.building.roof)]
    rooms = [*(r.id for r in ground.building.rooms), OUTDOORS]
    pipes = [*(s.id for s in ground.survey.gas.segments), AT_DELIVERY]
    return [rooms, ways_out, sorted({n.heater.id for n in ground.needs}), pipes]


@cache
def cells(seed: int) -> dict[Features, tuple[float, Design]]:
    """The cheapest design of every cell that has one, by its features; cells within an empty part are left out."""
    found: dict[Features, tuple[float, Design]] = {}
    every = values(seed)
    for some in product(*every[:3]):
        if _only(seed, every, some) is None:
            continue
        for pipe in every[3]:
            if (best := _only(seed, every, (*some, pipe))) is not None:
                features = featured(seed).of(best[1])
                assert features == (*some, pipe)
                found[features] = best
    return found


def _only(seed: int, every: list[list[str]], some: tuple[str, ...]) -> tuple[float, Design] | None:
    """The cheapest design with these values of the first features."""
    without = [frozenset(every[i]) - {value} for i, value in enumerate(some)]
    region = Region((*without, *[frozenset[str]()] * (len(FEATURES) - len(some))))
    outcome = search(*featured(seed).held_to(region), 1, time.monotonic() + SECONDS)
    assert not outcome.cut_off
    return None if outcome.cost_units is None else (outcome.cost_units, outcome.designs[0])


@cache
def answered(seed: int, size: int) -> DesignSet:
    """What the search for a set finds."""
    return Differing(featured(seed), time.monotonic() + 4 * SECONDS, time.monotonic).run(size)


def _apart(some: tuple[Features, ...]) -> bool:
    return all(len(shared(a, b)) <= len(FEATURES) - LEAST_DIFFERENCES for a, b in combinations(some, 2))


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("seed", SEEDS)
def test_no_set_of_cells_is_cheaper(seed: int, size: int) -> None:
    """Every set of so many cells, pairwise different: none costs less, and none exists where none is told."""
    told, every = answered(seed, size), cells(seed)
    sets = (some for some in combinations(sorted(every), size) if _apart(some))
    least = min((sum(every[f][0] for f in some) for some in sets), default=inf)
    assert not told.cut_off
    assert told.bound_units == least
    assert bool(told.designs) == (least < inf)
    assert _apart(tuple(features for _, features in told.designs))


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_designs_of_a_set_are_lawful(seed: int) -> None:
    """By the checker, each of them; and their features are what the design itself says."""
    survey = house(seed)
    building = build(survey)
    for design, features in answered(seed, SIZES[-1]).designs:
        wrong = [f for f in findings(survey, building, design) if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)]
        assert wrong == []
        assert features[0] == building.face(design.mount.face_id).room_id
        assert features[2] == design.heater.id


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS[:1])
def test_brute_force_finds_nothing_cheaper_in_a_room(seed: int) -> None:
    """For every heater and room, over all places there on a grid that holds the answer's lines."""
    survey = house(seed)
    building = build(survey)
    rooms = {face.id: face.room_id for face in building.faces}
    for room, heater in product({f[0] for f in cells(seed)}, {f[2] for f in cells(seed)}):
        here = [(u, d) for f, (u, d) in cells(seed).items() if (f[0], f[2]) == (room, heater)]
        lines = lines_of(min(here, key=lambda found: found[0])[1]) if here else []

        def hangs(other: Heater, mount: Mount, room: str = room, heater: str = heater) -> bool:
            return other.id == heater and rooms[mount.face_id] == room

        brute = cheapest(survey, lines, hangs)
        assert min((u for u, _ in here), default=inf) <= (inf if brute is None else brute[0] + CENT)


@pytest.mark.parametrize("seed", SEEDS[:1])
def test_a_set_that_time_cut_off_is_told_with_its_bound(seed: int) -> None:
    """Cut off after ever more looks at the clock: never a proof, the bound never beyond the true least sum."""
    least = answered(seed, 2).bound_units
    for looks in (0, 20, 60):
        clock = iter(range(10**9))
        told = Differing(featured(seed), looks, lambda clock=clock: float(next(clock))).run(2)  # type: ignore[misc]
        assert told.cut_off or (looks and told.bound_units == least)
        assert told.bound_units <= least
        assert not told.designs or _apart(tuple(features for _, features in told.designs))


@pytest.mark.parametrize("seed", range(deep(4)))
def test_taps_on_all_pipes_but_one_are_all_taps_less_those_on_it(seed: int) -> None:
    """Over the millimetres of every line, whatever pipe is left out: a tap is kept just where its pipe is another."""
    ground = featured(seed).ground
    branches, ends = GasBranches(ground.survey, ground.building), ground.ends[Service.GAS]
    lines = [line for line in ends.lines if line.axis is not None]
    for left_out in (*(s.id for s in ground.survey.gas.segments), AT_DELIVERY):
        kept = branches.without(ends, frozenset({left_out}))
        for line in lines:
            low, high = sorted((line.a.upstream_mm, line.b.upstream_mm))
            places = (low, high, *range(low, high, 97), *_borders(ground.survey, line.end_id))
            for at in (p for p in places if low <= p <= high):
                assert _is_on(kept, line.end_id, at) == (_pipe_at(ground.survey, line.end_id, at) != left_out)


def _starts(survey: Survey) -> dict[str, int]:
    """Run from the delivery to the start of each segment, walked by hand [mm]."""
    starts, front = {}, [(survey.gas.delivery_node, 0)]
    while front:
        node, run = front.pop()
        for segment in (s for s in survey.gas.segments if s.start == node):
            starts[segment.id] = run
            front.append((segment.end, run + segment.length_mm))
    return starts


def _borders(survey: Survey, segment: str) -> tuple[int, int]:
    border = _starts(survey)[segment] + AT_JUNCTION_MM
    return border, border + 1


def _pipe_at(survey: Survey, segment: str, at_mm: int) -> str:
    """The pipe of a tap: the segment that it is on, or, near its junction, what lies before that."""
    starts = _starts(survey)
    if at_mm > starts[segment] + AT_JUNCTION_MM:
        return segment
    start = next(s.start for s in survey.gas.segments if s.id == segment)
    before = next((s.id for s in survey.gas.segments if s.end == start), None)
    return AT_DELIVERY if before is None else _pipe_at(survey, before, starts[segment])


def _is_on(ends: Ends, segment: str, at_mm: int) -> bool:
    spans = (sorted((line.a.upstream_mm, line.b.upstream_mm)) for line in ends.lines if line.end_id == segment)
    return any(low <= at_mm <= high for low, high in spans)
