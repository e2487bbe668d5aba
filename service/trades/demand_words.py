"""Demand and output in words, with their figures in the units of a survey."""

from __future__ import annotations

from math import ceil, inf

from service.survey.equipment import Heater
from service.survey.fixtures import DemandMethod
from service.survey.house import UnitSystem
from service.trades.demand import Demand, Duty
from service.trades.heater_output import ROUNDING, capacity_m3_s
from service.trades.inlet_temperature import MONTHS
from service.units import Quantity, told


def carries(heater: Heater, duty: Duty, altitude_m: float) -> bool:
    """Whether as many as share it carry the demand at its rise; equality passes. False where it is not known."""
    return (number_needed(heater, duty, altitude_m) or inf) <= duty.heaters


def number_needed(heater: Heater, duty: Duty, altitude_m: float) -> int | None:
    """How many equal heaters, sharing alike, carry the demand; None where demand is not known or nothing would do."""
    asked, capacity = duty.demand.flow_m3_s, capacity_m3_s(heater, duty.rise_k, altitude_m)
    if asked is None or (asked and not capacity):
        return None
    return max(1, ceil(asked / (capacity * ROUNDING))) if asked else 1


def shortfall(heater: Heater, duty: Duty, altitude_m: float, units: UnitSystem) -> str | None:
    """Why a heater is too small, with the figures; None where it carries the demand, or its part of it."""
    number = number_needed(heater, duty, altitude_m)
    if carries(heater, duty, altitude_m):
        return None
    carried = told(Quantity.FLOW, capacity_m3_s(heater, duty.rise_k, altitude_m), units)
    told_more = f"; {number} in parallel would carry it, but are not sited unless dwellings ask for them"
    parallel = told_more if number else ""
    output = f"it carries {carried} of hot water at {rise_words(duty, units)}"
    part = f"; each of {duty.heaters} in parallel carries an even part" if duty.heaters > 1 else ""
    return f"{output}, the house asks for {asked(duty, units)}{part}{parallel}"


def asked(duty: Duty, units: UnitSystem) -> str:
    """Demand with its method, as in 6.2 gpm at once (concurrent use of bath-1, bath-2)."""
    demand = duty.demand
    together = " at once" if demand.is_told else ""
    if demand.flow_m3_s is None:
        return f"an amount that {method_words(demand)} cannot tell: {demand.missing}"
    return f"{told(Quantity.FLOW, demand.flow_m3_s, units)}{together} ({method_words(demand)})"


def method_words(demand: Demand) -> str:
    """Name of the method, with what it added up."""
    if not demand.is_told:
        return f"the largest draw alone, {', '.join(demand.together)}"
    if demand.method is DemandMethod.CONCURRENT_USE:
        return f"concurrent use of {', '.join(demand.together)}"
    if demand.units is not None:
        return f"{demand.units:g} fixture units for hot water, {demand.citation}"
    return f"{demand.method.replace('_', ' ')}, {demand.citation}"


def rise_words(duty: Duty, units: UnitSystem) -> str:
    """Rise with inlet, month and outlet."""
    rise = told(Quantity.TEMPERATURE_RISE, duty.rise_k, units)
    cold, hot = (told(Quantity.TEMPERATURE, t, units) for t in (duty.inlet.coldest_c, duty.setpoint_c))
    month = f" in {MONTHS[duty.inlet.month - 1]}" if duty.inlet.month else ""
    return f"a rise of {rise} (from {cold}{month} to {hot})"
