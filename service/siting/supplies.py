"""Which limits of gas, air, water and power may decide in a house at all."""

from __future__ import annotations

from service.building.model import Building
from service.building.pressure import pressure_of
from service.siting.air_plan import AirPlan
from service.siting.lifts import AIR, GAS_LOSS, GAS_RUN, SUPPLIES, WATER_PRESSURE, Rules, gas_pipe
from service.siting.needs import Need, needs_of
from service.survey.equipment import Draft
from service.survey.model import Survey


def in_question(survey: Survey, building: Building) -> tuple[Rules, ...]:
    """Groups of limits that keep some heater out, or may keep some run."""
    every = frozenset[str]().union(*SUPPLIES)
    needs = needs_of(survey, every)[0]
    return tuple(g for g in SUPPLIES if _binds(survey, building, needs, g) or _keeps_out(survey, needs, every - g))


def _keeps_out(survey: Survey, needs: tuple[Need, ...], lifted: Rules) -> bool:
    """Whether some heater is left out though all those limits are lifted."""
    return {need.key for need in needs_of(survey, lifted)[0]} != {need.key for need in needs}


def _binds(survey: Survey, building: Building, needs: tuple[Need, ...], group: Rules) -> bool:
    """Whether a limit may close places to a heater that is let in."""
    if group in (GAS_RUN, GAS_LOSS):
        return group == gas_pipe(survey.gas.method)
    if group == WATER_PRESSURE:
        return any(pressure_of(survey, building, need.heater) is not None for need in needs)
    return group == AIR and _lacks_air(survey, building, needs)


def _lacks_air(survey: Survey, building: Building, needs: tuple[Need, ...]) -> bool:
    plan = AirPlan(survey, building)
    burning = [n.heater for n in needs if not n.outdoors and n.heater.draft is not Draft.DIRECT]
    return any(plan.cheapest(room.id, heater) is None for room in building.rooms for heater in burning)
