"""Larger generated houses, with ducts in corners and a gas tree of sixteen nodes, through the whole use case."""

from __future__ import annotations

import pytest

from service.http.schemas import load_survey
from service.settings import Settings
from service.usecases.place import place
from service.usecases.results import Status
from tests.benchmarks.typical_house import document
from tests.property.depth import deep


@pytest.mark.parametrize("seed", (7, *range(7), *range(8, 12))[: deep(12, 5)])
def test_typical_houses_are_proven_and_pass_the_checker(seed: int) -> None:
    """``place`` raises where the checker, CP-SAT or the gas system sized anew contradicts the search. House 7 has a
    run along a corner of which a duct takes one side."""
    settings = Settings(solver_seconds=60)
    assert place(load_survey(document(seed), settings), settings).status is Status.OPTIMAL
