"""The joint search at every delivery pressure of the gas that may be had: it is one for all heaters, so each is looked
at by itself, what it costs once added, and the cheapest set of all is the answer."""

from __future__ import annotations

from dataclasses import dataclass, replace

from service.building.model import Building
from service.piping.extended import at_pressure
from service.piping.feeds import lawful_options, option_keys
from service.siting.dwelling_search import DwellingSearch
from service.siting.joint_nodes import INFEASIBLE, JointOutcome
from service.siting.jointly import Jointly
from service.survey.model import GasSupply, PressureOption, Survey


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


def jointly(survey: Survey, building: Building, deadline: float) -> Together:
    """The cheapest designs of all dwellings together; ``deadline`` in seconds of the monotonic clock."""
    best: Together | None = None
    for option in (None, *lawful_options(survey.gas, survey.site.gas)):
        once = float(sum(survey.prices[key].units_each for key in option_keys(option)))
        most = INFEASIBLE if best is None else best.outcome.cost_units
        work = Jointly(replace(survey, gas=supply_at(survey, option)), building, deadline, most - once)
        found = Together(_with(work.run(), once), work.searches, option)
        best = found if best is None else _better(best, found)
    assert best is not None
    return best


def _with(outcome: JointOutcome, once: float) -> JointOutcome:
    done = outcome.done and replace(outcome.done, units=outcome.done.units + once)
    return replace(outcome, done=done, bound_units=outcome.bound_units + once)


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
