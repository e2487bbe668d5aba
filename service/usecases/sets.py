"""Sets of designs, one for each dwelling: found, checked one by one and jointly."""

from __future__ import annotations

from dataclasses import dataclass

from service.building.model import Building
from service.check.jointly import joint_findings
from service.check.neighbours import as_left
from service.design import JointDesign
from service.siting.as_done import Done
from service.siting.costing import shared_bill, sleeve_keys
from service.siting.joint_nodes import JointOutcome
from service.siting.joint_pressures import Together, jointly
from service.survey.model import Question, Survey
from service.usecases.gas_of_design import gas_of_joint
from service.usecases.inspector import Judge
from service.usecases.lawful import passed
from service.usecases.results import JointAnswer, Status


@dataclass(frozen=True, slots=True)
class FoundSet:
    """What came of a joint search: how it ended, and the set that it found, None if there is none."""

    together: Together
    status: Status
    answer: JointAnswer | None


def cheapest_set(
    survey: Survey, building: Building, deadline: float, judge: Judge, question: Question | None = None
) -> FoundSet:
    """The cheapest lawful set by the ``deadline`` (``time.monotonic``) [s], one heater held to the place of a
    ``question`` if there is one.

    ``judge`` has one design checked; its CheckFailed passes through, and another one is raised if the set as a whole is
    refused: that is our fault, never the caller's.
    """
    together = jointly(survey, building, deadline, question)
    done = together.outcome.done
    answer = None if done is None else _checked(survey, building, done, together, judge)
    return FoundSet(together, _status(together.outcome), answer)


def _checked(survey: Survey, building: Building, done: Done, together: Together, judge: Judge) -> JointAnswer:
    joint = joint_design(survey, done, together)
    found = passed(joint_findings(survey, building, joint))
    designs = []
    for dwelling, design in zip(survey.dwellings, done.designs, strict=True):
        left = as_left(survey, building, joint, dwelling)
        designs.append((dwelling.id, judge(left.survey, left.building, design)))
    return JointAnswer(tuple(designs), joint, found, gas_of_joint(survey, joint))


def joint_design(survey: Survey, done: Done, together: Together) -> JointDesign:
    """A found set as plain data."""
    shared, works, option = done.works.shared, done.works, together.option
    keys = (*works.keys, *together.keys)
    bought = (*keys, *sleeve_keys(works.sleeves))
    lines, total = shared_bill(works.works, shared.supply, survey.prices, bought)
    ids = [s.dwelling.id for s in together.searches]
    return JointDesign(
        tuple(zip(ids, done.designs, strict=True)), shared.supply, tuple(shared.heaters.items()), works.renewals,
        keys, lines, total, works.sleeves, None if option is None else option.id,
    )  # fmt: skip


def _status(outcome: JointOutcome) -> Status:
    """Optimal only if proven; infeasible only if no part of the sets is left open."""
    if outcome.done is not None:
        return Status.OPTIMAL if outcome.bound_units >= outcome.cost_units else Status.FEASIBLE
    return Status.INFEASIBLE if outcome.bound_units == float("inf") else Status.UNKNOWN
