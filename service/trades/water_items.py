"""What is bought for a heater's water: what the survey's facts ask for, and what the customer wants."""

from __future__ import annotations

from service.survey.model import Survey, WaterItem
from service.trades.relief import needs_expansion_tank
from service.trades.scald import needs_mixing_valve


def water_items(survey: Survey) -> tuple[WaterItem, ...]:
    """Things to buy with any heater, in the order of ``WaterItem``."""
    asked = {
        WaterItem.EXPANSION_TANK: needs_expansion_tank(survey.water),
        WaterItem.MIXING_VALVE: needs_mixing_valve(survey.water),
    }
    return tuple(item for item in WaterItem if item in survey.preferences.water_items or asked.get(item, False))
