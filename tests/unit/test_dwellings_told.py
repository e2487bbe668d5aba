"""A joint search that stops short of its proof tells why."""

from __future__ import annotations

import pytest

from service.settings import Settings
from service.siting.joint_nodes import Why
from service.siting.jointly import Jointly
from service.usecases.place import place
from service.usecases.results import Status
from tests.once import placed
from tests.unit.joint_house import parallel, two_dwellings

NEEDING = {
    Why.PLACES: ("_by_place", parallel(apart=600)),
    Why.GAS: ("_by_gas", two_dwellings(("co-direct-120",), tee=2_500, pipe="3/4")),
}
"""Houses that cannot be proven without a way of splitting."""


@pytest.mark.parametrize("why", [Why.PLACES, Why.GAS])
def test_a_gap_that_cannot_be_closed_is_told(monkeypatch: pytest.MonkeyPatch, why: Why) -> None:
    """With a way to split taken away the status is not optimal, and the warning names what is missing and no other."""
    split, survey = NEEDING[why]
    whole = placed(survey, Settings(solver_seconds=60))
    assert whole.status is Status.OPTIMAL and not any("gap" in w for w in whole.warnings)
    monkeypatch.setattr(Jointly, split, lambda *_: None)
    short = place(survey, Settings(solver_seconds=60))
    told = [w for w in short.warnings if "gap is left" in w]
    assert short.status is Status.FEASIBLE and short.proof.bound_cents is not None
    assert whole.proof.cost_cents is not None and short.proof.bound_cents <= whole.proof.cost_cents
    assert len(told) == 1 and why in told[0] and not any(other in told[0] for other in set(Why) - {why})
