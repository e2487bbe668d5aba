"""Several heaters in one survey: designs that are lawful beside one another and cheapest together, checked one by one
and jointly."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from service.building.build import build
from service.building.model import Building
from service.check.jointly import joint_findings
from service.check.neighbours import as_left
from service.clearance.assumed import assumptions, warnings
from service.design import Design, JointDesign
from service.siting.as_done import Done
from service.siting.costing import shared_bill, sleeve_keys
from service.siting.dwelling_search import DwellingSearch
from service.siting.joint_nodes import JointOutcome
from service.siting.joint_pressures import Together, jointly
from service.siting.joint_scope import joint_scope
from service.siting.master import SEED
from service.survey.equipment import Draft
from service.survey.model import Survey
from service.usecases.alarms import alarm_caution, alarms
from service.usecases.cautions import CAUTIONS
from service.usecases.gas_of_design import gas_of_joint
from service.usecases.lawful import passed
from service.usecases.money import cents_below
from service.usecases.not_judged import not_judged
from service.usecases.results import CheckedDesign, JointAnswer, Placement, Proof, Status

Judge = Callable[[Survey, Building, Design], CheckedDesign]
CROSS_CHECK = "CP-SAT confirms the sizes of the shared gas system; the choice among sets of designs is branched"


def place_together(survey: Survey, deadline: float, judge: Judge) -> Placement:
    """The cheapest lawful set of designs, one for each dwelling, all by the ``deadline`` (``time.monotonic``) [s].

    ``judge`` has one design checked; its CheckFailed passes through, and another one is raised if the set as a whole is
    refused: that is our fault, never the caller's.
    """
    building = build(survey)
    found = jointly(survey, building, deadline)
    outcome, searches = found.outcome, found.searches
    answer = None if outcome.done is None else _checked(survey, building, outcome.done, found, judge)
    status = _status(outcome)
    designs = [] if answer is None else [d.design for _, d in answer.designs]
    asked = alarms(survey, building, designs)
    return Placement(
        status=status,
        designs=(),
        proof=_proof(outcome, searches, status, answer),
        coverage=(),
        building=building,
        assumptions=(*survey.assumptions, *building.assumptions, *assumptions(building, survey)),
        warnings=(
            *dict.fromkeys(_told(outcome, searches)), *_of_designs(answer), *_not_together(survey),
            *survey.warnings, *building.warnings, *warnings(building, survey), *not_judged(survey),
        ),
        cautions=(*CAUTIONS, *alarm_caution(asked)),
        alarms=tuple(replace(a, designs=()) for a in asked),
        dwellings=answer,
    )  # fmt: skip


def _checked(
    survey: Survey, building: Building, done: Done, together: Together, judge: Judge
) -> JointAnswer:
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


def _proof(
    outcome: JointOutcome, searches: tuple[DwellingSearch, ...], status: Status, answer: JointAnswer | None
) -> Proof:
    designs = [] if answer is None else [d.design for _, d in answer.designs]
    cost = None if answer is None else sum(d.total_cents for d in designs) + answer.joint.total_cents
    priced = [d.weighed_cents for d in designs if d.weighed_cents is not None]
    weighed = sum(priced) if priced else None
    sought = None if cost is None else cost + (weighed or 0)
    bound = sought if status is Status.OPTIMAL else cents_below(outcome.bound_units)
    if bound is not None and sought is not None:
        bound = min(bound, sought)
    return Proof(
        cost_cents=cost,
        bound_cents=bound,
        gap=None if sought is None or bound is None else (sought - bound) / sought,
        scope=joint_scope(outcome, searches),
        rounds=outcome.rounds,
        planes=outcome.planes,
        states=outcome.states,
        cross_check=CROSS_CHECK if answer is not None else "not run: no designs",
        seed=SEED,
        weighed_cents=weighed,
    )


def _told(outcome: JointOutcome, searches: tuple[DwellingSearch, ...]) -> Iterator[str]:
    """What came of the search, and heaters that a dwelling cannot have."""
    if outcome.cut_off:
        yield "The search was ended by its limit before it was complete: a cheaper set of designs may be there."
    if outcome.unsettled:
        yield (
            "Between bound and cost a gap is left that cannot be closed: " + "; ".join(outcome.unsettled)
            + ". A cheaper set of designs may be there, by no more than that."
        )
    for name in outcome.without:
        yield f"Dwelling {name} has no lawful design even without the others; asked about alone, the answer tells why."
    if outcome.done is None and not outcome.without and not outcome.cut_off:
        yield "Every dwelling could have a heater by itself, but not beside the others: rooms, walls or gas do not do."
    for search in searches:
        yield from (f"{search.dwelling.id}: {told}" for told in search.seen.left_out)


def _of_designs(answer: JointAnswer | None) -> Iterator[str]:
    """Of the designs' own reports."""
    for name, checked in () if answer is None else answer.designs:
        reports = [r for r in (checked.vent, checked.outdoors, checked.hot_water) if r is not None]
        yield from (f"{name}: {told}" for report in reports for told in report.warnings)
        if checked.design.heater.draft is not Draft.DIRECT and checked.design.air_openings:
            yield (
                f"{name}: where its openings for combustion air are is not decided here: keep them from the exhausts "
                "of the other heaters as any air inlet."
            )


def _not_together(survey: Survey) -> Iterator[str]:
    """What a survey offers that is not looked at where several heaters are placed."""
    yield (
        "Between exhausts of different heaters the codes name no distance: hold the instructions of both heaters "
        "against what the findings tell."
    )
