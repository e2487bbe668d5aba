"""Water pressure of a house in its frame."""

from __future__ import annotations

from service.building.model import Building
from service.building.water import framed_water
from service.survey.equipment import Heater
from service.survey.model import Survey
from service.trades.house_pressure import HousePressure, missing_facts, with_bought


def pressure_of(survey: Survey, building: Building, heater: Heater) -> HousePressure | None:
    """The pressure that a heater's branches must leave; None where the survey does not tell enough to settle it."""
    if missing_facts(survey.water) or not heater.pressure_loss:
        return None
    water = with_bought(survey.water, survey.preferences.water_items)
    return HousePressure(framed_water(water, building.frame), heater)
