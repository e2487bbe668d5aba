"""How a search ended, in the words of an answer."""

from __future__ import annotations

from service.siting.outcome import Outcome
from service.usecases.results import Status


def status_of(outcome: Outcome) -> Status:
    """Optimal only if proven; a cut-off with a lawful design in hand is feasible."""
    if outcome.designs:
        return Status.FEASIBLE if outcome.bound_units < (outcome.cost_units or 0) else Status.OPTIMAL
    return Status.UNKNOWN if outcome.cut_off else Status.INFEASIBLE
