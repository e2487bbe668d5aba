"""What a survey asks to be told of several heaters.

A place that is asked about is answered by the cheapest set of designs through it. All else is told of each dwelling's
heater while all others stay as the cheapest set has them: where they hang, their runs, their sizes of gas pipe.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace

from service.building.model import Building
from service.deadline import seconds_left
from service.design import Design
from service.siting.as_done import Done
from service.siting.dwelling_search import DwellingSearch
from service.siting.dwelling_zones import DwellingZones, Gas, Held
from service.siting.pinned import PinnedZones, indoors
from service.siting.search import search
from service.survey.explain import Explain
from service.survey.model import Question, Survey
from service.usecases.explain import explained
from service.usecases.explain_results import Certified, ToldBeside
from service.usecases.inspector import BesideOthers, Inspector
from service.usecases.money import by_trade, cents_below
from service.usecases.results import HereAnswer, JointAnswer, Refusal, Status
from service.usecases.sets import cheapest_set
from service.usecases.what_about import against, more_by_trade
from service.usecases.zones_beside import zones_beside

OTHERS_STAY = "While all other heaters stay as they are: "
NOT_IN_SET = "it is not proven that no other design beside the others costs less than that of the set"


def asks(survey: Survey) -> bool:
    """Whether a survey wants to be told more than the cheapest designs."""
    return bool(survey.what_about) or survey.explain != Explain()


@dataclass(frozen=True, slots=True)
class Besides:
    """Tells of the dwellings of a survey, one part after another, each with an even share of the time that is left.
    ``deadline`` in seconds of the monotonic clock; CheckFailed of the ``inspector``, who judges one heater by itself,
    passes through."""

    survey: Survey
    building: Building
    inspector: Inspector
    deadline: float

    def here(self, best: JointAnswer | None) -> Iterator[HereAnswer]:
        """Answers about the places that the survey names, beside the ``best`` set (None: there is none)."""
        told = len(self.survey.dwellings) if self.survey.explain != Explain() else 0
        for i, question in enumerate(self.survey.what_about):
            yield self._here(question, best, self._end(told + len(self.survey.what_about) - i))

    def _end(self, to_come: int) -> float:
        return time.monotonic() + seconds_left(self.deadline) / to_come

    def _here(self, question: Question, best: JointAnswer | None, deadline: float) -> HereAnswer:
        found = cheapest_set(self.survey, self.building, deadline, self.inspector.judge, question)
        bound = cents_below(found.together.outcome.bound_units)
        if found.answer is None:
            refused, why = self._against(question) if found.status is Status.INFEASIBLE else ((), "")
            return HereAnswer(question.id, found.status, None, None, None, bound, (), refused, why, question.dwelling)
        answer, name = found.answer, question.dwelling or ""
        extra = () if best is None else more_by_trade(by_trade(answer.lines), by_trade(best.lines))
        objective = answer.objective_cents
        return HereAnswer(
            question.id, found.status, dict(answer.designs)[name], answer.cost_cents, objective,
            objective if found.status is Status.OPTIMAL else bound, extra, (), "", name,
        )  # fmt: skip

    def _against(self, question: Question) -> tuple[tuple[Refusal, ...], str]:
        """What forbids a place to a dwelling's heater by itself."""
        dwelling = next(d for d in self.survey.dwellings if d.id == question.dwelling)
        alone = DwellingSearch(self.survey, self.building, dwelling)
        zones = alone.share.seen(Held(), Gas(alone.survey.gas, None))
        return against(indoors(alone.seen), zones, PinnedZones(zones, question), self.inspector)

    def explained(self, answer: JointAnswer, done: Done) -> Iterator[ToldBeside]:
        """The parts that the survey asks for, of each dwelling of a set; nothing if it asks for none."""
        count = len(self.survey.dwellings) if self.survey.explain != Explain() else 0
        for i, dwelling in enumerate(self.survey.dwellings[:count]):
            zones = zones_beside(self.survey, self.building, answer.joint, done.works.shared, dwelling)
            judge = BesideOthers(self.inspector.judge, self.survey, answer.joint, dwelling.id)
            yield _explained(dwelling.id, zones, (done.designs[i], done.each[i]), judge, self._end(count - i))


def _explained(
    dwelling_id: str, zones: DwellingZones, own: tuple[Design, float], inspector: Inspector, deadline: float
) -> ToldBeside:
    """What is told of one dwelling, whose ``own`` design of the set costs so much [money units]."""
    ground, (design, units) = zones.ground(zones.survey, zones.whole), own
    outcome = search(ground, zones, 1, deadline)
    as_in_set = outcome.cost_units == units
    if as_in_set:
        outcome = replace(outcome, designs=[design])
    told = explained(ground, zones, outcome, deadline, inspector)
    assert told is not None
    certified = None if told.certified is None else _beside(told.certified, as_in_set)
    return ToldBeside(dwelling_id, replace(told, certified=certified), as_in_set)


def _beside(found: Certified, as_in_set: bool) -> Certified:
    """The certificate of a set's own design, which tells that it covers no more than that."""
    if not as_in_set:
        return Certified(None, found.ground, NOT_IN_SET)
    proof = found.certificate
    return found if proof is None else replace(found, certificate=replace(proof, scope=OTHERS_STAY + proof.scope))
