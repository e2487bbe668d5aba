"""Tappings that the search passes over would win nowhere: with every one of them looked at, the optimum is the same."""

from __future__ import annotations

import pytest

from service.siting.gas_rivals import Rivals
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import cost_of, solved_anew, solved_house


@pytest.mark.parametrize("seed", range(deep(15, 8)))
def test_tappings_passed_over_would_change_no_cost(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Rivals, "beat", lambda *_: False)
    assert cost_of(solved_anew(house(seed))) == cost_of(solved_house(seed))
