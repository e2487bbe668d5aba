"""Several heaters in one survey: designs that are lawful beside one another and cheapest together, checked one by one
and jointly."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.building.build import build
from service.clearance.assumed import assumptions, warnings
from service.deadline import seconds_left
from service.siting.dwelling_search import DwellingSearch
from service.siting.joint_nodes import JointOutcome
from service.siting.joint_scope import joint_scope
from service.siting.master import SEED
from service.survey.equipment import Draft
from service.survey.model import Survey
from service.usecases.alarms import alarm_caution, alarms
from service.usecases.beside import Besides, asks
from service.usecases.cautions import CAUTIONS
from service.usecases.inspector import Inspector
from service.usecases.money import cents_below
from service.usecases.no_set import no_set
from service.usecases.not_judged import not_judged
from service.usecases.results import JointAnswer, Placement, Proof, Status
from service.usecases.sets import cheapest_set

SEARCHED_SHARE = 0.5
"""So much of the time goes to the search at most where more is asked for than the designs."""
CROSS_CHECK = "CP-SAT confirms the sizes of the shared gas system; the choice among sets of designs is branched"


def place_together(survey: Survey, deadline: float, inspector: Inspector) -> Placement:
    """The cheapest lawful set of designs, one for each dwelling, all by the ``deadline`` (``time.monotonic``) [s].

    CheckFailed as for ``cheapest_set``; ``inspector`` judges one heater by itself.
    """
    building = build(survey)
    found = cheapest_set(survey, building, _search_end(survey, deadline), inspector.judge)
    outcome, searches, answer = found.together.outcome, found.together.searches, found.answer
    besides = Besides(survey, building, inspector, deadline)
    here = tuple(besides.here(answer))
    if answer is not None and outcome.done is not None:
        answer = replace(answer, explained=tuple(besides.explained(answer, outcome.done)))
    nothing = found.status is Status.INFEASIBLE
    asked = alarms(survey, building, [] if answer is None else [d.design for _, d in answer.designs])
    return Placement(
        status=found.status,
        designs=(),
        proof=_proof(outcome, searches, found.status, answer),
        coverage=(),
        building=building,
        assumptions=(*survey.assumptions, *building.assumptions, *assumptions(building, survey)),
        warnings=(
            *dict.fromkeys(_told(outcome, searches)), *_of_designs(answer), *_not_together(survey),
            *survey.warnings, *building.warnings, *warnings(building, survey), *not_judged(survey),
        ),
        cautions=(*CAUTIONS, *alarm_caution(asked)),
        alarms=tuple(replace(a, designs=()) for a in asked),
        what_about=here,
        deadlock=no_set(survey, building, outcome.without, deadline, inspector.judge) if nothing else None,
        dwellings=answer,
    )  # fmt: skip


def _search_end(survey: Survey, deadline: float) -> float:
    """When the search for the set ends, so that time is left for what is asked for besides."""
    return deadline - (1 - SEARCHED_SHARE) * seconds_left(deadline) if asks(survey) else deadline


def _proof(
    outcome: JointOutcome, searches: tuple[DwellingSearch, ...], status: Status, answer: JointAnswer | None
) -> Proof:
    sought = None if answer is None else answer.objective_cents
    bound = sought if status is Status.OPTIMAL else cents_below(outcome.bound_units)
    if bound is not None and sought is not None:
        bound = min(bound, sought)
    return Proof(
        cost_cents=None if answer is None else answer.cost_cents,
        bound_cents=bound,
        gap=None if sought is None or bound is None else (sought - bound) / sought,
        scope=joint_scope(outcome, searches),
        rounds=outcome.rounds,
        planes=outcome.planes,
        states=outcome.states,
        cross_check=CROSS_CHECK if answer is not None else "not run: no designs",
        seed=SEED,
        weighed_cents=None if answer is None else answer.weighed_cents,
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
        yield f"Dwelling {name} has no lawful design even without the others."
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
