"""The joint search at every delivery pressure of the gas that may be had: it is one for all heaters, so each is looked
at by itself, what it costs once added, and the cheapest set of all is the answer."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from functools import reduce

from service.building.model import Building
from service.piping.extended import at_pressure
from service.piping.feeds import lawful_options, option_keys
from service.siting.dwelling_search import DwellingSearch
from service.siting.joint_nodes import JointOutcome
from service.siting.jointly import Jointly
from service.survey.model import GasSupply, PressureOption, Question, Survey


@dataclass(frozen=True, slots=True)
class Together:
    """The best set of all pressures, what that pressure is (None: as it is), and the searches behind it; ``outcome``
    counts what the pressure costs, and is of all pressures."""

    outcome: JointOutcome
    searches: tuple[DwellingSearch, ...]
    option: PressureOption | None

    @property
    def keys(self) -> tuple[str, ...]:
        """Price keys of what comes with the pressure."""
        return option_keys(self.option)


def jointly(survey: Survey, building: Building, deadline: float, question: Question | None = None) -> Together:
    """The cheapest designs of all dwellings together, one held to the place of a ``question`` if there is one;
    ``deadline`` in seconds of the monotonic clock. What is worked on is the pressure whose bound is least, until none
    is below the best set."""
    options = (None, *lawful_options(survey.gas, survey.site.gas))
    every = [_begun(survey, building, deadline, question, option) for option in options]
    while at := _next(every):
        if time.monotonic() >= deadline:
            break
        at.work.step()
    return reduce(_better, [_ended(one) for one in every])


@dataclass(frozen=True, slots=True)
class _Pressure:
    """The search at one delivery pressure, which costs so much besides [money units]."""

    option: PressureOption | None
    once: float
    work: Jointly


def _begun(
    survey: Survey, building: Building, deadline: float, question: Question | None, option: PressureOption | None
) -> _Pressure:
    once = float(sum(survey.prices[key].units_each for key in option_keys(option)))
    work = Jointly(replace(survey, gas=supply_at(survey, option)), building, deadline, question)
    work.begin()
    return _Pressure(option, once, work)


def _next(every: list[_Pressure]) -> _Pressure | None:
    """The one to work on, None where no other set can be of use; each is told what the best of all costs."""
    most = min(one.once + one.work.outcome.cost_units for one in every)
    for one in every:
        one.work.ceiling = most - one.once
    left = [one for one in every if one.work.is_open]
    return min(left, key=lambda one: one.once + one.work.bound_units, default=None)


def _ended(one: _Pressure) -> Together:
    outcome = one.work.ended()
    done = outcome.done and replace(outcome.done, units=outcome.done.units + one.once)
    told = replace(outcome, done=done, bound_units=outcome.bound_units + one.once)
    return Together(told, one.work.searches, one.option)


def _better(one: Together, other: Together) -> Together:
    """The cheaper of two, with what was done and proven for both."""
    a, b = one.outcome, other.outcome
    ahead = other if b.cost_units < a.cost_units else one
    outcome = replace(
        ahead.outcome,
        bound_units=min(a.bound_units, b.bound_units),
        cut_off=a.cut_off or b.cut_off,
        nodes=a.nodes + b.nodes,
        rounds=a.rounds + b.rounds,
        planes=max(a.planes, b.planes),
        states=max(a.states, b.states),
        limited=a.limited or b.limited,
        in_the_way=a.in_the_way or b.in_the_way,
        unsettled=tuple(dict.fromkeys((*a.unsettled, *b.unsettled))),
        without=tuple(name for name in a.without if name in b.without),
    )
    return replace(ahead, outcome=outcome)


def supply_at(survey: Survey, option: PressureOption | None) -> GasSupply:
    """The gas system at a delivery pressure, a regulator that comes with it bought for all that may burn."""
    changed = replace(at_pressure(survey.gas, option), pressure_options=())
    if option is None or option.regulated_pa is None:
        return changed
    most = max(h.input_max_w for h in survey.heaters) * len(survey.dwellings)
    bought = replace(changed.regulators[0], capacity_w=most + sum(a.input_w for a in survey.gas.appliances))
    return replace(changed, regulators=(bought, *changed.regulators[1:]))
