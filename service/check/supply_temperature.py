"""Cold water over the year, worked out apart from the trade's own module: in degrees Celsius, day by day."""

from __future__ import annotations

from math import cos, radians

from service.rules.tables import table
from service.survey.model import Climate, HotWater
from service.units import Quantity, to_si


def coldest_c(facts: HotWater) -> float:
    """Coldest inlet [degC]: as measured, else by the climate, else the cautious default."""
    if facts.inlet_c is not None:
        return facts.inlet_c
    if facts.climate is not None:
        return min(_year(facts.climate))
    return to_si(Quantity.TEMPERATURE, table("hot_water").where(symbol="inlet_unknown").printed("value"), "degF")


def warmest_c(facts: HotWater) -> float:
    """Warmest inlet that is known of [degC]."""
    return max([coldest_c(facts), *([] if facts.climate is None else _year(facts.climate))])


def _year(climate: Climate) -> list[float]:
    """Each day's temperature [degC]: sin(x - 90) is -cos x, and south of the equator sin(x + 90) is cos x."""
    known = {r.text("symbol"): r.printed("value") for r in table("inlet_temperature").rows}
    over_base = climate.mean_c * 1.8 + 32 - known["base"]
    share = known["ratio"] + known["ratio_slope"] * over_base
    start = known["start"] + known["lag"] - known["lag_slope"] * over_base
    swing = share * climate.swing_k / 2 * (1 if climate.is_south else -1)
    mean, floor = climate.mean_c + known["offset"] / 1.8, (known["floor"] - 32) / 1.8
    return [max(floor, mean + swing * cos(radians(known["turn"] * (day - start)))) for day in range(1, 366)]
